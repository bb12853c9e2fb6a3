"""Whether every column still varies among the firings that count in a replicate."""

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import FloatArray, IntArray


def is_column_constant(
    X: FloatArray, *, firing: IntArray, weights: FloatArray
) -> NDArray[np.bool_]:
    """Return whether any column takes a single value among the weighted pieces, (B,).

    Parameters
    ----------
    X : array, shape (n, p)
    firing : array, shape (n,)
        Firing number 0..G-1.
    weights : array, shape (B, G)
        Zero leaves a firing out.

    Notes
    -----
    A column that varies inside a counted firing varies. Otherwise each counted firing has one
    value; with the values numbered c = 0, 1, ... they are all the same if and only if
    ``n sum c^2 == (sum c)^2``, which is exact in whole numbers.

    Examples
    --------
    >>> lid = np.array([[0.0], [0.0], [1.0]])
    >>> is_column_constant(lid, firing=np.array([0, 1, 2]), weights=np.array([[1.0, 2, 0]]))
    array([ True])
    """
    n_firings = weights.shape[1]
    low = np.full((n_firings, X.shape[1]), np.inf)
    high = np.full((n_firings, X.shape[1]), -np.inf)
    order = np.argsort(firing, kind="stable")
    found, starts = np.unique(firing[order], return_index=True)
    low[found] = np.minimum.reduceat(X[order], starts, axis=0)
    high[found] = np.maximum.reduceat(X[order], starts, axis=0)
    held = np.isfinite(low[:, :1]).astype(np.float64) if X.shape[1] else np.zeros((n_firings, 1))
    numbers = _numbered(low) * held
    counted = (weights > 0.0).astype(np.float64)
    varies_inside = counted @ (high > low).astype(np.float64) > 0.0
    one_value = (counted @ held) * (counted @ numbers**2) == (counted @ numbers) ** 2
    return np.asarray(np.any(one_value & ~varies_inside, axis=1))


def _numbered(values: FloatArray) -> FloatArray:
    """Return the place of each value among its column's distinct ones, 0, 1, ..., shape (G, p)."""
    order = np.argsort(values, axis=0, kind="stable")
    ascending = np.take_along_axis(values, order, axis=0)
    places = np.zeros_like(values)
    np.cumsum(ascending[1:] != ascending[:-1], axis=0, out=places[1:])
    numbers = np.empty_like(values)
    np.put_along_axis(numbers, order, places, axis=0)
    return numbers
