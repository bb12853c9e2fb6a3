"""Bring columns to centre 0 and spread 1, so that one tolerance serves them all."""

from typing import Final

import numpy as np

from outcomes.model.fit import FloatArray

# A column whose spread is below this share of its size holds nothing but rounding.
_ROUNDING: Final = 1e-13


def centre_spread(X: FloatArray, weights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the weighted means and spreads of the columns.

    Parameters
    ----------
    X : array, shape (n, p)
    weights : array, shape (n,)
        Not all zero.

    Returns
    -------
    centre, spread : array, shape (p,)
        The spread is 1 where a column does not vary.

    Examples
    --------
    >>> centre, spread = centre_spread(np.array([[1.0, 7.0], [3.0, 7.0]]), np.ones(2))
    >>> centre.tolist(), spread.tolist()
    ([2.0, 7.0], [1.0, 1.0])
    """
    share = weights / weights.sum()
    centre = share @ X
    spread = np.sqrt(share @ np.square(X - centre))
    largest = np.max(np.abs(X), axis=0, initial=0.0)
    return centre, np.where(spread > _ROUNDING * largest, spread, 1.0)
