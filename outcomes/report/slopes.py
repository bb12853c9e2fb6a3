"""The standard errors of thresholds and slopes, three ways."""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.resampling.intervals import two_sided_p
from outcomes.study.record import OutcomeStudy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ParameterErrors:
    """Standard errors of thresholds then slopes, shape (q,); None where not computed.

    ``model`` takes pieces as independent; ``sandwich`` and ``jackknife`` take firings as
    clusters. ``df`` is G - 1, 0 where there are none.
    """

    model: FloatArray
    sandwich: FloatArray | None
    jackknife: FloatArray | None
    df: int


def standard_errors(part: OutcomeStudy) -> ParameterErrors:
    """Return the errors of an outcome that was fitted."""
    assert part.fit is not None  # noqa: S101
    robust = part.robust
    return ParameterErrors(
        model=_roots(part.fit.covariance),
        sandwich=None if robust is None else _roots(robust.sandwich),
        jackknife=None if robust is None or robust.jackknife is None else _roots(robust.jackknife),
        df=0 if robust is None else robust.df,
    )


def slope_p(value: float, error: float | None, df: int) -> float | None:
    """Return the two-sided p value of a slope of 0; None without an error."""
    return None if error is None else two_sided_p(value, error, df)


def _roots(covariance: FloatArray) -> FloatArray:
    return np.asarray(np.sqrt(np.maximum(np.diagonal(covariance), 0.0)))
