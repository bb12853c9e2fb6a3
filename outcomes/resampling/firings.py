"""Weights per firing: redraws with replacement, leave-one-out, and how many really count."""

import numpy as np

from outcomes.model.fit import FloatArray, IntArray


def draw_firing_weights(n_firings: int, resamples: int, *, rng: np.random.Generator) -> IntArray:
    """Return how often each firing is drawn in each redraw of all firings.

    Parameters
    ----------
    n_firings
        G, at least 1.
    resamples
        B.
    rng
        Where the luck comes from.

    Returns
    -------
    int array, shape (B, G)
        Every row sums to G.

    Examples
    --------
    >>> draw_firing_weights(4, 2, rng=np.random.default_rng(1)).sum(axis=1).tolist()
    [4, 4]
    """
    shares = np.full(n_firings, 1.0 / n_firings)
    return np.asarray(rng.multinomial(n_firings, shares, size=resamples), dtype=np.int64)


def leave_one_out_weights(n_firings: int) -> FloatArray:
    """Return weights that leave out each firing in turn, shape (G, G).

    >>> leave_one_out_weights(2).tolist()
    [[0.0, 1.0], [1.0, 0.0]]
    """
    return 1.0 - np.eye(n_firings)


def effective_firings(
    gradient: FloatArray, covariance: FloatArray, information: FloatArray
) -> float:
    """Return on about how many firings a contrast rests.

    Parameters
    ----------
    gradient : array, shape (q,)
        Derivative of the contrast by the parameters.
    covariance : array, shape (q, q)
        Of the full fit.
    information : array, shape (G, q, q)
        Each firing's part, from `model.likelihood.information_by_firing`.

    Returns
    -------
    float
        Between 1 and G; 1.0 when no firing says anything about the contrast.

    Notes
    -----
    ``q_g = c'V I_g V c`` and ``G_eff = (sum q_g)^2 / sum q_g^2``.

    References
    ----------
    In the spirit of Carter, Schnepel & Steigerwald (2017), Review of Economics and Statistics
    99, 698-709.

    Examples
    --------
    >>> effective_firings(np.ones(1), np.eye(1), np.ones((5, 1, 1)))
    5.0
    """
    direction = covariance @ gradient
    parts = np.einsum("i,gij,j->g", direction, information, direction)
    total = float(np.sum(parts))
    squares = float(np.sum(parts**2))
    if squares <= 0.0 or total <= 0.0:
        return 1.0
    return max(1.0, total**2 / squares)
