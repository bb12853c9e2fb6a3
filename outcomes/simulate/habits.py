"""How the settings of an invented log were chosen: one firing to the next, piece to piece.

Every habit has a standard normal score a piece, z = sqrt(b) z_firing + sqrt(1 - b) z_piece,
b the share of its variation that lies between firings. Scores of habits that move together
are correlated at both levels; values are read off the scores (a Gaussian copula).
"""

from dataclasses import dataclass

from outcomes.errors import RequestError


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A numeric habit.

    Parameters
    ----------
    name
        Canonical column name.
    centre, spread
        Mean and sd; with ``logarithmic`` the median and the sd of the natural logarithm.
    low, high
        Values are clipped to these.
    grid
        Values are rounded to a multiple of it; 0 leaves them alone.
    between
        Share of the variation between firings: 1 a firing setting, 0 a piece setting.
    """

    name: str
    centre: float
    spread: float
    low: float = float("-inf")
    high: float = float("inf")
    grid: float = 0.0
    between: float = 0.0
    logarithmic: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A habit with named levels; ``shares`` are their expected shares, in the same order."""

    name: str
    levels: tuple[str, ...]
    shares: tuple[float, ...]
    between: float = 0.0

    def __post_init__(self) -> None:
        if not self.levels or len(self.levels) != len(self.shares) or min(self.shares) <= 0:
            raise RequestError(
                f"{self.name}: every level needs one positive share, "
                f"got {self.levels!r} with {self.shares!r}."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Treated:
    """A firing setting with two levels, the second in exactly ``firings`` firings."""

    name: str
    levels: tuple[str, str]
    firings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Two habits that move together, with this correlation of their scores."""

    first: str
    second: str
    correlation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """What a helper does to an amount: ``value * times + plus``."""

    name: str
    times: float = 1.0
    plus: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Helper:
    """Someone else who pulls some pieces of some firings, in their own way.

    Parameters
    ----------
    column
        Column that says who pulled.
    usual, name
        The two codes written there.
    firings
        Share of the firings the helper is at (rounded to whole firings).
    pieces
        Chance that the helper pulls a piece of such a firing.
    moves
        How the helper's amounts differ.
    """

    column: str
    usual: str
    name: str
    firings: float
    pieces: float
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """All habits of a studio; dates run evenly over ``days`` from ``start``."""

    amounts: tuple[Amount, ...] = ()
    choices: tuple[Choice, ...] = ()
    treated: tuple[Treated, ...] = ()
    together: tuple[Together, ...] = ()
    helper: Helper | None = None
    start: str = "2024-03-02"
    days: int = 350

    def __post_init__(self) -> None:
        names = [habit.name for habit in self.scored()]
        names += [habit.name for habit in self.treated]
        if len(set(names)) < len(names):
            raise RequestError(f"each habit may be given once, got {sorted(names)!r}.")
        scored = {habit.name for habit in self.scored()}
        for pair in self.together:
            if not {pair.first, pair.second} <= scored or pair.first == pair.second:
                raise RequestError(
                    f"{pair.first!r} and {pair.second!r} cannot move together: both must be "
                    f"different amounts or choices of these habits."
                )

    def scored(self) -> tuple[Choice | Amount, ...]:
        """Return the habits that have a score: choices, then amounts."""
        return (*self.choices, *self.amounts)
