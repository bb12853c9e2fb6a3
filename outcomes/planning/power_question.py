"""What is asked of a power simulation: a comparison, what is known of the pots, a grid."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from outcomes.errors import RequestError
from outcomes.planning.plan import Claim, Direction, Unit
from outcomes.planning.power_cell import Rule
from outcomes.planning.power_grid import Grid
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_truth import LARGEST_LUCK, Truth, check_shares

USUAL_LUCK: Final = 0.8  # assumed where nothing is known; no source but logs like ours
FIRINGS: Final = (8, 12, 16, 24, 36, 48)
PIECES: Final = (4, 6, 8)
_CERTAIN: Final = 1e-6  # a chance this near 0 or 1 leaves no room


class Kind(StrEnum):
    """Which difference a scenario supposes."""

    MATTERS = "matters"  # the smallest difference that matters is there
    NOTHING = "nothing"  # there is none


class Luck(StrEnum):
    """Where a scenario's firing luck comes from."""

    STATED = "stated"
    ASSUMED = "assumed"
    ESTIMATED = "estimated"  # from the log
    UPPER = "upper"  # the largest the log allows


@dataclass(frozen=True, slots=True, kw_only=True)
class Background:
    """What is known of the pots before the trial.

    Parameters
    ----------
    shares
        Share of each grade, lowest first.
    aim
        The grade from which a piece counts.
    lucks
        (sd of the firings' luck, where it comes from), the likeliest first.
    sizes
        Pieces of the firings observed; () when none were.
    firings, pieces
        How many this rests on; 0 for a guess.
    """

    shares: tuple[float, ...]
    aim: int
    lucks: tuple[tuple[float, Luck], ...]
    sizes: tuple[int, ...] = ()
    firings: int = 0
    pieces: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One comparison to be powered.

    Parameters
    ----------
    name
        Of the hypothesis, "" without a plan.
    claim, direction
        What will be claimed.
    assigned, values, blocks
        As in `Layout`.
    smallest
        Smallest difference that matters, as a probability above 0.
    level
        Level of this comparison; the limits have confidence 1 - level.
    tested
        Whether a plan's permutation test decides; else the limits do.
    claims
        Hypotheses of the plan that share its level; ``level`` is the strictest step of Holm's
        rule for them.
    borrowed
        Whether the codebook's smallest difference stands in for a margin the plan leaves out.
    compared
        (outcome's label, factor's label, from, to), () without a plan.
    """

    name: str = ""
    claim: Claim = Claim.DIFFERENCE
    direction: Direction = Direction.EITHER
    assigned: Unit = Unit.FIRING
    values: int = 2
    blocks: int = 1
    smallest: float
    level: float = 0.05
    tested: bool = False
    claims: int = 1
    borrowed: bool = False
    compared: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 0.0 < self.smallest < 1.0:
            raise RequestError(
                f"The smallest difference that matters is {100 * self.smallest:g} pieces per "
                f"100; more than 0 and less than 100 was expected. Write for example "
                f"--effect 15, or --effect -15 for fewer."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """The grid and how it is simulated.

    ``firings`` and ``pieces`` are the two sides of the grid; where ``observed`` the sizes of the
    log's firings are looked at too.
    """

    firings: tuple[int, ...]
    pieces: tuple[int, ...]
    observed: bool = False
    runs: int = 1000
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A truth, which difference it supposes and where its luck comes from."""

    truth: Truth
    kind: Kind
    luck: Luck


def build_scenarios(question: Question, background: Background) -> tuple[Scenario, ...]:
    """Return the truths to simulate: each luck with the smallest difference, then with none.

    Raises
    ------
    RequestError
        If the difference leaves 0..100.
    """
    change = signed_change(question, background)
    return tuple(
        Scenario(
            truth=Truth(
                shares=background.shares,
                aim=background.aim,
                change=change if kind is Kind.MATTERS else 0.0,
                firing_sd=min(sd, LARGEST_LUCK) if luck is Luck.UPPER else sd,
            ),
            kind=kind,
            luck=luck,
        )
        for sd, luck in background.lucks
        for kind in Kind
    )


def signed_change(question: Question, background: Background) -> float:
    """Return the smallest difference in the direction that is simulated.

    An undirected question is simulated upward, or downward where there is no room above.
    """
    if question.direction is Direction.FEWER:
        return -question.smallest
    rate = sum(background.shares[background.aim :])
    full = rate + question.smallest >= 1.0 - _CERTAIN
    if question.direction is Direction.EITHER and full:
        return -question.smallest
    return question.smallest


def build_grid(
    question: Question, background: Background, scenarios: tuple[Scenario, ...], wish: Wish
) -> Grid:
    """Return the grid of a question."""
    return Grid(
        truths=tuple(scenario.truth for scenario in scenarios),
        layouts=tuple(
            Layout(
                firings=firings,
                sizes=sizes,
                assigned=question.assigned,
                values=question.values,
                blocks=question.blocks,
            )
            for sizes in _list_sizes(question, background, wish)
            for firings in wish.firings
        ),
        rule=Rule(
            level=question.level,
            smallest=question.smallest,
            lot=question.direction if question.tested else None,
        ),
        runs=wish.runs,
        seed=wish.seed,
    )


def _list_sizes(
    question: Question, background: Background, wish: Wish
) -> tuple[tuple[int, ...], ...]:
    """Return the sizes of firings to look at; firings too small to hold every value are left out.

    The sizes observed are as many as the log has firings, so that each is as likely as it was.
    """
    fixed = tuple((size,) for size in wish.pieces)
    least = question.values if question.assigned is Unit.PIECE else 1
    seen = tuple(size for size in background.sizes if size >= least)
    if not wish.observed or not seen or (len(set(seen)) == 1 and seen[:1] in fixed):
        return fixed
    return (*fixed, seen)


def state_background(
    shares: tuple[float, ...], *, aim: int | None, luck: float | None
) -> Background:
    """Return what a person states: the aim nearest to half of the pieces, and usual luck, if not.

    >>> state_background((0.2, 0.5, 0.3), aim=None, luck=None).aim
    2
    """
    check_shares(shares)
    lucks = ((USUAL_LUCK, Luck.ASSUMED),) if luck is None else ((luck, Luck.STATED),)
    chosen = find_middle_aim(shares) if aim is None else aim
    return Background(shares=shares, aim=chosen, lucks=lucks)


def find_middle_aim(shares: tuple[float, ...]) -> int:
    """Return the grade from which the pieces counted come nearest to half of all.

    >>> find_middle_aim((0.1, 0.2, 0.3, 0.25, 0.15))
    3
    """
    reach = [abs(sum(shares[grade:]) - 0.5) for grade in range(1, len(shares))]
    return 1 + min(range(len(reach)), key=lambda at: round(reach[at], 9))
