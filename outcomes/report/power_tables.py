"""A power simulation as one table, one row a place of the grid and supposition."""

import pandas as pd

from outcomes.planning.power_cell import Cell
from outcomes.planning.power_question import Scenario
from outcomes.planning.power_study import PowerPart, PowerStudy

COLUMNS = (
    "hypothesis", "claim", "suppose", "luck", "firing_sd", "change_per_100", "level",
    "firings", "pieces_per_firing", "pieces", "runs", "answered", "supported_per_100",
    "supported_low", "supported_high", "noticed_per_100",
    "noticed_low", "noticed_high", "noticed_enough_per_100", "wrong_way_per_100_noticed",
    "equivalent_per_100", "equivalent_low", "equivalent_high", "width_per_100",
    "formula_per_100", "smallest_p", "barred",
)  # fmt: skip


def build_power_table(study: PowerStudy) -> pd.DataFrame:
    """Return the whole grid; chances, changes and widths are per 100."""
    rows = [
        _build_row(part, part.scenarios[slot // len(part.grid.layouts)], cell)
        for part in study.parts
        for slot, cell in enumerate(part.cells)
    ]
    return pd.DataFrame(rows, columns=list(COLUMNS))


def _build_row(part: PowerPart, scenario: Scenario, cell: Cell) -> tuple[object, ...]:
    clear, small, supported = cell.clear(), cell.small(), cell.supported()
    wrong, width, tally = cell.wrong_share(), cell.width(), cell.tally
    simulated = tally.runs > 0
    limits = (100 * clear.low, 100 * clear.high) if simulated else (None, None)
    small_limits = (100 * small.low, 100 * small.high) if simulated else (None, None)
    runs = max(1, tally.runs)
    tested: tuple[float | None, ...] = (None, None, None)
    if simulated and part.question.tested:
        tested = (100 * tally.supported / runs, 100 * supported.low, 100 * supported.high)
    return (
        part.question.name,
        str(part.question.claim),
        str(scenario.kind),
        str(scenario.luck),
        scenario.truth.firing_sd,
        100 * scenario.truth.change,
        part.question.level,
        cell.layout.firings,
        cell.layout.mean_size(),
        cell.layout.firings * cell.layout.mean_size(),
        tally.runs,
        tally.answered,
        *tested,
        100 * tally.clear / runs,
        *limits,
        100 * tally.enough / runs,
        None if wrong is None else 100 * wrong,
        100 * tally.small / runs,
        *small_limits,
        None if width is None else 100 * width,
        100 * cell.guess,
        cell.smallest_p,
        str(cell.barred),
    )
