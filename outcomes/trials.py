"""The public functions about plans: declare, draw, test. `api` opens them with all the others.

What only one of them needs is imported inside it: reading a plan draws no picture.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.arguments import check_argument, check_paths
from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import find_codebook
from outcomes.log.firing_log import FiringLog

if TYPE_CHECKING:
    from datetime import date

    import pandas as pd

    from outcomes.planning.declaring import Declaration
    from outcomes.planning.plan import Plan
    from outcomes.planning.trial import Trial, TrialOptions


def declare(
    asked: Declaration, *, codebook: str | Path | Codebook | None = None, sealed: bool = True
) -> Plan:
    """Return the plan of a declaration, sealed unless it is to be edited first.

    Raises
    ------
    PlanError
        When something in it does not fit together or the codebook does not know it.
    """
    from outcomes.planning.declaring import Declaration, build_plan
    from outcomes.planning.seal import seal_plan

    check_argument("asked", asked, Declaration)
    plan = build_plan(asked, find_codebook(codebook))
    return seal_plan(plan) if sealed else plan


def read_plan(path: str | Path) -> Plan:
    """Read a plan file, sealed or not.

    Raises
    ------
    PlanError
        Naming the line, what was found, what was expected and what to do.
    """
    from outcomes.planning.plan_file import read_plan as read

    check_paths("path", path)
    return read(Path(path))


def is_sealed(plan: Plan) -> bool:
    """Return whether a plan carries a whole seal: its content is the one that was sealed."""
    from outcomes.planning.plan import SealState
    from outcomes.planning.seal import check_seal

    return check_seal(plan) is SealState.WHOLE


def seal_file(
    path: str | Path, *, today: date, codebook: str | Path | Codebook | None = None
) -> Plan:
    """Return the plan of a draft file, declared and sealed on that day; the file stays as it is.

    Raises
    ------
    PlanError
        When it cannot be used, or carries a seal already.
    """
    from outcomes.planning.declaring import check_declared, seal_draft
    from outcomes.planning.plan_file import find_where

    draft = read_plan(path)
    check_declared(draft, find_codebook(codebook), where=find_where(Path(path)))
    return seal_draft(draft, today=today, file=Path(path).name)


def write_plan(
    plan: Plan,
    target: str | Path,
    *,
    codebook: str | Path | Codebook | None = None,
    sheet: str | Path | None = None,
) -> None:
    """Write a plan file, and its run sheet into a folder.

    Raises
    ------
    RequestError, ReportError
        When a file would be written over, or the disk refuses; nothing was written then.
    """
    from outcomes.planning.plan_text import render_plan
    from outcomes.report.single_file import write_file

    path = Path(target)
    if path.exists():
        raise RequestError(
            f"{path}: found a file of that name. Expected none, as a plan is never written over. "
            "Name another one with --to."
        )
    if not path.parent.is_dir():
        raise RequestError(f"{path}: there is no folder {path.parent}. Make it first.")
    write_file(render_plan(plan).encode(), path, may_replace=False)
    try:
        if sheet is not None:
            write_run_sheet(plan, sheet, codebook=codebook)
    except BaseException:
        path.unlink()
        raise


def write_run_sheet(
    plan: Plan, folder: str | Path, *, codebook: str | Path | Codebook | None = None
) -> Path:
    """Write the drawn list of a plan as run_sheet.csv and a page to print; return the page.

    Raises
    ------
    ReportError
        When a filled sheet would be written over, or the disk refuses.
    """
    from outcomes.report.run_sheet import write_run_sheet as write

    return write(plan, find_codebook(codebook), Path(folder))


def run_trial(
    plan: Plan,
    log: FiringLog,
    *,
    options: TrialOptions | None = None,
    plan_file: str | Path | None = None,
    progress: Callable[[int], None] | None = None,
) -> Trial:
    """Test a plan with the log of its firings.

    Parameters
    ----------
    plan, log
        From `read_plan` and `read_log`.
    options
        Redraws and arrangements; with plan and log they determine every byte.
    plan_file
        Where the plan was read from, for messages that name its lines.
    progress
        Called with 1 after every hypothesis.

    Raises
    ------
    PlanError
        When the plan does not fit the log.
    """
    from outcomes.planning.plan import Plan
    from outcomes.planning.plan_file import NOWHERE, find_where
    from outcomes.planning.testing import run_trial as run
    from outcomes.planning.trial import TrialOptions

    check_argument("plan", plan, Plan)
    check_argument("log", log, FiringLog)
    if options is not None:
        check_argument("options", options, TrialOptions)
    return run(
        plan,
        log,
        options=options or TrialOptions(),
        where=NOWHERE if plan_file is None else find_where(Path(plan_file)),
        progress=progress or (lambda _: None),
    )


def trial_table(trial: Trial) -> pd.DataFrame:
    """Return the answers of a trial; the first of `tables`.

    Returns
    -------
    DataFrame, shape (hypotheses, 27)
        The answer in its fixed words, the difference with its interval in pieces per 100 and in
        mean grade, p values alone and after Holm (1979, Scandinavian Journal of Statistics 6,
        65-70).
    """
    from outcomes.report.trial_results import build_trial_tables

    return build_trial_tables(trial)["answers"]


def write_trial(trial: Trial, folder: str | Path, *, plan_file: str | Path | None = None) -> Path:
    """Write test.html, test.json and the tables, all at once or not at all; return the page.

    Raises
    ------
    ReportError
        If the folder cannot be written; nothing has changed then.
    """
    from outcomes.report.trial_results import PAGE, build_trial_results
    from outcomes.report.writing import write_results

    target = Path(folder)
    name = "" if plan_file is None else Path(plan_file).name
    write_results(build_trial_results(trial, plan_file=name), target, made_by="test")
    return target / PAGE
