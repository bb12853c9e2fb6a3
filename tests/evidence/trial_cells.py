"""Which trials the size study invents: assigned by lot, with nothing or the margin to find."""

from dataclasses import dataclass
from enum import StrEnum

SIZE_LOGS, EQUIVALENCE_LOGS = 2000, 1000
PIECES = 8
MARGIN = 0.20  # of the equivalence cells: 20 pieces per 100, and the true change is just that


class Lot(StrEnum):
    """What the lot falls on."""

    PIECE = "piece, within its firing"
    FIRING = "whole firing"
    PAIR = "whole firing, within pairs"


class Asked(StrEnum):
    """What is counted."""

    SIZE = "size"  # a difference is claimed where there is none
    EQUIVALENCE = "equivalence"  # equivalence is claimed where the change is just the margin


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One kind of trial: G firings of 8 pieces, firing luck of that sd (log-odds), one lot."""

    asked: Asked
    lot: Lot
    firings: int
    firing_sd: float
    logs: int

    @property
    def name(self) -> str:
        """Return a name for rows and streams."""
        return f"{self.asked}_{self.lot}_G{self.firings}_sd{self.firing_sd:g}"


def all_cells() -> tuple[Cell, ...]:
    """Return every cell, in a fixed order: each has its own stream of random numbers."""
    sizes = tuple(
        Cell(asked=Asked.SIZE, lot=lot, firings=firings, firing_sd=sd, logs=SIZE_LOGS)
        for lot in (Lot.PIECE, Lot.FIRING)
        for firings in (6, 12, 24)
        for sd in (0.0, 0.8, 1.5)
    )
    equivalences = tuple(
        Cell(asked=Asked.EQUIVALENCE, lot=lot, firings=firings, firing_sd=sd, logs=EQUIVALENCE_LOGS)
        for firings, sd in ((24, 0.8), (24, 1.5), (12, 0.8), (24, 0.0))
        for lot in (Lot.PIECE, Lot.FIRING)
    )
    pairs = tuple(
        Cell(asked=Asked.SIZE, lot=Lot.PAIR, firings=firings, firing_sd=0.8, logs=SIZE_LOGS)
        for firings in (6, 12, 24)
    )
    return (*sizes, *equivalences, *pairs)
