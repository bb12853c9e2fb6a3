"""The public functions: a notebook and the command line call the same ones.

What only one of them needs is imported inside it: checking a log loads no model and draws
no picture.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.errors import RequestError
from outcomes.finding import Finding
from outcomes.log.checks import check_log, refusal
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import find_codebook, read_codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log as _read_log
from outcomes.plans import plan_next_firings, write_next_firings
from outcomes.powers import default_workers, power, power_table, write_power
from outcomes.trials import (
    declare,
    read_plan,
    run_trial,
    trial_table,
    write_plan,
    write_run_sheet,
    write_trial,
)

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.graders.agreement import Agreement
    from outcomes.study.record import Study, StudyOptions

__all__ = [
    "CheckedLog",
    "analyse",
    "check",
    "compare_graders",
    "declare",
    "effects_table",
    "plan_next_firings",
    "power",
    "power_table",
    "read_codebook",
    "read_log",
    "read_plan",
    "run_trial",
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CheckedLog:
    """A log with what the checks found; ``refused`` says why nothing can be learnt, or None."""

    log: FiringLog
    findings: tuple[Finding, ...]
    refused: str | None


def read_log(
    paths: Sequence[str | Path], *, codebook: str | Path | Codebook | None = None
) -> FiringLog:
    """Read one or more files as one log.

    Parameters
    ----------
    paths
        CSV, TSV, XLSX (``book.xlsx#Sheet`` picks a sheet) or Parquet files.
    codebook
        A codebook, the path of one, or None for post-firing reduction.

    Raises
    ------
    LogError, CodebookError
        With where, what was found, what was expected and what to do.
    """
    return _read_log([Path(path) for path in paths], _codebook(codebook))


def check(
    paths: Sequence[str | Path], *, codebook: str | Path | Codebook | None = None
) -> CheckedLog:
    """Read files and run every check on them; never refuses what can be read."""
    log = read_log(paths, codebook=codebook)
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
        Threads, default one a core up to four; changes the speed, never the result.
    progress
        Called with the number of redraws just done.

    Raises
    ------
    LogError
        When nothing can be learnt; says what would make the log usable.
    """
    from outcomes.report.software import read_software
    from outcomes.study.analysis import analyse as analyse_log
    from outcomes.study.record import StudyOptions

    study = analyse_log(
        log,
        options=options or StudyOptions(),
        workers=workers or default_workers(),
        progress=progress or (lambda _: None),
    )
    return replace(study, software=read_software())


def effects_table(study: Study) -> pd.DataFrame:
    """Return one row an effect, in pieces per 100, with intervals and verdicts."""
    from outcomes.report.tables import build_tables

    return build_tables(study)["effects"]


def write_study(study: Study, folder: str | Path, *, reader: str = "maker") -> Path:
    """Write the page, study.json and the tables, all at once or not at all; return the page.

    Parameters
    ----------
    study
        From `analyse`.
    folder
        Made when it does not exist; earlier results in it are replaced, other files stay.
    reader
        Whose page to write, or "all"; ``report.results.PAGES`` names them.

    Raises
    ------
    RequestError, ReportError
        If there is no such reader, or the folder cannot be written; nothing has changed then.
    """
    from outcomes.report.results import build_results, find_pages
    from outcomes.report.writing import write_results

    target = Path(folder)
    write_results(build_results(study, reader=reader), target)
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
    table = build_cleaned_table(read_log(paths, codebook=codebook))
    write_file(render_csv(neutralise_table(table)).encode(), target)


def compare_graders(
    paths: Sequence[str | Path],
    *,
    codebook: str | Path | Codebook | None = None,
    key: str | Path | None = None,
    confidence: float = 0.95,
) -> Agreement:
    """Compare two or more gradings of the same pieces.

    Parameters
    ----------
    paths
        One file with a column of graders or one column a grader, or one file a grader.
    codebook
        A codebook, the path of one, or None for post-firing reduction.
    key
        Key of a blind list, as `write_regrade_list` makes it, or None.
    confidence
        Of every interval.

    Raises
    ------
    LogError, CodebookError, RequestError
        With where, what was found, what was expected and what to do.
    """
    from outcomes import __version__
    from outcomes.graders.agreement import compare_gradings
    from outcomes.graders.key_file import read_key
    from outcomes.graders.reading import read_gradings

    if not 0.5 <= confidence < 1.0:
        raise RequestError(f"A confidence of {confidence!r} was asked for; use 0.8 to 0.99.")
    gradings = read_gradings(
        [Path(path) for path in paths],
        _codebook(codebook),
        key=None if key is None else read_key(Path(key)),
    )
    return compare_gradings(gradings, confidence=confidence, version=__version__)


def write_agreement(agreement: Agreement, folder: str | Path) -> Path:
    """Write the page, agreement.json and the tables, all or none; return the page."""
    from outcomes.report.agree_results import PAGE, build_agree_results
    from outcomes.report.writing import write_results

    write_results(build_agree_results(agreement), Path(folder))
    return Path(folder) / PAGE


def write_regrade_list(
    paths: Sequence[str | Path],
    folder: str | Path,
    *,
    number: int,
    codebook: str | Path | Codebook | None = None,
    seed: int = 1,
) -> Path:
    """Write a blind list of graded pieces, a sheet for it and its key; return the list.

    Parameters
    ----------
    paths
        A log, or gradings, with the pieces' ids and grades.
    folder
        As in `write_study`.
    number
        How many pieces; spread over the grades and the firings.
    codebook
        A codebook, the path of one, or None for post-firing reduction.
    seed
        Decides pieces, order and codes.
    """
    from outcomes import __version__
    from outcomes.graders.reading import read_gradings
    from outcomes.graders.regrade import choose_regrades
    from outcomes.report.agree_list import build_list_files
    from outcomes.report.writing import write_results

    gradings = read_gradings([Path(p) for p in paths], _codebook(codebook), may_be_single=True)
    regrades = choose_regrades(gradings, number, seed=seed)
    write_results(build_list_files(regrades, gradings, version=__version__), Path(folder))
    return Path(folder) / "regrade.html"


def _codebook(given: str | Path | Codebook | None) -> Codebook:
    return find_codebook(given)


def _same_file(one: Path, other: Path) -> bool:
    return one.exists() and other.exists() and one.samefile(other)
