"""The public functions: a notebook and the command line call the same ones.

What only one of them needs is imported inside it: checking a log loads no model and draws
no picture.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.errors import RequestError
from outcomes.finding import Finding
from outcomes.log.checks import check_log, refusal
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import read_codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log as _read_log

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.study.record import Study, StudyOptions

__all__ = [
    "CheckedLog",
    "analyse",
    "check",
    "effects_table",
    "read_codebook",
    "read_log",
    "write_cleaned",
    "write_study",
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
    from outcomes.study.analysis import analyse as analyse_log
    from outcomes.study.record import StudyOptions

    return analyse_log(
        log,
        options=options or StudyOptions(),
        workers=workers or min(os.cpu_count() or 1, 4),
        progress=progress or (lambda _: None),
    )


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


def _codebook(given: str | Path | Codebook | None) -> Codebook:
    if isinstance(given, Codebook):
        return given
    return read_codebook(None if given is None else Path(given))


def _same_file(one: Path, other: Path) -> bool:
    return one.exists() and other.exists() and one.samefile(other)
