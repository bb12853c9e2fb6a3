"""Which kinds of logs the evidence study invents, and how many of each.

A cell is one kind of log. Every level of interest occurs: 8, 12, 24, 48 firings; firing luck
of standard deviation 0, 0.8, 1.5 (log-odds; a piece's own luck has 1.81); 6-8 or 2-12 pieces a
firing; 3 of 12 firings treated; 4 and 12 columns; 5 grades and 2; numeric and two-level
settings of the firing and of the piece stand side by side in every log. The three factors that
matter most are crossed in full; the others are varied around 0.8 and 6-8 pieces.
"""

from dataclasses import dataclass
from enum import StrEnum
from fnmatch import fnmatchcase

EQUAL, UNEQUAL = (6, 8), (2, 12)
LOGS, NULL_LOGS, KNOWN_LOGS, DEMO_LOGS, TANGLED_LOGS = 2000, 1000, 250, 100, 500


class Kind(StrEnum):
    """What is asked of a cell's logs."""

    COVERAGE = "coverage"  # do intervals hold the truth?
    NULL = "null"  # is nothing found where nothing is?
    KNOWN = "known"  # is what is there found, ranked, and nothing else?
    TANGLED = "tangled"  # are settings that move together named?
    DEMO = "demo"  # the demo's yard, another year


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One kind of log.

    Parameters
    ----------
    kind, logs
        What is asked, and of how many logs.
    firings
        G.
    firing_sd
        Standard deviation of the firing luck, log-odds.
    sizes
        Fewest and most pieces of a firing, each number equally likely.
    columns
        Factors written down; the budget of `design.budget` may keep fewer.
    treated
        Firings in which the two-level firing setting is "yes"; 0 means half of them.
    grades
        K.
    gain
        Log-odds of every judged two-level setting; a numeric one has half of it a standard
        deviation.
    pair
        For ``TANGLED``: how two settings move together.
    """

    kind: Kind
    logs: int
    firings: int
    firing_sd: float = 0.8
    sizes: tuple[int, int] = EQUAL
    columns: int = 4
    treated: int = 0
    grades: int = 5
    gain: float = 1.0
    pair: str = ""

    @property
    def name(self) -> str:
        """Return a name that is a file name and says everything."""
        parts = [str(self.kind), f"G{self.firings}"]
        if self.kind is Kind.COVERAGE:
            parts += [f"sd{self.firing_sd:g}", "-".join(map(str, self.sizes)), f"p{self.columns}"]
            parts += [f"treated{self.treated}"] if self.treated else []
            parts += [f"K{self.grades}"] if self.grades != 5 else []
            parts += [f"gain{self.gain:g}"] if self.gain != 1.0 else []
        return "_".join([*parts, *([self.pair] if self.pair else [])])

    @property
    def trail(self) -> tuple[int, ...]:
        """Return the numbers that seed this cell's logs: its name, letter by letter."""
        return tuple(self.name.encode())


def _coverage(firings: int, **changes: object) -> Cell:
    return Cell(kind=Kind.COVERAGE, logs=LOGS, firings=firings, **changes)  # type: ignore[arg-type]


def coverage_cells() -> tuple[Cell, ...]:
    """Return the cells in which intervals are judged."""
    crossed = [
        _coverage(firings, firing_sd=sd, sizes=sizes)
        for firings in (8, 12, 24, 48)
        for sd in (0.0, 0.8, 1.5)
        for sizes in (EQUAL, UNEQUAL)
    ]
    wide = [
        _coverage(firings, columns=12, sizes=sizes)
        for firings in (8, 12, 24, 48)
        for sizes in (EQUAL, UNEQUAL)
    ]
    wide += [_coverage(24, columns=12, firing_sd=sd) for sd in (0.0, 1.5)]
    few = [
        _coverage(12, treated=3, firing_sd=sd, sizes=sizes)
        for sd in (0.0, 0.8, 1.5)
        for sizes in (EQUAL, UNEQUAL)
    ]
    few += [_coverage(12, treated=3, columns=12), _coverage(24, treated=4)]
    others = [_coverage(24, grades=2), _coverage(24, gain=0.0), _coverage(24, gain=2.0)]
    return (*crossed, *wide, *few, *others)


def whole_cells() -> tuple[Cell, ...]:
    """Return the cells in which the whole analysis is judged, verdicts and all."""
    return (
        *(Cell(kind=Kind.NULL, logs=NULL_LOGS, firings=firings) for firings in (24, 36)),
        *(Cell(kind=Kind.KNOWN, logs=KNOWN_LOGS, firings=firings) for firings in (24, 48)),
        Cell(kind=Kind.DEMO, logs=DEMO_LOGS, firings=32),
    )


def tangled_cells() -> tuple[Cell, ...]:
    """Return the cells in which settings move together, or do not."""
    pairs = ("same", "one-apart", "firings-follow", "pieces-follow", "apart")
    return tuple(
        Cell(kind=Kind.TANGLED, logs=TANGLED_LOGS, firings=24, sizes=EQUAL, pair=pair)
        for pair in pairs
    )


def all_cells() -> tuple[Cell, ...]:
    """Return every cell of the study, the cheap and telling ones first."""
    return (*coverage_cells(), *tangled_cells(), *whole_cells())


def choose_cells(patterns: tuple[str, ...]) -> tuple[Cell, ...]:
    """Return the cells whose name matches one of the patterns; () means all.

    >>> [cell.name for cell in choose_cells(("coverage_G8_sd0_*",))]
    ['coverage_G8_sd0_6-8_p4', 'coverage_G8_sd0_2-12_p4']
    """
    cells = all_cells()
    if not patterns:
        return cells
    return tuple(cell for cell in cells if any(fnmatchcase(cell.name, one) for one in patterns))
