"""Whose value a blank takes: predictive mean matching, in several logs side by side.

Notation: b logs that differ only in their fills, r rows of each (pieces or firings), c numbers of
the factor that is filled.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from outcomes.design.design import FloatArray, IntArray

DONORS: Final = 5
_RIDGE: Final = 1.0  # pieces' worth of pull on each standardised predictor


def match_rows(
    predictors: FloatArray,
    target: FloatArray,
    *,
    recorded: IntArray,
    streams: Sequence[np.random.Generator],
) -> IntArray:
    """Return for every row the row whose value it takes, (b, r); a recorded row takes its own.

    Parameters
    ----------
    predictors : array, shape (b, r, w)
        Each log's own.
    target : array, shape (r, c)
        The factor, right in the recorded rows; the others are not looked at.
    recorded : array, shape (d,)
        Rows with a value.
    streams
        One a log.

    Notes
    -----
    Coefficients for the recorded rows are the estimates, those for the blank ones a draw from
    their posterior ("type 1" matching).
    """
    X = _standardise(predictors)
    ridge = np.full(X.shape[2], _RIDGE)
    ridge[0] = 1e-9
    Z, z = X[:, recorded], target[recorded]
    across = Z.transpose(0, 2, 1)
    covariance = np.linalg.inv(across @ Z + np.diag(ridge))
    estimate = covariance @ (across @ z)
    theirs = Z @ estimate
    # With a ridge the columns cost fewer degrees of freedom than there are of them.
    df = len(z) - len(ridge) + np.diagonal(covariance, axis1=1, axis2=2) @ ridge
    spread = [rng.chisquare(max(1.0, own)) for rng, own in zip(streams, df.tolist(), strict=True)]
    sigma = np.sqrt(((z - theirs) ** 2).sum(axis=1) / np.array(spread)[:, None])
    drawn = np.stack([rng.standard_normal(estimate.shape[1:]) for rng in streams])
    noise = np.linalg.cholesky(covariance) @ drawn
    blank = np.setdiff1d(np.arange(len(target)), recorded)
    mine = X[:, blank] @ (estimate + sigma[:, None, :] * noise)
    size = z.std(axis=0)
    scale = np.where(size > 0.0, size, 1.0)
    far = ((mine[:, :, None] / scale - theirs[:, None] / scale) ** 2).sum(axis=3)
    rows = np.tile(np.arange(len(target)), (len(streams), 1))
    rows[:, blank] = recorded[_draw_near(far, streams)]
    return rows


def _draw_near(far: FloatArray, streams: Sequence[np.random.Generator]) -> IntArray:
    """Return one of the nearest by lot for each blank, (b, blanks), from distances to all."""
    near = np.argsort(far, axis=2, kind="stable")[:, :, :DONORS]
    lot = np.stack([rng.integers(near.shape[2], size=near.shape[1]) for rng in streams])
    return np.asarray(np.take_along_axis(near, lot[:, :, None], axis=2)[:, :, 0])


def _standardise(values: FloatArray) -> FloatArray:
    """Return the columns centred and at unit spread, behind a column of ones, (b, r, w + 1)."""
    X = np.ones((*values.shape[:2], values.shape[2] + 1))
    centred = X[:, :, 1:]
    np.subtract(values, values.mean(axis=1, keepdims=True), out=centred)
    spread = np.sqrt((centred**2).mean(axis=1, keepdims=True))
    centred /= np.where(spread > 1e-12, spread, 1.0)
    return X


def average_firings(values: FloatArray, firing: IntArray) -> FloatArray:
    """Return the mean of every firing, shape (b, G, c), from the pieces' values (b, n, c)."""
    size = np.bincount(firing)
    starts = np.concatenate([[0], np.cumsum(size)[:-1]])
    together = values[:, np.argsort(firing, kind="stable")]
    return np.asarray(np.add.reduceat(together, starts, axis=1) / size[:, None])


def average_others(values: FloatArray, firing: IntArray) -> FloatArray:
    """Return the mean over the other pieces of the firing, (b, n, c); over all where it has none.

    >>> average_others(np.array([[[1.0], [3.0], [5.0]]]), np.array([0, 0, 1])).ravel().tolist()
    [3.0, 1.0, 3.0]
    """
    size = np.bincount(firing)[firing][:, None]
    sums = average_firings(values, firing)[:, firing] * size
    alone = size <= 1
    mean = (sums - values) / np.where(alone, 1, size - 1)
    return np.where(alone, values.mean(axis=1, keepdims=True), mean)
