"""The largest of several t statistics that share their errors, in up to three dimensions.

A window is looked at through three contrasts and the clearest is reported. Their errors are
correlated (low to middle and middle to high add up to low to high), so Bonferroni's factor of
three asks too much. With A A' = R the correlation of the contrasts, rows of length 1, their t
are A u, u a multivariate t with df degrees of freedom: a direction, evenly spread over the
sphere, times a length whose square over 3 is F(3, df). So::

    P(max |t_i| >= c) = average over directions w of P(length >= c / max_i |a_i' w|)

which is an integral over the sphere: no simulation, and for one contrast it is Student's t. More
than three contrasts may be looked at as long as three of them give all the others.

References
----------
Hothorn, Bretz & Westfall (2008), Biometrical Journal 50, 346-363,
doi:10.1002/bimj.200810425; Genz & Bretz (2009), Computation of Multivariate Normal and t
Probabilities, section 2.1 (spherical-radial form), doi:10.1007/978-3-642-01689-9. Cited from
memory; checked against the studentised range in tests/resampling/test_joint.py.
"""

from collections.abc import Sequence

import numpy as np
from scipy import optimize, special

from outcomes.model.fit import FloatArray

_SLACK = 1e-3  # what the rule of integration may be off by
MOST = 3  # dimensions; more would need another rule of integration
_HEIGHTS, _ANGLES = 24, 96  # directions over half a sphere: the p value is right to 1e-4 of it


def correlate(gradients: Sequence[FloatArray], covariance: FloatArray) -> FloatArray:
    """Return the correlation of the errors of several contrasts of one fit, shape (k, k).

    Parameters
    ----------
    gradients
        Derivative of each contrast by the parameters, shape (q,) each.
    covariance : array, shape (q, q)
        Of the fit. It only says how far the contrasts look at the same thing, which is a
        matter of the design; how large their errors are, firings decide.
    """
    stacked = np.array(gradients)
    shared = stacked @ covariance @ stacked.T
    size = np.sqrt(np.maximum(np.diagonal(shared), np.finfo(float).tiny))
    correlation = np.clip(shared / np.outer(size, size), -1.0, 1.0)
    np.fill_diagonal(correlation, 1.0)
    return np.asarray(correlation)


def joint_p(t: float, correlation: FloatArray, df: float) -> float:
    """Return the chance that the largest |t| of correlated contrasts reaches ``t`` by luck.

    Parameters
    ----------
    t
        The largest seen; its sign does not matter.
    correlation : array, shape (k, k)
        Of the contrasts' errors; its rank is at most 3.
    df
        Degrees of freedom, at least 1.

    Examples
    --------
    >>> one, apart = np.ones((2, 2)), np.eye(2)
    >>> round(joint_p(2.201, one, 11.0), 3), round(joint_p(2.201, apart, 11.0), 3)
    (0.05, 0.095)
    """
    reach, weight = _reaches(correlation)
    return float(weight @ _longer(abs(t) / reach, df))


def joint_confidence(correlation: FloatArray, df: float, confidence: float = 0.95) -> float:
    """Return the confidence each interval needs so that all of them hold together.

    >>> round(joint_confidence(np.ones((2, 2)), 11.0), 4)
    0.95
    >>> round(joint_confidence(np.eye(2), 11.0), 4)
    0.974
    """
    if len(correlation) == 1:
        return confidence
    reach, weight = _reaches(correlation)
    wanted = 1.0 - confidence
    low = float(-special.stdtrit(max(1.0, df), 0.5 * wanted))
    high = float(-special.stdtrit(max(1.0, df), 0.5 * wanted / len(correlation)))
    if low < high:
        high = float(
            optimize.brentq(
                lambda c: float(weight @ _longer(c / reach, df)) - wanted,
                low * (1.0 - _SLACK),
                high * (1.0 + _SLACK),
                xtol=1e-6,
            )
        )
    return 1.0 - float(2.0 * special.stdtr(max(1.0, df), -high))


def _longer(length: FloatArray, df: float) -> FloatArray:
    """Return the chance that a trivariate t is at least that long."""
    return np.asarray(special.fdtrc(3.0, max(1.0, df), length**2 / 3.0))


def _reaches(correlation: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return max |a_i' w| of directions over half a sphere, and the weight of each direction."""
    values, vectors = np.linalg.eigh(correlation)
    rows = (vectors * np.sqrt(np.maximum(values, 0.0)))[:, -MOST:]  # the largest come last
    rows = np.pad(rows, ((0, 0), (0, MOST - rows.shape[1])))
    rows = rows / np.sqrt(np.sum(rows**2, axis=1, keepdims=True))
    nodes, weights = np.polynomial.legendre.leggauss(_HEIGHTS)
    height, share = 0.5 * (nodes + 1.0), 0.5 * weights
    angle = 2.0 * np.pi * (np.arange(_ANGLES) + 0.5) / _ANGLES
    ring = np.sqrt(1.0 - height**2)[:, None]
    directions = np.stack(
        [ring * np.cos(angle), ring * np.sin(angle), np.repeat(height[:, None], _ANGLES, axis=1)]
    ).reshape(3, -1)
    reach = np.maximum(np.abs(rows @ directions).max(axis=0), np.finfo(float).tiny)
    return reach, np.repeat(share / _ANGLES, _ANGLES)
