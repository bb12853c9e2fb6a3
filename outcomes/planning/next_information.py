"""How much pieces tell: information of a firing, variance of contrasts.

Notation: Z (m, q) columns of a firing's pieces, an intercept first; tau firing luck over piece
luck (variances); M (q, q) information; C (q, q) = sum over contrasts of w c c'.
"""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def firing_information(Z: FloatArray, luck: float) -> FloatArray:
    """Return Z'(I + tau 11')^-1 Z, what the pieces of one firing tell together.

    Parameters
    ----------
    Z : array, shape (..., m, q)
        Rows of zeros are pieces that are not graded: they tell nothing and share nothing.
    luck
        tau.

    Notes
    -----
    (I + tau 11')^-1 = I - tau/(1 + tau m) 11' (Sherman & Morrison 1950), m counting the graded
    pieces: the column sums are all a firing's luck takes away.

    References
    ----------
    Goos & Vandebroek (2003), Technometrics 45, 1-14 (information of a split-plot design).

    Examples
    --------
    >>> float(firing_information(np.ones((4, 1)), 0.5)[0, 0])  # 4 / (1 + 4 * 0.5)
    1.3333333333333335
    """
    graded = (Z != 0.0).any(axis=-1).sum(axis=-1)
    total = Z.sum(axis=-2)
    shrink = luck / (1.0 + luck * graded)
    outer = total[..., :, None] * total[..., None, :]
    return np.asarray(np.swapaxes(Z, -1, -2) @ Z - shrink[..., None, None] * outer)


def log_information(Z: FloatArray, firing: NDArray[np.int64], luck: float) -> FloatArray:
    """Return the information of a whole log, shape (q, q): the sum over its firings."""
    total = np.zeros((Z.shape[1], Z.shape[1]))
    for number in np.unique(firing):
        total += firing_information(Z[firing == number], luck)
    return total


def take_out(information: FloatArray, kept: int) -> FloatArray:
    """Return what is told about the first columns when the others are estimated too.

    Parameters
    ----------
    information : array, shape (q, q)
    kept
        How many leading columns are asked about.

    Notes
    -----
    The Schur complement M_11 - M_12 M_22^-1 M_21: its inverse is the leading block of M^-1.
    """
    if kept == len(information):
        return information
    cross = information[:kept, kept:]
    rest = np.linalg.solve(information[kept:, kept:], cross.T)
    reduced = information[:kept, :kept] - cross @ rest
    return np.asarray(0.5 * (reduced + reduced.T))


def contrast_variance(information: FloatArray, contrasts: FloatArray) -> FloatArray:
    """Return c' M^-1 c of every contrast, shape (T,)."""
    solved = np.linalg.solve(information, contrasts.T)
    return np.asarray((contrasts.T * solved).sum(axis=0))


def summed_variance(information: FloatArray, weights: FloatArray) -> FloatArray:
    """Return trace(C M^-1) of a stack of informations, shape (...,).

    With C the weighted sum of c c' over the contrasts this is the weighted sum of their
    variances: the A- (for contrasts: linear, or L-) criterion.

    References
    ----------
    Atkinson, Donev & Tobias (2007), Optimum Experimental Designs, with SAS, section 10.5.
    """
    return np.asarray((np.linalg.inv(information) * weights).sum(axis=(-2, -1)))
