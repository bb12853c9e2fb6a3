"""The public functions about power: simulate a trial before it is fired. `api` opens them.

What only one of them needs is imported inside it: a table draws no picture.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.arguments import check_argument
from outcomes.workers import default_workers

if TYPE_CHECKING:
    import pandas as pd

    from outcomes.planning.power_request import PowerRequest
    from outcomes.planning.power_study import PowerStudy


def power(
    request: PowerRequest,
    *,
    workers: int | None = None,
    progress: Callable[[int], None] | None = None,
) -> PowerStudy:
    """Simulate how often trials that might be fired would notice a difference.

    Parameters
    ----------
    request
        A plan, a log or a guess, and the grid of firings and pieces
        (``outcomes.planning.power_request.PowerRequest``).
    workers
        Threads, default one a core up to four; changes the speed, never the result.
    progress
        Called with the number of trials just simulated.

    Raises
    ------
    RequestError, PlanError, LogError
        If something is missing or cannot be; says what to give.
    """
    from outcomes.planning.power_request import PowerRequest, prepare_power
    from outcomes.planning.power_study import simulate_questions

    check_argument("request", request, PowerRequest)
    return simulate_questions(
        prepare_power(request),
        workers=workers or default_workers(),
        progress=progress,
    )


def power_table(study: PowerStudy) -> pd.DataFrame:
    """Return the grid as a table, the same as `tables` gives.

    Returns
    -------
    DataFrame, shape (questions * suppositions * places of the grid, 26)
        Chances, changes and widths per 100; ``_low`` and ``_high`` are Wilson's 95 % limits of
        what the simulation leaves open (Wilson 1927, doi:10.1080/01621459.1927.10502953).
    """
    from outcomes.report.power_tables import build_power_table

    return build_power_table(study)


def write_power(study: PowerStudy, folder: str | Path) -> Path:
    """Write page, table and JSON, all at once or not at all; return the page.

    Raises
    ------
    ReportError
        If the folder cannot be written; nothing has changed then.
    """
    from outcomes.report.power_results import PAGE, build_power_results
    from outcomes.report.writing import write_results

    write_results(build_power_results(study), Path(folder), made_by="power")
    return Path(folder) / PAGE
