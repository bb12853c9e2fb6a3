"""The record a power simulation leaves: every question with its grid of cells."""

from collections.abc import Callable
from dataclasses import dataclass

from outcomes import __version__
from outcomes.card import describe_line, render_card
from outcomes.planning.plan import Claim
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

    def _facts(self) -> tuple[tuple[str, object], ...]:
        runs = sum(cell.tally.runs for part in self.parts for cell in part.cells)
        return (("", self.title), ("questions", len(self.parts)), ("simulated trials", runs))

    def __repr__(self) -> str:
        return describe_line("PowerStudy", self._facts())

    def _repr_html_(self) -> str:
        columns = ("question", "supposed", "luck", f"{self.cluster_word}s",
                   f"{self.piece_word}s each", "trials", "claim found, per 100")  # fmt: skip
        rows = [
            (part.question.name, scenario.kind, scenario.luck, cell.layout.firings,
             f"{cell.layout.mean_size():g}", cell.tally.runs, _show_found(part, cell))
            for part in self.parts
            for scenario in part.scenarios
            for cell in part.cells_of(scenario.kind, scenario.luck)
        ]  # fmt: skip
        return render_card("Power", self._facts(), columns, rows)


def _show_found(part: PowerPart, cell: Cell) -> str | None:
    """Return how many of 100 trials find what is claimed, with limits; None if none was run.

    That is "supported" of a tested difference, "equivalent" of an equivalence, and otherwise
    limits that lie on one side of no difference.
    """
    tally = cell.tally
    if not tally.runs:
        return None
    found, limits = tally.clear, cell.clear()
    if part.question.claim is Claim.EQUIVALENCE:
        found, limits = tally.small, cell.small()
    elif part.question.tested:
        found, limits = tally.supported, cell.supported()
    return f"{100 * found / tally.runs:.0f} ({100 * limits.low:.0f} to {100 * limits.high:.0f})"


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
