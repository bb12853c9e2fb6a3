"""What a plan is expected to tell: interval widths before and after, and how far that reaches.

The planning model gives the ratio of a contrast's variance after and before; today's printed
interval, or its jackknife error, gives the scale. A question counts as decided by the rule that
`effects.verdicts.further_firings` uses: a 90 % interval no longer than the smallest difference
worth having cannot hold both "nothing" and that difference. Today's estimate does not enter.
Degrees of freedom grow with the firings.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from outcomes.doubts.check_tangled import TWIN_EXPLAINED
from outcomes.doubts.collinearity import explained_share
from outcomes.planning.next_exchange import IntArray, planned_information
from outcomes.planning.next_information import FloatArray, contrast_variance
from outcomes.planning.next_known import Known
from outcomes.planning.next_model import PlanModel
from outcomes.planning.next_questions import Open, Question

MOST_FIRINGS = 200
MOST_TIMES = 100.0
WIDEST = 2.0  # from all fewer to all more
_HALVINGS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """One question before and after the plan; widths are differences of probabilities.

    Parameters
    ----------
    question
        What is asked.
    width_now, width_then, width_as_before
        Of the printed interval: today, after the plan, and after as many pieces fired as before.
        Today and as before None for what is tangled or never varied: habits that stay the same
        say no more of it, however often they are repeated.
    decides
        Whether the plan is expected to decide it.
    explained_now, explained_then
        Share of its variation that what it is tangled with explains; None unless tangled.
    firings_planned, firings_as_before
        Firings that would decide it, planned (this round, then rounds like it planned anew) or
        fired as before; None: more than 200.
    times
        So many pieces fired as before tell as much as one planned piece; at most 100.
    """

    question: Question
    width_now: float | None
    width_then: float
    width_as_before: float | None
    decides: bool
    explained_now: float | None
    explained_then: float | None
    firings_planned: int | None
    firings_as_before: int | None
    times: float

    @property
    def pulls_apart(self) -> bool:
        """Return whether a tangle is expected to be broken."""
        return self.explained_then is not None and self.explained_then < TWIN_EXPLAINED

    @property
    def left(self) -> float | None:
        """Return the share of today's width that is left; None where there is no such width."""
        return None if self.width_now is None else self.width_then / self.width_now


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Yard:
    """What one question is measured with; ``scale`` is error over planning-model error."""

    model: PlanModel
    contrast: FloatArray
    scale: float
    df: float
    comparisons: int
    delta: float
    firings: int

    def error(self, *, times: float = 1.0, news: FloatArray | None = None) -> float:
        """Return the standard error expected of a longer log."""
        variance = self.model.sampling_variance(self.contrast, times=times, news=news)
        return self.scale * float(np.sqrt(variance))

    def hidden(self, *, times: float = 1.0, news: FloatArray | None = None) -> float:
        """Return the variance that the search makes small: it falls with every piece."""
        known = self.model.known(times)
        told = known if news is None else known + news
        return float(contrast_variance(told, self.contrast[None])[0])

    def t(self, tail: float, more: float) -> float:
        """Return Student's quantile once so many firings have come."""
        df = self.df * (self.firings + more) / self.firings
        return -float(special.stdtrit(df, tail / self.comparisons))

    def decides(self, error: float, more: float) -> bool:
        """Return whether the 90 % interval is no longer than the smallest difference."""
        return 2.0 * self.t(0.05, more) * error <= self.delta


