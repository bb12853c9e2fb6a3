"""Agreement of any number of graders with gaps: Krippendorff's alpha."""

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from outcomes.graders.kappa import share_of
from outcomes.model.fit import FloatArray

Distance: TypeAlias = Callable[[FloatArray], FloatArray]
"""Counts of the grades (..., K) -> squared distances between them (..., K, K)."""


def count_coincidences(grades: FloatArray, n_grades: int) -> FloatArray:
    """Return each piece's pairs of grades, every piece weighing as many as its grades.

    Parameters
    ----------
    grades : array, shape (n, R)
        Grade 0..K-1 of each piece by each grader, NaN for a gap.
    n_grades
        K.

    Returns
    -------
    array, shape (n, K, K)
        Both orders of every pair, divided by the piece's grades less one; zero for a piece with
        a single grade, which says nothing about agreement.

    Examples
    --------
    >>> count_coincidences(np.array([[0.0, 1.0, np.nan]]), 2).tolist()
    [[[0.0, 1.0], [1.0, 0.0]]]
    """
    given = (grades[:, :, None] == np.arange(n_grades)).sum(axis=1).astype(np.float64)
    pairs = given[:, :, None] * given[:, None, :]
    pairs[:, np.arange(n_grades), np.arange(n_grades)] -= given
    others = given.sum(axis=1) - 1.0
    return np.asarray(pairs * np.where(others > 0.0, 1.0 / np.maximum(others, 1.0), 0.0)[
        :, None, None])  # fmt: skip


def ordinal_distance(totals: FloatArray) -> FloatArray:
    """Return (grades between two, each end counted half) squared."""
    upto = np.cumsum(totals, axis=-1) - totals / 2.0
    return np.asarray((upto[..., :, None] - upto[..., None, :]) ** 2)


def interval_distance(totals: FloatArray) -> FloatArray:
    """Return the squared number of steps between two grades."""
    steps = np.arange(totals.shape[-1], dtype=np.float64)
    return np.asarray(np.broadcast_to((steps[:, None] - steps) ** 2, (*totals.shape, len(steps))))


def nominal_distance(totals: FloatArray) -> FloatArray:
    """Return 1 for any two different grades."""
    return np.asarray(np.broadcast_to(1.0 - np.eye(totals.shape[-1]),
                                      (*totals.shape, totals.shape[-1])))  # fmt: skip


def krippendorff_alpha(
    coincidences: FloatArray, distance: Distance = ordinal_distance
) -> FloatArray:
    """Return alpha of each table of coincidences.

    Parameters
    ----------
    coincidences : array, shape (..., K, K)
        Summed over pieces.
    distance
        How far apart two grades are; the default uses their order only.

    Returns
    -------
    array, shape (...)
        1 for perfect agreement over more than one grade; NaN when one grade only was used or no
        piece has two grades: agreement cannot be assessed then.

    References
    ----------
    Krippendorff (2011), Computing Krippendorff's Alpha-Reliability, University of Pennsylvania,
    section C; (2019) Content Analysis, 4th edition, chapter 12.

    Examples
    --------
    >>> grades = np.array([[0.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    >>> pairs = count_coincidences(grades, 2).sum(axis=0)
    >>> round(float(krippendorff_alpha(pairs, nominal_distance)), 4)
    0.4444
    """
    totals = coincidences.sum(axis=-1)
    apart = distance(totals)
    seen = (coincidences * apart).sum(axis=(-2, -1)) * (totals.sum(axis=-1) - 1.0)
    chance = (totals[..., :, None] * totals[..., None, :] * apart).sum(axis=(-2, -1))
    return np.asarray(1.0 - share_of(seen, chance))
