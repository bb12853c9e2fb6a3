"""Each effect as an odds ratio, for the researcher: the scale on which the model is linear."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.design.matrix import find_term
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.robust_errors import RobustErrors
from outcomes.effects.support import value_columns
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import effective_df, jackknife_interval


@dataclass(frozen=True, slots=True, kw_only=True)
class LogOdds:
    """Change of the linear predictor over one contrast (positive: toward higher grades).

    ``error`` and ``interval`` are the delete-a-firing jackknife's with ``df`` degrees of
    freedom; None under the floors. Of several contrasts looked at, the interval carries the
    same correction as the effect's.
    """

    factor: str
    value: float
    error: float | None = None
    df: float | None = None
    interval: Interval | None = None

    @property
    def ratio(self) -> float:
        """Return the odds ratio of "at any grade or above"."""
        return math.exp(self.value)


def measure_log_odds(
    evidence: Evidence,
    effects: Iterable[Effect],
    robust: RobustErrors | None,
    *,
    confidence: float = 0.95,
) -> tuple[LogOdds, ...]:
    """Return the log-odds of every effect, in their order.

    Parameters
    ----------
    evidence, effects
        Of one outcome.
    robust
        Covariances by firing; None for none.
    confidence
        Of the intervals.
    """
    covariance = None if robust is None else robust.jackknife
    found = []
    for effect in effects:
        shift = _shift(evidence.design, effect.contrast)
        bare = LogOdds(factor=effect.contrast.factor, value=float(evidence.fit.slopes @ shift))
        if covariance is None:
            found.append(bare)
            continue
        first = evidence.n_grades - 1
        error = math.sqrt(max(0.0, float(shift @ covariance[first:, first:] @ shift)))
        df = effective_df(evidence.n_firings, effect.effective_firings)
        found.append(_with_interval(bare, effect, error=error, df=df, confidence=confidence))
    return tuple(found)


def _with_interval(
    bare: LogOdds, effect: Effect, *, error: float, df: float, confidence: float
) -> LogOdds:
    each = 1.0 - (1.0 - confidence) / effect.contrast.comparisons
    limits = jackknife_interval(bare.value, error, df, each)
    return LogOdds(
        factor=bare.factor,
        value=bare.value,
        error=error,
        df=df,
        interval=Interval(
            low=limits.low, high=limits.high, confidence=confidence, method=limits.method
        ),
    )


def _shift(design: Design, contrast: Contrast) -> FloatArray:
    """Return how far every column moves from the one value to the other, shape (p,)."""
    term = find_term(design.spec, contrast.factor)
    shift = np.zeros(design.spec.n_columns)
    shift[list(term.slots)] = value_columns(term, contrast.to_value) - value_columns(
        term, contrast.from_value
    )
    return shift
