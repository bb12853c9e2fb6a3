"""Agreement of two graders beyond what their own grade shares bring about by chance."""

from typing import Final

import numpy as np

from outcomes.model.fit import FloatArray

NOMINAL: Final = 0
LINEAR: Final = 1
QUADRATIC: Final = 2


def disagreement_weights(n_grades: int, power: int) -> FloatArray:
    """Return |i - j| to a power, shape (K, K); power 0 counts every disagreement alike.

    >>> disagreement_weights(3, QUADRATIC)[0].tolist(), disagreement_weights(3, NOMINAL)[0].tolist()
    ([0.0, 1.0, 4.0], [0.0, 1.0, 1.0])
    """
    apart = np.abs(np.subtract.outer(np.arange(n_grades), np.arange(n_grades))).astype(np.float64)
    return np.asarray(np.where(apart > 0, 1.0, 0.0) if power == NOMINAL else apart**power)


def weighted_kappa(counts: FloatArray, weights: FloatArray) -> FloatArray:
    """Return Cohen's weighted kappa of each table of counts.

    Parameters
    ----------
    counts : array, shape (..., K, K)
        How often the first grader gave the row's grade and the second the column's.
    weights : array, shape (K, K)
        Disagreement weights, 0 on the diagonal.

    Returns
    -------
    array, shape (...)
        1 for agreement, 0 for chance; NaN where both used one and the same grade only, so that
        there is nothing to disagree about.

    References
    ----------
    Cohen (1968), Psychological Bulletin 70, 213-220, doi:10.1037/h0026256.

    Examples
    --------
    >>> table = np.array([[2.0, 1.0], [0.0, 1.0]])
    >>> float(weighted_kappa(table, disagreement_weights(2, NOMINAL)))
    0.5
    """
    total = counts.sum(axis=(-2, -1))
    chance = np.einsum("...i,...j,ij->...", counts.sum(axis=-1), counts.sum(axis=-2), weights)
    seen = np.einsum("...ij,ij->...", counts, weights) * total
    return np.asarray(1.0 - np.divide(seen, chance, out=np.full(seen.shape, np.nan),
                                      where=chance > 0.0))  # fmt: skip


def share_within(counts: FloatArray, apart: int) -> FloatArray:
    """Return the share of pairs at most ``apart`` grades apart; NaN where there is no pair.

    >>> float(share_within(np.array([[2.0, 1.0], [0.0, 1.0]]), 0))
    0.75
    """
    weights = disagreement_weights(counts.shape[-1], LINEAR) <= apart
    return share_of(np.einsum("...ij,ij->...", counts, weights), counts.sum(axis=(-2, -1)))


def share_split(counts: FloatArray, boundary: int) -> FloatArray:
    """Return the share of pairs of which one lies below a grade and the other at it or above.

    Parameters
    ----------
    counts : array, shape (..., K, K)
    boundary
        1..K-1: the step from grade ``boundary - 1`` to grade ``boundary``.

    Examples
    --------
    >>> float(share_split(np.array([[2.0, 1.0], [0.0, 1.0]]), 1))
    0.25
    """
    across = counts[..., :boundary, boundary:].sum(axis=(-2, -1))
    across = across + counts[..., boundary:, :boundary].sum(axis=(-2, -1))
    return share_of(across, counts.sum(axis=(-2, -1)))


def share_of(part: FloatArray, whole: FloatArray) -> FloatArray:
    """Return part / whole, NaN where the whole is 0."""
    part, whole = np.asarray(part, dtype=np.float64), np.asarray(whole, dtype=np.float64)
    return np.asarray(np.divide(part, whole, out=np.full(whole.shape, np.nan), where=whole > 0.0))