def foretell(
    one: Known,
    model: PlanModel,
    question: Question,
    place: int,
    *,
    rounds: tuple[IntArray, IntArray],
    confidence: float,
) -> Foretold:
    """Return what a plan is expected to tell about one question.

    Parameters
    ----------
    one, model
        The outcome, as known and as planned for.
    question, place
        The question and its row in ``model.contrasts``.
    rounds : two int arrays, shape (F, m, J)
        The plan, and what rounds after it would look like.
    confidence
        Of the printed intervals.
    """
    index = rounds[0]
    yard = _build_yard(one, model, question, place)
    firings, tail = len(index), 0.5 * (1.0 - confidence)
    news, after = (planned_information(model, each) for each in rounds)
    growth = (model.piece_columns(index) != 0.0).any(axis=-1).sum() / model.pieces
    then, before = (
        2.0 * yard.t(tail, firings) * error
        for error in (yard.error(news=news), yard.error(times=1.0 + growth))
    )
    # Today's interval of a tangled setting is short only because the fit is pulled toward none.
    is_told = question.open not in (Open.TANGLED, Open.NEW)
    printed = question.effect.interval if question.effect is not None else None
    now = printed.width() if is_told and printed is not None else None
    stretch = 1.0 if now is None else now / max(2.0 * yard.t(tail, 0.0) * yard.error(), 1e-12)
    explained = _explained(model, question, index)
    return Foretold(
        question=question,
        width_now=now,
        width_then=min(WIDEST, stretch * then),
        width_as_before=min(WIDEST, stretch * before) if is_told else None,
        decides=yard.decides(yard.error(news=news), firings),
        explained_now=explained[0],
        explained_then=explained[1],
        firings_planned=_count(
            lambda n: yard.decides(yard.error(news=_rounds(n / firings, news, after)), n)
        ),
        firings_as_before=_count(
            lambda n: yard.decides(yard.error(times=1.0 + n / firings * growth), n)
        )
        if is_told
        else None,
        times=_times(yard, growth, news),
    )


def _build_yard(one: Known, model: PlanModel, question: Question, place: int) -> _Yard:
    contrast, effect = model.contrasts[place], question.effect
    n_firings = len(one.design.firing_names)
    df = effect.df if effect is not None and effect.df is not None else n_firings - 1.0
    modelled = float(np.sqrt(model.sampling_variance(contrast)))
    scale = _mean_slope(one)
    if effect is not None and effect.standard_error and modelled > 0.0:
        # A tangled setting's own error is no measure of what it will be once it is free.
        own = effect.standard_error / modelled
        scale = max(own, scale) if question.open is Open.TANGLED else own
    return _Yard(
        model=model,
        contrast=contrast,
        scale=scale,
        df=max(1.0, df),
        comparisons=question.contrast.comparisons,
        delta=one.outcome.smallest_difference / 100.0,
        firings=n_firings,
    )


def _mean_slope(one: Known) -> float:
    """Return by how much the chance moves for a log-odds of one: the mean of p(1 - p)."""
    gap = one.fit.thresholds[one.design.aim - 1] - one.design.X @ one.fit.slopes
    chance = special.expit(-gap)
    return float(np.mean(chance * (1.0 - chance)))


def _rounds(rounds: float, first: FloatArray, later: FloatArray) -> FloatArray:
    """Return what so many rounds tell: this plan, then rounds planned anew.

    The plan itself, fired again and again, would tangle what it has just pulled apart: it leans
    against the habits of the log.
    """
    return min(rounds, 1.0) * first + max(rounds - 1.0, 0.0) * later


def _times(yard: _Yard, growth: float, news: FloatArray) -> float:
    """Return how many pieces fired as before tell as much as one planned piece."""
    goal = yard.hidden(news=news)
    low, high = 0.0, MOST_TIMES
    if yard.hidden(times=1.0 + high * growth) > goal:
        return MOST_TIMES
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        enough = yard.hidden(times=1.0 + middle * growth) <= goal
        low, high = (low, middle) if enough else (middle, high)
    return high


def _count(decides: Callable[[float], bool]) -> int | None:
    """Return the least number of firings that decides, None when 200 do not.

    The width of a setting that was never free rises before it falls: the least number after
    which it stays decided counts.
    """
    found = None
    for n in range(MOST_FIRINGS, 0, -1):
        if not decides(float(n)):
            return found
        found = n
    return found


def _explained(
    model: PlanModel, question: Question, index: IntArray
) -> tuple[float | None, float | None]:
    """Return how much of a tangled setting its partners explain, now and with the plan."""
    if question.open is not Open.TANGLED:
        return None, None
    places = dict(model.places)
    mine = list(places[question.factor])
    twins = [slot for name in question.with_factors for slot in places.get(name, ())]
    new = model.piece_columns(index).reshape(-1, len(model.base))
    new = new[(new != 0.0).any(axis=1)]
    padded = np.zeros((len(new), model.rows.shape[1]))
    padded[:, : new.shape[1]] = new
    both = np.vstack([model.rows, padded])
    return (
        explained_share(model.rows[:, mine], model.rows[:, twins]),
        explained_share(both[:, mine], both[:, twins]),
    )
