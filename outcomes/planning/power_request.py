"""From what a person asked for, with or without a plan and a log, to questions and a grid."""

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from outcomes.errors import PlanError, RequestError
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.planning.plan import Direction, Plan, Unit
from outcomes.planning.plan_codebook import check_codebook
from outcomes.planning.plan_file import Where
from outcomes.planning.plan_problems import describe_plan_problems
from outcomes.planning.power_log import read_background
from outcomes.planning.power_plan import build_questions, check_share_count
from outcomes.planning.power_question import (
    FIRINGS,
    PIECES,
    Background,
    Question,
    Wish,
    state_background,
)
from outcomes.planning.power_truth import change_of_odds_ratio
from outcomes.resampling.intervals import FEWEST_FIRINGS

NOWHERE: Final = Where(file="The plan", lines=MappingProxyType({}))
USUAL_DIFFERENCE: Final = 0.10  # what codebooks call worth having unless they say otherwise
Asked = tuple[Question, Background]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PowerRequest:
    """What was asked for; what is None is taken from the plan, the log or a default.

    Parameters
    ----------
    plan, log, codebook
        As read. A log asks for a plan.
    where
        The plan's file and lines, for messages.
    shares
        Share of each grade, lowest first, adding up to 1.
    aim
        Grade from which a piece counts, without a plan.
    effect
        Smallest difference that matters, pieces per 100; negative for fewer.
    odds_ratio
        The same as an odds ratio of reaching the aim, instead.
    luck
        Sd of the firings' luck, log-odds.
    assigned
        Firing or piece, without a plan.
    firings, pieces
        The grid.
    confidence
        Without a plan, which states its level.
    runs, seed
        Trials a place, and where their luck comes from.
    """

    plan: Plan | None = None
    where: Where = NOWHERE
    log: FiringLog | None = None
    codebook: Codebook
    shares: tuple[float, ...] | None = None
    aim: int | None = None
    effect: float | None = None
    odds_ratio: float | None = None
    luck: float | None = None
    assigned: Unit | None = None
    firings: tuple[int, ...] = ()
    pieces: tuple[int, ...] = ()
    confidence: float | None = None
    runs: int = 1000
    seed: int = 1

    def __post_init__(self) -> None:
        if self.effect is not None and self.odds_ratio is not None:
            raise RequestError(
                "Both --effect and --odds-ratio were given; they say the same thing. Leave one out."
            )
        if self.log is not None and self.plan is None:
            raise RequestError(
                "A log was given without a plan. Name the plan first, then the log; "
                "`outcomes declare` writes one."
            )
        fixed = {"--aim": self.aim, "--by": self.assigned, "--confidence": self.confidence}
        given = [name for name, value in fixed.items() if value is not None]
        if self.plan is not None and given:
            raise RequestError(
                f"{given[0]} was given, but the plan and its codebook say that. Leave it out, or "
                f"declare another plan."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """Everything that is to be simulated; ``title`` and the words as in `PowerStudy`."""

    title: str = ""
    asked: tuple[Asked, ...]
    wish: Wish
    cluster_word: str = "firing"
    piece_word: str = "piece"


def prepare_power(request: PowerRequest) -> Prepared:
    """Return the questions, what is known of the pots, and the grid.

    Raises
    ------
    RequestError, PlanError, LogError
        If something is missing or cannot be; says what to give.
    """
    asked = _ask_freely(request) if request.plan is None else _ask_plan(request, request.plan)
    return Prepared(
        title="" if request.plan is None else request.plan.title,
        cluster_word=request.codebook.cluster_word,
        piece_word=request.codebook.piece_word,
        asked=asked,
        wish=Wish(
            firings=_find_firings(request),
            pieces=_find_pieces(request),
            observed=not request.pieces,
            runs=request.runs,
            seed=request.seed,
        ),
    )


def parse_shares(numbers: Sequence[float]) -> tuple[float, ...]:
    """Return shares that add up to 1 from pieces of 100, or from shares as they are.

    What adds up to neither is taken as pieces of 100; `power_truth.Truth` refuses it.

    >>> parse_shares([25, 75]), parse_shares([0.5, 0.5])
    ((0.25, 0.75), (0.5, 0.5))
    """
    whole = 1.0 if abs(sum(numbers) - 1.0) < 1e-6 else 100.0
    return tuple(number / whole for number in numbers)


def parse_whole(numbers: Sequence[float], *, option: str) -> tuple[int, ...]:
    """Return numbers as whole ones.

    Raises
    ------
    RequestError
        If one is not whole.
    """
    for number in numbers:
        if not float(number).is_integer():
            raise RequestError(f"{option}: {number:g} is no whole number. Write for example 8,12.")
    return tuple(int(number) for number in numbers)


def _ask_freely(request: PowerRequest) -> tuple[Asked, ...]:
    """Return the one question of a guess."""
    if request.shares is None:
        raise RequestError(
            "Nothing says how the grades fall. Give the share of each, the lowest grade first, "
            "for example --shares 10,20,30,25,15; or a plan with a log."
        )
    background = state_background(request.shares, aim=request.aim, luck=request.luck)
    change = _find_change(request, background)
    change = USUAL_DIFFERENCE if change is None else change
    confidence = 0.95 if request.confidence is None else request.confidence
    question = Question(
        direction=Direction.MORE if change >= 0.0 else Direction.FEWER,
        assigned=request.assigned or Unit.FIRING,
        smallest=abs(change),
        level=round(1.0 - confidence, 12),
    )
    return ((question, background),)


def _ask_plan(request: PowerRequest, plan: Plan) -> tuple[Asked, ...]:
    """Return a plan's questions, each with what is known of its outcome."""
    if problems := check_codebook(plan, request.codebook):
        where = request.where
        raise PlanError(describe_plan_problems(problems, file=where.file, lines=where.lines))
    asked: list[Asked] = []
    for at, hypothesis in enumerate(plan.hypotheses):
        outcome = request.codebook.outcome(hypothesis.outcome)
        if request.shares is not None:
            check_share_count(outcome, request.shares)
            known = state_background(request.shares, aim=outcome.aim, luck=request.luck)
        elif request.log is not None:
            known = read_background(request.log, outcome, luck=request.luck)
        else:
            raise RequestError(
                f"Nothing says how the grades of {outcome.label} fall. Give a log after the "
                f"plan, or the share of each grade, the lowest first, with --shares."
            )
        change = _find_change(request, known)
        if change is not None and change < 0.0:
            raise RequestError(
                "A difference toward fewer pieces was given, but the plan states the direction. "
                "Give its size alone, for example --effect 15."
            )
        questions = build_questions(plan, request.codebook, smallest=change)
        asked.append((questions[at], known))
    return tuple(asked)


def _find_change(request: PowerRequest, background: Background) -> float | None:
    """Return the difference asked for as a probability, None when none was."""
    if request.odds_ratio is not None:
        return change_of_odds_ratio(background.shares, background.aim, request.odds_ratio)
    return None if request.effect is None else request.effect / 100.0


def _find_firings(request: PowerRequest) -> tuple[int, ...]:
    """Return the firings of the grid: as asked, else about the plan's, else a usual range."""
    if request.firings:
        return tuple(sorted(set(request.firings)))
    if request.plan is None:
        return FIRINGS
    planned = request.plan.firings
    around = {planned, planned * 3 // 2, planned * 2, max(FEWEST_FIRINGS, planned // 2)}
    return tuple(sorted(around))


def _find_pieces(request: PowerRequest) -> tuple[int, ...]:
    """Return the pieces of the grid: as asked, else the plan's, else a usual range."""
    if request.pieces:
        return tuple(sorted(set(request.pieces)))
    return PIECES if request.plan is None else (request.plan.pieces,)
