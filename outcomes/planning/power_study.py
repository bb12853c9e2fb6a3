"""The record a power simulation leaves: every question with its grid of cells."""

from collections.abc import Callable
from dataclasses import dataclass

from outcomes import __version__
from outcomes.planning.power_cell import Cell
from outcomes.planning.power_grid import Grid, simulate_grid
from outcomes.planning.power_question import (
    Background,
    Kind,
    Luck,
    Question,
    Scenario,
    build_grid,
    build_scenarios,
)
from outcomes.planning.power_request import Prepared


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPart:
    """One question answered.

    ``cells`` stand scenario by scenario, in each by pieces and then by firings.
    """

    question: Question
    background: Background
    scenarios: tuple[Scenario, ...]
    grid: Grid
    cells: tuple[Cell, ...]

    def cells_of(self, kind: Kind, luck: Luck) -> tuple[Cell, ...]:
        """Return the cells of one scenario."""
        each = len(self.grid.layouts)
        for slot, scenario in enumerate(self.scenarios):
            if scenario.kind is kind and scenario.luck is luck:
                return self.cells[slot * each : (slot + 1) * each]
        return ()

    def scenario(self, kind: Kind, luck: Luck) -> Scenario:
        """Return one scenario.

        Raises
        ------
        KeyError
            If it was not simulated.
        """
        for scenario in self.scenarios:
            if scenario.kind is kind and scenario.luck is luck:
                return scenario
        raise KeyError(kind, luck)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerStudy:
    """All questions of one run.

    ``title`` is the plan's, "" without one; the words are the codebook's.
    """

    title: str = ""
    parts: tuple[PowerPart, ...]
    cluster_word: str = "firing"
    piece_word: str = "piece"
    version: str = __version__


def count_all_runs(prepared: Prepared) -> int:
    """Return how many trials will be simulated: what a progress bar needs."""
    return sum(
        build_grid(question, known, build_scenarios(question, known), prepared.wish).count_runs()
        for question, known in prepared.asked
    )


def simulate_questions(
    prepared: Prepared, *, workers: int = 1, progress: Callable[[int], None] | None = None
) -> PowerStudy:
    """Return every question answered, in their order.

    Parameters
    ----------
    prepared
        From `power_request.prepare_power`.
    workers, progress
        As in `power_grid.simulate_grid`.
    """
    parts = []
    for question, background in prepared.asked:
        scenarios = build_scenarios(question, background)
        grid = build_grid(question, background, scenarios, prepared.wish)
        parts.append(
            PowerPart(
                question=question,
                background=background,
                scenarios=scenarios,
                grid=grid,
                cells=simulate_grid(grid, workers=workers, progress=progress),
            )
        )
    return PowerStudy(
        title=prepared.title,
        parts=tuple(parts),
        cluster_word=prepared.cluster_word,
        piece_word=prepared.piece_word,
    )
