"""Ranked probability scores: how far a forecast of grades was from what came out."""

import numpy as np

from outcomes.design.design import FloatArray, IntArray


def rank_scores(reach: FloatArray, y: IntArray) -> FloatArray:
    """Return every piece's ranked probability score; 0 is a sure forecast that came true.

    Parameters
    ----------
    reach : array, shape (..., n, K-1)
        Forecast P(grade >= k) for k = 1..K-1.
    y : array, shape (n,)
        Grades 0..K-1.

    Returns
    -------
    array, shape (..., n)

    Notes
    -----
    ``sum over k of (P(y >= k) - 1{y >= k})^2``, not divided by K-1; for two grades it is the
    Brier score.

    References
    ----------
    Epstein (1969), Journal of Applied Meteorology 8, 985-987; Gneiting & Raftery (2007),
    doi:10.1198/016214506000001437.

    Examples
    --------
    >>> float(rank_scores(np.array([[0.9, 0.7, 0.3, 0.1]]), np.array([2]))[0].round(12))
    0.2
    """
    came = y[:, None] >= np.arange(1, reach.shape[-1] + 1)
    return np.asarray(((reach - came) ** 2).sum(axis=-1))


def reach_of(chances: FloatArray) -> FloatArray:
    """Return P(grade >= k), k = 1..K-1, from the chance of each grade, shape (..., K).

    >>> reach_of(np.array([0.2, 0.3, 0.5])).tolist()
    [0.8, 0.5]
    """
    from_top = np.cumsum(chances[..., ::-1], axis=-1)[..., ::-1]
    return np.asarray(from_top[..., 1:])


def average_by_firing(values: FloatArray, firing: IntArray) -> FloatArray:
    """Return the average of a value over each firing's pieces, shape (G,).

    >>> average_by_firing(np.array([1.0, 3.0, 5.0]), np.array([0, 0, 1])).tolist()
    [2.0, 5.0]
    """
    return np.asarray(np.bincount(firing, values) / np.bincount(firing))
