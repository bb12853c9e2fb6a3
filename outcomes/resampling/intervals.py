"""Intervals from redraws of firings and from leaving each firing out; t intervals, t tests."""

import math
from typing import Final, Literal

import numpy as np
from scipy import special

from outcomes.model.fit import FloatArray
from outcomes.resampling.interval import Interval

FEWEST_FIRINGS: Final = 6  # under it: no interval at all
FEW_FIRINGS: Final = 12  # under it: intervals with a plain warning

Scale = Literal["plain", "atanh"]


def expanded_percentile(draws: FloatArray, n_firings: int, confidence: float = 0.95) -> Interval:
    """Return the expanded percentile interval of redraws of whole firings.

    Parameters
    ----------
    draws : array, shape (B,)
        The quantity in each redraw.
    n_firings
        G, at least 2.
    confidence
        Between 0 and 1.

    Notes
    -----
    Plain percentiles of G clusters are too narrow by sqrt((G-1)/G) and by using the normal
    instead of t: the quantiles at ``Phi(-sqrt(G/(G-1)) t_{alpha/2, G-1})`` and its mirror are
    taken instead.

    References
    ----------
    Hesterberg (2015), The American Statistician 69, 371-386, section 5.3,
    doi:10.1080/00031305.2015.1089789.

    Examples
    --------
    >>> interval = expanded_percentile(np.linspace(-1.0, 1.0, 2001), 48)
    >>> round(interval.low, 3), round(interval.high, 3)
    (-0.958, 0.958)
    """
    tail = expanded_tail(n_firings, confidence)
    low, high = np.quantile(draws, [tail, 1.0 - tail])
    return Interval(
        low=float(low), high=float(high), confidence=confidence, method="expanded percentile"
    )


def expanded_tail(n_firings: int, confidence: float = 0.95) -> float:
    """Return the share of redraws to cut off at each end.

    >>> round(expanded_tail(12), 4)
    0.0108
    """
    df = n_firings - 1
    t = float(special.stdtrit(df, 0.5 * (1.0 - confidence)))
    return float(special.ndtr(math.sqrt(n_firings / df) * t))


def jackknife_error(values: FloatArray) -> FloatArray:
    """Return the leave-one-firing-out standard error.

    Parameters
    ----------
    values : array, shape (G, ...)
        The quantity without each firing in turn.

    Returns
    -------
    array, shape (...)
        ``sqrt((G-1)/G sum (value_g - mean)^2)``.

    References
    ----------
    Efron & Tibshirani (1993), An Introduction to the Bootstrap, equation 11.5.

    Examples
    --------
    >>> round(float(jackknife_error(np.array([1.0, 2.0, 3.0]))), 6)
    1.154701
    """
    return np.asarray(np.sqrt(np.diagonal(jackknife_covariance(_flat(values))))).reshape(
        values.shape[1:]
    )


def jackknife_covariance(values: FloatArray) -> FloatArray:
    """Return the leave-one-firing-out covariance, (d, d), of values of shape (G, d)."""
    n_firings = len(values)
    centred = values - values.mean(axis=0)
    return np.asarray((n_firings - 1) / n_firings * (centred.T @ centred))


def jackknife_interval(
    estimate: float, error: float, df: float, confidence: float = 0.95, *, scale: Scale = "plain"
) -> Interval:
    """Return estimate plus or minus t times its `jackknife_error`; see `t_interval`.

    >>> round(jackknife_interval(0.0, 1.0, 11).high, 3)
    2.201
    """
    return t_interval(estimate, error, df, confidence, method="jackknife t", scale=scale)


def t_interval(  # noqa: PLR0913 - what an interval is made of
    estimate: float,
    error: float,
    df: float,
    confidence: float = 0.95,
    *,
    method: str,
    scale: Scale = "plain",
) -> Interval:
    """Return estimate plus or minus t times its standard error.

    Parameters
    ----------
    estimate, error
        The quantity and its standard error.
    df
        Degrees of freedom, not necessarily whole; at least 1.
    confidence
        Between 0 and 1.
    method
        What the interval is called.
    scale
        "atanh" computes on ``atanh(estimate)`` with error ``error/(1 - estimate^2)`` and turns
        back, so that a difference of probabilities never leaves -1..1.
    """
    t = float(-special.stdtrit(max(1.0, df), 0.5 * (1.0 - confidence)))
    if scale == "atanh" and abs(estimate) < 1.0:
        reach = t * error / (1.0 - estimate**2)
        low, high = math.tanh(math.atanh(estimate) - reach), math.tanh(math.atanh(estimate) + reach)
    else:
        low, high = estimate - t * error, estimate + t * error
    return Interval(low=low, high=high, confidence=confidence, method=method)


def effective_df(n_firings: int, effective_firings: float) -> float:
    """Return the degrees of freedom ``min(G-1, max(1, G_eff - 1))``.

    >>> effective_df(24, 5.5)
    4.5
    """
    return min(n_firings - 1.0, max(1.0, effective_firings - 1.0))


def two_sided_p(estimate: float, error: float, df: float) -> float:
    """Return the two-sided t probability of an estimate at least this far from 0.

    Parameters
    ----------
    estimate, error, df
        As in `t_interval`; an error of 0 gives 1.0 for an estimate of 0, else 0.0.

    Examples
    --------
    >>> round(two_sided_p(2.201, 1.0, 11.0), 3)
    0.05
    """
    if error <= 0.0:
        return 1.0 if estimate == 0.0 else 0.0
    return float(2.0 * special.stdtr(max(1.0, df), -abs(estimate / error)))


def _flat(values: FloatArray) -> FloatArray:
    """Return values with everything but the first axis flattened."""
    return values.reshape(len(values), -1)
