"""Two one-sided t tests against a margin.

References
----------
Schuirmann (1987), Journal of Pharmacokinetics and Biopharmaceutics 15, 657-680. Berger & Hsu
(1996), Statistical Science 11, 283-319 (no correction within one margin or across two that must
both hold). Lakens (2017), Social Psychological and Personality Science 8, 355-362.
"""

from dataclasses import dataclass

from scipy import special

from outcomes.effects.effect import Effect
from outcomes.planning.plan import Hypothesis
from outcomes.planning.trial import Equivalence
from outcomes.resampling.interval import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A difference, its standard error and degrees of freedom, in one unit."""

    value: float
    error: float
    df: float


def p_inside(estimate: Estimate, margin: float) -> float:
    """Return the p value against "the difference is at least the margin, either way".

    >>> round(p_inside(Estimate(value=0.0, error=0.13130289, df=181.134367), 0.38356868), 4)
    0.002
    """
    if estimate.error <= 0.0:
        return 0.0 if abs(estimate.value) < margin else 1.0
    nearest = (margin - abs(estimate.value)) / estimate.error
    return float(special.stdtr(estimate.df, -nearest))


def p_outside(estimate: Estimate, margin: float) -> float:
    """Return the p value against "the difference is smaller than the margin".

    >>> round(p_outside(Estimate(value=2.0, error=0.5, df=30.0), 1.0), 3)
    0.027
    """
    return 1.0 - p_inside(estimate, margin)


def t_interval(estimate: Estimate, confidence: float) -> Interval:
    """Return value plus or minus t times the error."""
    t = float(-special.stdtrit(estimate.df, 0.5 * (1.0 - confidence)))
    reach = t * estimate.error
    return Interval(
        low=estimate.value - reach, high=estimate.value + reach, confidence=confidence, method="t"
    )


def find_equivalence(
    hypothesis: Hypothesis, effect: Effect | None, *, level: float
) -> Equivalence | None:
    """Return both one-sided tests of a hypothesis' margins; None without margin or error.

    Parameters
    ----------
    hypothesis, effect
        The margins, in pieces per 100 and on the mean grade, and what was measured.
    level
        Of each one-sided test; the intervals have confidence ``1 - 2 level``.
    """
    if effect is None or effect.standard_error is None or effect.df is None:
        return None
    change = Estimate(value=effect.change, error=effect.standard_error, df=max(1.0, effect.df))
    grade = _grade_estimate(effect, change.df)
    pairs = [
        (estimate, margin)
        for estimate, margin in (
            (change, None if hypothesis.margin is None else hypothesis.margin / 100.0),
            (grade, hypothesis.margin_grade),
        )
        if margin is not None
    ]
    if not pairs:
        return None
    outside = min(p_outside(estimate, margin) for estimate, margin in pairs)
    return Equivalence(
        interval=t_interval(change, 1.0 - 2.0 * level),
        interval_grade=t_interval(grade, 1.0 - 2.0 * level),
        p_inside=max(p_inside(estimate, margin) for estimate, margin in pairs),
        p_outside=min(1.0, len(pairs) * outside),
    )


def _grade_estimate(effect: Effect, df: float) -> Estimate:
    """Return the mean grade's change; its standard error is read back from its t interval."""
    interval = effect.mean_grade_interval
    if interval is None:
        return Estimate(value=effect.mean_grade_change, error=float("inf"), df=df)
    t = float(-special.stdtrit(df, 0.5 * (1.0 - interval.confidence)))
    return Estimate(value=effect.mean_grade_change, error=interval.width() / 2.0 / t, df=df)
