"""What changed when a habit was coached: the plain before and after, taken apart.

The plain difference holds everything that changed between the two times. It is the sum of

* the habit: what the model gives for the later pieces, less what it gives for them had each
  person kept the values of that setting they had before;
* what else was written down: other settings, glazes, weather, persons;
* luck, and what nobody wrote down: what the pieces came out better or worse than the model
  foretold, after less before.

Only the first part is the coaching's, and it rests on comparisons of pieces, mostly inside
firings, not on the order of time. Coaching often begins after a bad evening, and a bad evening
is usually followed by a better one whatever is changed: that return shows in the third part,
and the luck of the last day before is measured apart.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import special

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.design.matrix import find_term
from outcomes.effects.replicates import Replicates
from outcomes.model.links import survival
from outcomes.resampling.interval import Interval

LEAST_FIRINGS = 3  # on each side


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A difference of shares of pieces (-1..1), with its interval."""

    size: float
    interval: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Coached:
    """The parts of a before and after; ``plain = habit + written + luck`` exactly.

    ``eve`` is how the pieces of the last day before came out against what the model foretold,
    None when that day has fewer than three firings.
    """

    outcome: str
    factor: str
    pieces: tuple[int, int]
    firings: tuple[int, int]
    plain: Change
    habit: Change
    written: Change
    luck: Change
    eve: Change | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Coaching:
    """What was coached, from which day on, and the columns that say when and who."""

    factor: str
    since: pd.Timestamp
    date: str
    person: str


def measure_coaching(replicates: Replicates, coaching: Coaching) -> Coached | None:
    """Return the parts of a before and after; None when one side has under three firings.

    Parameters
    ----------
    replicates
        One outcome's fit with its redraws.
    coaching
        Its ``factor`` is a term of the design; its columns stand in ``design.frame``.

    Notes
    -----
    The habit's interval and that of what else was written come from the redraws, the other
    two from the spread of whole firings about their side's average (Welch's t), the fit taken
    as given.
    """
    design, confidence = replicates.design, replicates.confidence
    after = (design.frame[coaching.date] >= coaching.since).to_numpy()
    firings = [len(np.unique(design.firing[side])) for side in (~after, after)]
    if min(firings) < LEAST_FIRINGS:
        return None
    reach = replicates.reach(design.X)
    now = reach[:, after].mean(axis=1)
    habit = now - _predict_put_back(replicates, coaching, after)
    fitted = now - reach[:, ~after].mean(axis=1)
    hit = (design.y >= design.aim).astype(float)
    return Coached(
        outcome=design.spec.outcome,
        factor=coaching.factor,
        pieces=(int((~after).sum()), int(after.sum())),
        firings=(firings[0], firings[1]),
        plain=compare_sides(hit, after, design.firing, confidence),
        habit=_from_redraws(replicates, habit),
        written=_from_redraws(replicates, fitted - habit),
        luck=compare_sides(hit - reach[0], after, design.firing, confidence),
        eve=_measure_eve(hit - reach[0], design, coaching, confidence),
    )


def _from_redraws(replicates: Replicates, drawn: FloatArray) -> Change:
    return Change(size=float(drawn[0]), interval=replicates.interval(drawn))


def compare_sides(
    values: FloatArray, after: NDArray[np.bool_], firing: IntArray, confidence: float
) -> Change:
    """Return the average after less the average before, with whole firings as the unit.

    >>> change = compare_sides(np.array([0.0, 1, 1, 1]), np.array([False, False, True, True]),
    ...                        np.arange(4), 0.95)
    >>> change.size
    0.5
    """
    means, variances, dfs = zip(
        *(_average(values[side], firing[side]) for side in (~after, after)), strict=True
    )
    total = sum(variances)
    df = total**2 / sum(v**2 / d for v, d in zip(variances, dfs, strict=True)) if total else 1.0
    size = float(means[1] - means[0])
    reach = float(-special.stdtrit(df, 0.5 * (1.0 - confidence)) * total**0.5)
    return Change(size=size, interval=_interval(size, reach, confidence))


def _average(values: FloatArray, firing: IntArray) -> tuple[float, float, float]:
    """Return an average over pieces, its variance between firings, and degrees of freedom."""
    mean = float(values.mean())
    sums = pd.Series(values - mean).groupby(firing).sum().to_numpy()
    count = len(sums)
    variance = float((sums**2).sum() / len(values) ** 2 * count / max(1, count - 1))
    return mean, variance, max(1.0, count - 1.0)


def _interval(size: float, reach: float, confidence: float) -> Interval:
    return Interval(
        low=max(-1.0, size - reach),
        high=min(1.0, size + reach),
        confidence=confidence,
        method="Welch t",
    )


def _measure_eve(
    left: FloatArray, design: Design, coaching: Coaching, confidence: float
) -> Change | None:
    """Return the luck of the last day before."""
    days = design.frame[coaching.date]
    eve = (days == days[days < coaching.since].max()).to_numpy()
    mean, variance, df = _average(left[eve], design.firing[eve])
    if df < LEAST_FIRINGS - 1:
        return None
    reach = float(-special.stdtrit(df, 0.5 * (1.0 - confidence)) * variance**0.5)
    return Change(size=mean, interval=_interval(mean, reach, confidence))


def _predict_put_back(
    replicates: Replicates, coaching: Coaching, after: NDArray[np.bool_]
) -> FloatArray:
    """Return the later pieces' average chance with each person's earlier habit, (1 + B,)."""
    design = replicates.design
    slots = list(find_term(design.spec, coaching.factor).slots)
    who = design.frame[coaching.person].astype(str).to_numpy()
    threshold = replicates.parameters[:, design.aim - 1]
    rest = np.delete(np.arange(design.X.shape[1]), slots)
    total = np.zeros(len(threshold))
    for person in np.unique(who[after]):
        own = ~after & (who == person)
        earlier = design.X[own if own.any() else ~after][:, slots]
        old = earlier @ replicates.slopes[:, slots].T
        for row in design.X[after & (who == person)]:
            gap = threshold - replicates.slopes[:, rest] @ row[rest]
            total += survival(gap - old, replicates.fit.options.link).mean(axis=0)
    return np.asarray(total / after.sum())
