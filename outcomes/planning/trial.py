"""The records a tested plan leaves: everything a page, a table or a notebook may show."""

from dataclasses import dataclass
from enum import StrEnum

from outcomes.card import describe_line, render_card
from outcomes.effects.effect import Effect
from outcomes.finding import Finding
from outcomes.log.firing_log import FiringLog
from outcomes.planning.plan import Hypothesis, Plan, SealState, Unit
from outcomes.resampling.interval import Interval
from outcomes.resampling.permutation import DRAWN, EXACT_UP_TO, Permutation


class Answer(StrEnum):
    """The fixed words of an answer."""

    SUPPORTED = "supported"
    OPPOSED = "opposed"
    EQUIVALENT = "equivalent within the margin"
    UNDECIDED = "undecided"


class Statistic(StrEnum):
    """What was permuted."""

    RESIDUALS = "residuals of the model without the factor"
    RANKS = "ranks of the grades"


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialOptions:
    """How a plan is tested; with the plan and the files it determines every byte.

    ``resamples`` are redraws of whole firings for the interval; ``exact_up_to`` arrangements are
    enumerated, of more ``drawn`` are drawn.
    """

    resamples: int = 2000
    exact_up_to: int = EXACT_UP_TO
    drawn: int = DRAWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Equivalence:
    """Two one-sided tests against the margins of a hypothesis.

    Parameters
    ----------
    interval, interval_grade
        Two-sided intervals of confidence 1 - 2 level: of the change, and of the mean grade.
    p_inside
        Of "the change lies outside the margin": small supports equivalence. With two margins
        the larger of the two.
    p_outside
        Of "the change lies inside the margin": small opposes it. With two margins the smaller,
        doubled.
    """

    interval: Interval
    interval_grade: Interval
    p_inside: float
    p_outside: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Examined:
    """One hypothesis before it is judged beside the others.

    Parameters
    ----------
    hypothesis, unit
        What was claimed, and what was assigned.
    pieces_from, pieces_to, firings
        Pieces at either value, and firings they come from.
    counts_from, counts_to
        Pieces at each grade of the codebook, lowest first.
    strata, idle_strata
        Strata in which both values occur, and those with only one, which say nothing.
    smallest_p
        The smallest p value this log's assignment could have given, two-sided or one-sided as
        claimed.
    permutation, statistic
        The test, and what it permuted.
    effect
        In pieces per 100 and mean grade; None when ``why_no_effect`` says why, or under the
        floors its intervals are None.
    pulled
        Whether the change at the aim needed a weak pull toward no difference, because one side
        lies wholly below or above the aim, or would without one of its firings.
    equivalence
        None without a margin or without an interval.
    left_out
        ((reason, pieces), ...): counted pieces at the two values that could not be used.
    """

    hypothesis: Hypothesis
    unit: Unit
    pieces_from: int
    pieces_to: int
    firings: int
    counts_from: tuple[int, ...]
    counts_to: tuple[int, ...]
    strata: int
    idle_strata: int
    smallest_p: float
    permutation: Permutation
    statistic: Statistic
    effect: Effect | None
    pulled: bool
    why_no_effect: str
    equivalence: Equivalence | None
    left_out: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answered:
    """One hypothesis with its answer.

    Parameters
    ----------
    tested
        What was found.
    answer
        One of the fixed words.
    p_value, p_adjusted
        Of the claim itself, alone and after Holm over all hypotheses.
    p_against
        After Holm: of the opposite of the claim; None when it has none (a difference in either
        direction).
    p_equivalent
        After Holm: that the change lies within the margin; None without one.
    """

    tested: Examined
    answer: Answer
    p_value: float
    p_adjusted: float
    p_against: float | None
    p_equivalent: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """A tested plan.

    Parameters
    ----------
    plan, seal
        What was declared, and whether it is still what was sealed.
    log
        As read, impossible values set aside.
    answers
        In the order of the plan.
    deviations
        Where log and plan differ, the gravest first.
    pieces, firings
        That counted.
    options, version
        How it was computed.
    """

    plan: Plan
    seal: SealState
    log: FiringLog
    answers: tuple[Answered, ...]
    deviations: tuple[Finding, ...]
    pieces: int
    firings: int
    options: TrialOptions
    version: str

    def _facts(self) -> tuple[tuple[str, object], ...]:
        codebook = self.log.codebook
        return (
            ("", self.plan.title),
            (f"{codebook.piece_word}s", self.pieces),
            (f"{codebook.cluster_word}s", self.firings),
            (str(self.seal), "seal"),
            ("deviations", len(self.deviations)),
        )

    def __repr__(self) -> str:
        return describe_line("Trial", self._facts())

    def _repr_html_(self) -> str:
        columns = ("hypothesis", "answer", "change per 100", "low", "high")
        rows = [
            (each.tested.hypothesis.name, each.answer, *_show_change(each.tested.effect))
            for each in self.answers
        ]
        return render_card("Trial", self._facts(), columns, rows)


def _show_change(effect: Effect | None) -> tuple[str | None, str | None, str | None]:
    """Return a change and its interval in whole pieces per 100, None where there is none."""
    if effect is None:
        return (None, None, None)
    interval = effect.interval
    change = f"{100 * effect.change:+.0f}"
    if interval is None:
        return (change, None, None)
    return (change, f"{100 * interval.low:+.0f}", f"{100 * interval.high:+.0f}")
