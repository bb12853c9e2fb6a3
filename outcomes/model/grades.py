"""What to do when a grade does not occur: fit the grades that do, put its threshold back.

With no piece of grade k the likelihood is highest when that grade has no room: an inner grade's
two thresholds meet, an outer grade's threshold runs to infinity. Both limits are the model with
fewer grades, so that is what is fitted; the missing thresholds are then put where they belong,
the infinite ones at a finite distance that leaves the grade a chance below 1e-12.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import FloatArray, IntArray, Link

_FAR: Final = {Link.CAUCHIT: 1e12}
_USUALLY_FAR: Final = 30.0  # logit: e^-30 = 1e-13; the other links' tails are no heavier


def threshold_sources(present: NDArray[np.bool_]) -> IntArray:
    """Return, for each of the K-1 thresholds, the fitted threshold it is taken from.

    Parameters
    ----------
    present : bool array, shape (K,)
        Which grades occur; at least two do.

    Returns
    -------
    int array, shape (K-1,)
        Position among the thresholds of the grades that occur.

    Notes
    -----
    A threshold lies between the grades seen below it and those seen above it; one with
    nothing below or nothing above takes the nearest (and is then moved far out).

    Examples
    --------
    >>> threshold_sources(np.array([True, False, True, True])).tolist()
    [0, 0, 1]
    >>> threshold_sources(np.array([False, True, True, False])).tolist()
    [0, 0, 0]
    """
    seen_below = np.cumsum(present)[:-1]
    sources: IntArray = np.clip(seen_below - 1, 0, int(present.sum()) - 2).astype(np.int64)
    return sources


def restored_thresholds(fitted: FloatArray, present: NDArray[np.bool_], link: Link) -> FloatArray:
    """Return all K-1 thresholds from those of the grades that occur.

    Parameters
    ----------
    fitted : array, shape (..., K'-1)
        Thresholds of the K' grades that occur, K' >= 1.
    present : bool array, shape (K,)
    link
        Decides how far out "never" is.

    Examples
    --------
    >>> restored_thresholds(np.array([0.5]), np.array([True, False, True]), Link.LOGIT).tolist()
    [0.5, 0.5]
    >>> restored_thresholds(np.array([0.5]), np.array([False, True, True]), Link.LOGIT).tolist()
    [-29.5, 0.5]
    """
    seen_below = np.cumsum(present)[:-1]
    total = int(present.sum())
    far = _FAR.get(link, _USUALLY_FAR)
    shift = np.where(seen_below == 0, -far, np.where(seen_below == total, far, 0.0))
    if total == 1:
        return np.broadcast_to(shift, (*fitted.shape[:-1], len(shift))).copy()
    return np.asarray(fitted[..., threshold_sources(present)] + shift)
