"""The quantile for a band that holds along a whole curve at once."""

import math

import numpy as np
from scipy import linalg, optimize, special

from outcomes.design.design import FloatArray


def band_quantile(
    rows: FloatArray, covariance: FloatArray, *, df: float, confidence: float
) -> float:
    """Return c such that |row' b - row' beta| <= c se for all rows at once.

    Parameters
    ----------
    rows : array, shape (m, c)
        Neighbouring points of a smooth curve of contrasts.
    covariance : array, shape (c, c)
        Of the coefficients b.
    df
        Degrees of freedom of the covariance.
    confidence
        Between 0 and 1.

    Notes
    -----
    The chance to leave the band is at most ``(k / pi) (1 + c^2/df)^(-df/2) + 2 P(t_df > c)``, k
    the length of the path that the standardised contrasts draw on the unit sphere. A single
    contrast has k = 0 and gets Student's quantile.

    References
    ----------
    Sun & Loader (1994), Annals of Statistics 22, 1328-1345, equation 2.1 with its two-sided end
    term; doi:10.1214/aos/1176325631 (formula from memory, checked here by simulation).

    Examples
    --------
    >>> round(band_quantile(np.ones((5, 1)), np.eye(1), df=11, confidence=0.95), 3)
    2.201
    """
    values, vectors = linalg.eigh(covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    points = rows @ root
    length = np.linalg.norm(points, axis=1, keepdims=True)
    points = points[length[:, 0] > 0.0] / length[length[:, 0] > 0.0]
    path = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())

    def excess(c: float) -> float:
        turning = path / math.pi * math.exp(-0.5 * df * math.log1p(c**2 / df))
        return turning + 2.0 * float(special.stdtr(df, -c)) - (1.0 - confidence)

    highest = 2.0
    while excess(highest) > 0.0:
        highest *= 2.0
    return float(optimize.brentq(excess, 0.0, highest, xtol=1e-10))
