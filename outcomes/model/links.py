"""The five links: distribution, survival, density, quantile, and the chance of an interval.

F is the distribution named by the link, S = 1 - F. The derivatives and their notation are in
`link_terms`.
"""

from typing import Final

import numpy as np
from scipy import special

from outcomes.model.fit import FloatArray, Link
from outcomes.model.link_terms import TERMS, IntervalTerms

_MIRROR: Final = {
    Link.LOGIT: Link.LOGIT,
    Link.PROBIT: Link.PROBIT,
    Link.CAUCHIT: Link.CAUCHIT,
    Link.CLOGLOG: Link.LOGLOG,
    Link.LOGLOG: Link.CLOGLOG,
}


def log_interval_probability(
    lower: FloatArray, upper: FloatArray, link: Link = Link.LOGIT
) -> FloatArray:
    """Return log(F(upper) - F(lower)).

    Parameters
    ----------
    lower, upper : array, shape (n,)
        Ends of each interval on the link's scale, lower < upper; either may be infinite.
    link
        The distribution.

    Notes
    -----
    Nothing is subtracted on the probability scale: relative error about 1e-15 as far out as
    the value itself is a double.

    Examples
    --------
    >>> float(log_interval_probability(np.array([40.0]), np.array([np.inf]))[0])
    -40.0
    """
    return interval_terms(lower, upper, upper - lower, link).log_probability


def interval_terms(
    lower: FloatArray, upper: FloatArray, gap: FloatArray, link: Link
) -> IntervalTerms:
    """Return log P and its derivatives.

    Parameters
    ----------
    lower, upper : array, shape (n,)
        Ends of each interval, lower < upper, possibly infinite.
    gap : array, shape (n,)
        ``upper - lower``, taken from the thresholds so that it does not inherit the rounding
        of a large eta.
    link
        The distribution.
    """
    with np.errstate(all="ignore"):
        return TERMS[link](lower, upper, gap)


def distribution(x: FloatArray, link: Link) -> FloatArray:
    """Return F(x), exact in the left tail.

    >>> float(distribution(np.array(0.0), Link.PROBIT))
    0.5
    """
    if link is Link.LOGIT:
        return _logistic_survival(-x)
    if link is Link.PROBIT:
        return np.asarray(special.ndtr(x))
    if link is Link.CAUCHIT:
        return np.asarray(np.arctan2(1.0, -x) / np.pi)
    with np.errstate(over="ignore"):
        if link is Link.CLOGLOG:
            return np.asarray(-np.expm1(-np.exp(x)))
        return np.asarray(np.exp(-np.exp(-x)))


def survival(x: FloatArray, link: Link) -> FloatArray:
    """Return 1 - F(x), exact in the right tail.

    >>> float(survival(np.array(0.0), Link.LOGIT))
    0.5
    """
    if link is Link.LOGIT:
        return _logistic_survival(x)
    return distribution(-x, _MIRROR[link])


def _logistic_survival(x: FloatArray) -> FloatArray:
    """Return 1 / (1 + exp(x)): NumPy's exponential is twice as fast as SciPy's logistic."""
    with np.errstate(over="ignore"):
        odds = np.asarray(np.exp(x))
    odds += 1.0
    return np.asarray(np.reciprocal(odds, out=odds))


def density(x: FloatArray, link: Link) -> FloatArray:
    """Return the derivative of F at x.

    >>> float(density(np.array(0.0), Link.LOGIT))
    0.25
    """
    with np.errstate(over="ignore"):
        if link is Link.LOGIT:
            odds = np.exp(-np.abs(x))  # exact in both tails, and one exponential
            return np.asarray(odds / (1.0 + odds) ** 2)
        if link is Link.PROBIT:
            return np.asarray(np.exp(-0.5 * x**2) / np.sqrt(2.0 * np.pi))
        if link is Link.CAUCHIT:
            return np.asarray(1.0 / (np.pi * (1.0 + x**2)))
        up = x if link is Link.CLOGLOG else -x
        return np.asarray(np.exp(up - np.exp(up)))


def quantile(probability: FloatArray, link: Link) -> FloatArray:
    """Return x with F(x) = probability, for 0 < probability < 1.

    >>> float(quantile(np.array(0.5), Link.LOGIT))
    0.0
    """
    if link is Link.LOGIT:
        return np.asarray(special.logit(probability))
    if link is Link.PROBIT:
        return np.asarray(special.ndtri(probability))
    if link is Link.CAUCHIT:
        return np.asarray(np.tan(np.pi * (probability - 0.5)))
    if link is Link.CLOGLOG:
        return np.asarray(np.log(-np.log1p(-probability)))
    return np.asarray(-np.log(-np.log(probability)))
