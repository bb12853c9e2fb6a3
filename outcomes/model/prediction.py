"""Chances of grades from parameters, exact in both tails.

Notation as in `likelihood`: parameters are K-1 thresholds then p slopes.
"""

import numpy as np

from outcomes.model.fit import FloatArray, Link
from outcomes.model.links import interval_terms, survival


def predict_reach(
    X: FloatArray, parameters: FloatArray, n_grades: int, grade: int, link: Link = Link.LOGIT
) -> FloatArray:
    """Return P(y >= grade) of every row under every parameter.

    Parameters
    ----------
    X : array, shape (n, p)
    parameters : array, shape (q,) or (B, q)
        One parameter or one per replicate.
    n_grades
        K; q = K-1+p.
    grade
        1..K-1; 0 gives ones.
    link
        The distribution.

    Returns
    -------
    array, shape (n,) or (B, n)

    Examples
    --------
    >>> predict_reach(np.array([[0.0]]), np.array([0.0, 1.0]), 2, 1).tolist()
    [0.5]
    """
    eta = parameters[..., n_grades - 1 :] @ X.T
    if grade == 0:
        return np.ones_like(eta)
    return survival(parameters[..., grade - 1, None] - eta, link)


def predict_grades(
    X: FloatArray, parameters: FloatArray, n_grades: int, link: Link = Link.LOGIT
) -> FloatArray:
    """Return P(y = k) of every row, for every grade, under every parameter.

    Parameters
    ----------
    X, parameters, n_grades, link
        As in `predict_reach`.

    Returns
    -------
    array, shape (n, K) or (B, n, K)
        Rows sum to 1; a grade whose two thresholds meet has chance 0.

    Examples
    --------
    >>> predict_grades(np.array([[0.0]]), np.array([0.0, 1.0]), 2).tolist()
    [[0.5, 0.5]]
    """
    thresholds = parameters[..., : n_grades - 1]
    end = np.full((*thresholds.shape[:-1], 1), np.inf)
    cuts = np.concatenate([-end, thresholds, end], axis=-1)
    eta = (parameters[..., n_grades - 1 :] @ X.T)[..., None]
    at = cuts[..., None, :] - eta
    gaps = np.broadcast_to(np.diff(cuts, axis=-1)[..., None, :], (*eta.shape[:-1], n_grades))
    return np.exp(interval_terms(at[..., :-1], at[..., 1:], gaps, link).log_probability)
