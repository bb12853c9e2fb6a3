"""The public functions on the next firings; `outcomes.api` hands them on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.arguments import check_argument

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.planning.next_plan import NextFirings
    from outcomes.planning.next_request import PlanRequest
    from outcomes.study.record import Study


def plan_next_firings(
    study: Study,
    *,
    request: PlanRequest | None = None,
    progress: Callable[[int], None] | None = None,
) -> NextFirings:
    """Return what to fire next so that what a study leaves open becomes decidable.

    ``request`` says how many firings and what may vary, by default four as large as usual;
    ``progress`` is called with the number of searches just done.

    Raises
    ------
    LogError, RequestError
        If nothing could be learnt yet, or the request does not fit the log.
    """
    from outcomes.planning.next_request import PlanRequest
    from outcomes.study.next_firings import plan_next_firings as plan_from_study
    from outcomes.study.record import Study

    check_argument("study", study, Study)
    if request is not None:
        check_argument("request", request, PlanRequest)
    return plan_from_study(study, request or PlanRequest(), progress=progress or (lambda _: None))


def describe_next_firings(study: Study, plan: NextFirings) -> str:
    """Return what to fire next and what it is expected to tell, in the sentences of its page.

    Parameters
    ----------
    study, plan
        From `analyse`, and from `plan_next_firings` with that study.

    Returns
    -------
    str
        Lines of at most 100 columns, ready to be printed; amounts in the units of the log.
    """
    from outcomes.report.study_text import describe_next_firings as describe

    return describe(study, plan)


def next_firings_table(study: Study, plan: NextFirings) -> pd.DataFrame:
    """Return the run sheet: one row a planned piece, what is to be written down left empty.

    Returns
    -------
    DataFrame, shape (planned pieces, columns of the log)
        All texts, settings in base units; filled in, `read_log` reads it straight back.
    """
    from outcomes.report.plan_sheet import build_run_sheet
    from outcomes.report.tables import neutralise_table

    return neutralise_table(build_run_sheet(plan, study.log))


def write_next_firings(study: Study, plan: NextFirings, folder: str | Path) -> Path:
    """Write the plan's page, run sheets and next_firings.json, all or none; return the page.

    Raises
    ------
    ReportError
        If a filled run sheet would be written over or the folder cannot be written; nothing
        has changed then.
    """
    from outcomes.report.filled import refuse_filled
    from outcomes.report.plan_results import PLAN_PAGE, build_plan_results
    from outcomes.report.plan_sheet import SHEET_CSV, SHEET_XLSX
    from outcomes.report.writing import write_results

    target, files = Path(folder), build_plan_results(study, plan)
    sheets = {name: files[name] for name in (SHEET_CSV, SHEET_XLSX)}
    refuse_filled(sheets, target, what="this empty run sheet", option="--out", redraw=True)
    write_results(files, target, made_by="plan")
    return target / PLAN_PAGE
