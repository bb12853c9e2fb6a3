"""The public functions: a notebook and the command line call the same ones.

What only one of them needs is imported inside it: checking a log loads no model and draws
no picture.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.arguments import check_argument, check_paths
from outcomes.errors import RequestError
from outcomes.gradings import compare_graders, write_agreement, write_regrade_list
from outcomes.log.checked import CheckedLog
from outcomes.log.checks import check_log, refusal
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import find_codebook, read_codebook
from outcomes.log.files import Files, list_paths
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log as _read_log
from outcomes.plans import (
    describe_next_firings,
    next_firings_table,
    plan_next_firings,
    write_next_firings,
)
from outcomes.powers import power, power_table, write_power
from outcomes.shows import describe, pictures, tables
from outcomes.trials import (
    declare,
    read_plan,
    run_trial,
    trial_table,
    write_plan,
    write_run_sheet,
    write_trial,
)
from outcomes.workers import default_workers

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.study.record import Study, StudyOptions

__all__ = [
    "CheckedLog",
    "analyse",
    "check",
    "compare_graders",
    "declare",
    "describe",
    "describe_next_firings",
    "effects_table",
    "next_firings_table",
    "pictures",
    "plan_next_firings",
    "power",
    "power_table",
    "read_codebook",
    "read_log",
    "read_plan",
    "run_trial",
    "tables",
    "trial_table",
    "write_agreement",
    "write_cleaned",
    "write_next_firings",
    "write_plan",
    "write_power",
    "write_regrade_list",
    "write_run_sheet",
    "write_study",
    "write_trial",
]


def read_log(
    source: Files | pd.DataFrame, *, codebook: str | Path | Codebook | None = None
) -> FiringLog:
    """Read one or more files, or a DataFrame, as one log.

    Parameters
    ----------
    source : path, sequence of paths, or DataFrame of shape (n, ...)
        CSV, TSV, XLSX (``book.xlsx#Sheet`` picks a sheet) or Parquet files, one row a piece; or
        the same as a DataFrame, whose column names are the header and whose index is not read.
    codebook
        A codebook, the path of one, or None for post-firing reduction.

    Returns
    -------
    FiringLog
        ``values`` is a DataFrame, shape (n, columns of the codebook), numbers in base units.

    Raises
    ------
    LogError, CodebookError
        With where, what was found, what was expected and what to do.

    Examples
    --------
    >>> import pandas as pd
    >>> log = read_log(pd.DataFrame({"Pull temp": ["1800 F", "~990 C"], "Luster": [3, 1]}))
    >>> log.values["pull_temp_c"].round(1).tolist()
    [982.2, 990.0]
    """
    from outcomes.log.reading import read_frame

    found = _codebook(codebook)
    if source is None or isinstance(source, str | Path | Sequence | int | float | dict):
        check_paths("source", source)
        return _read_log(list_paths(source), found)
    return read_frame(source, found)


def check(
    source: Files | pd.DataFrame, *, codebook: str | Path | Codebook | None = None
) -> CheckedLog:
    """Read a log and run every check on it; never refuses what can be read.

    Parameters and errors are those of `read_log`.
    """
    log = read_log(source, codebook=codebook)
    findings = check_log(log)
    return CheckedLog(log=log, findings=findings, refused=refusal(log, findings))


def analyse(
    log: FiringLog,
    *,
    options: StudyOptions | None = None,
    workers: int | None = None,
    progress: Callable[[int], None] | None = None,
) -> Study:
    """Learn from a log.

    Parameters
    ----------
    log
        From `read_log`.
    options
        Resamples, seed, confidence; with the log they determine every byte.
    workers
        Processes, default one a core up to four; changes the speed, never the result. Where
        no copy of this process can be made safely (on macOS and Windows, or beside other
        threads, as in a notebook), threads for the redraws.
    progress
        Called with the number of redraws just done.

    Returns
    -------
    Study
        What `describe`, `tables`, `pictures` and `write_study` tell. The model is the cumulative
        logit (McCullagh 1980, doi:10.1111/j.2517-6161.1980.tb01109.x), whole firings redrawn.

    Raises
    ------
    LogError
        When nothing can be learnt; says what would make the log usable.
    """
    from outcomes.report.software import read_software
    from outcomes.study.analysis import analyse as analyse_log
    from outcomes.study.record import StudyOptions

    check_argument("log", log, FiringLog)
    if options is not None:
        check_argument("options", options, StudyOptions)
    study = analyse_log(
        log,
        options=options or StudyOptions(),
        workers=workers or default_workers(),
        progress=progress or (lambda _: None),
    )
    return replace(study, software=read_software())


def effects_table(study: Study) -> pd.DataFrame:
    """Return one row an effect, with intervals and verdicts; the first of `tables`.

    Returns
    -------
    DataFrame, shape (effects of all outcomes, 29)
        ``change_per_100``, ``low`` and ``high`` in pieces per 100 going from ``from`` to ``to``,
        which are in ``unit``; ``verdict`` is missing for what gives no advice (weather, people,
        the glaze). Intervals are Student's t on the firings' scores with Satterthwaite's
        degrees of freedom (Pustejovsky & Tipton 2018, doi:10.1080/07350015.2016.1247004).
    """
    from outcomes.report.tables import build_tables
    from outcomes.study.record import Study

    check_argument("study", study, Study)
    return build_tables(study)["effects"]


def write_study(
    study: Study,
    folder: str | Path,
    *,
    reader: str = "maker",
    workers: int | None = None,
    own_fonts: bool = False,
) -> Path:
    """Write the page, study.json and the tables, all at once or not at all; return the page.

    Parameters
    ----------
    study
        From `analyse`.
    folder
        Made when it does not exist; earlier results in it are replaced, other files stay.
    reader
        Whose page to write, or "all"; ``report.results.PAGES`` names them.
    workers
        As in `analyse`.
    own_fonts
        Load matplotlib, if it is not loaded yet, with no font but its own: quicker, and the
        same pictures, but whatever else this process draws has no other font either.

    Raises
    ------
    RequestError, ReportError
        If there is no such reader, or the folder cannot be written; nothing has changed then.
    """
    from outcomes.report.results import build_results, find_pages
    from outcomes.report.writing import write_results
    from outcomes.study.record import Study

    check_argument("study", study, Study)
    target = Path(folder)
    files = build_results(
        study, reader=reader, workers=workers or default_workers(), own_fonts=own_fonts
    )
    write_results(files, target)
    return target / find_pages(reader)[0].file


def write_cleaned(
    paths: Sequence[str | Path], *, codebook: str | Path | Codebook | None = None, target: Path
) -> None:
    """Write a log as one clean CSV table; refuses to overwrite one of the log's own files."""
    from outcomes.log.cleaned import build_cleaned_table
    from outcomes.report.single_file import write_file
    from outcomes.report.tables import neutralise_table, render_csv

    if any(_same_file(Path(str(path).partition("#")[0]), target) for path in paths):
        raise RequestError(f"{target}: this is the log itself. Name another file with --to.")
    if isinstance(codebook, str | Path) and _same_file(Path(codebook), target):
        raise RequestError(f"{target}: this is the codebook. Name another file with --to.")
    table = build_cleaned_table(read_log(paths, codebook=codebook))
    write_file(render_csv(neutralise_table(table)).encode(), target)


def _codebook(given: str | Path | Codebook | None) -> Codebook:
    return find_codebook(given)


def _same_file(one: Path, other: Path) -> bool:
    return one.exists() and other.exists() and one.samefile(other)
