"""The weighted cumulative model's log-likelihood, gradient and information.

Notation
--------
X (n, p) columns, y (n,) grades 0..K-1, w (n,) weights, psi = (theta, beta) the K-1 increasing
thresholds then the p slopes, q = K-1+p, eta = X beta, and P(y <= k) = F(theta_{k+1} - eta).
D_u (n, q) and D_l (n, q) are the derivatives of each piece's two cut points by psi.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.model.fit import CumulativeFit, FitOptions, FloatArray, IntArray
from outcomes.model.link_terms import IntervalTerms
from outcomes.model.links import interval_terms
from outcomes.model.penalty import penalty_gradient, penalty_information, penalty_value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pieces:
    """What is known of the pieces: X (n, p), y (n,), weights (n,), and K."""

    X: FloatArray
    y: IntArray
    weights: FloatArray
    n_grades: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evaluation:
    """The model at one parameter.

    ``log_likelihood``, ``gradient`` (q,) and ``information`` (q, q) are without the penalty;
    ``penalty``, ``penalty_gradient`` (q,) and ``penalty_information`` (q,) are the penalty's.
    """

    log_likelihood: float
    gradient: FloatArray
    information: FloatArray
    penalty: float
    penalty_gradient: FloatArray
    penalty_information: FloatArray


def evaluate(parameters: FloatArray, pieces: Pieces, options: FitOptions) -> Evaluation:
    """Return log-likelihood, gradient and observed information, penalty apart.

    Parameters
    ----------
    parameters : array, shape (q,)
        Increasing thresholds, then slopes.
    pieces
        The data.
    options
        Link and penalty.
    """
    terms = piece_terms(parameters, pieces, options)
    beta = parameters[pieces.n_grades - 1 :]
    none = np.zeros(pieces.n_grades - 1)
    return Evaluation(
        log_likelihood=float(pieces.weights @ terms.log_probability),
        gradient=_gradient(terms, pieces),
        information=_information(terms, pieces),
        penalty=float(penalty_value(beta, options)),
        penalty_gradient=np.concatenate([none, penalty_gradient(beta, options)]),
        penalty_information=np.concatenate([none, penalty_information(beta, options)]),
    )


def penalised_log_likelihood(parameters: FloatArray, pieces: Pieces, options: FitOptions) -> float:
    """Return log-likelihood plus penalty; -inf when the thresholds do not increase."""
    if np.any(np.diff(parameters[: pieces.n_grades - 1]) <= 0.0):
        return -np.inf
    terms = piece_terms(parameters, pieces, options)
    value = pieces.weights @ terms.log_probability
    return float(value + penalty_value(parameters[pieces.n_grades - 1 :], options))


def piece_terms(parameters: FloatArray, pieces: Pieces, options: FitOptions) -> IntervalTerms:
    """Return every piece's log-probability and derivatives by its two cut points, (n,)."""
    cuts = np.concatenate([[-np.inf], parameters[: pieces.n_grades - 1], [np.inf]])
    eta = pieces.X @ parameters[pieces.n_grades - 1 :]
    gaps = np.diff(cuts)
    return interval_terms(
        cuts[pieces.y] - eta, cuts[pieces.y + 1] - eta, gaps[pieces.y], options.link
    )


def gradient_by_firing(pieces: Pieces, *, firing: IntArray, fit: CumulativeFit) -> FloatArray:
    """Return each firing's score at the fit, penalty left out, shape (G, q)."""
    terms = piece_terms(fit.parameters(), pieces, fit.options)
    upper, lower = _cut_point_derivatives(pieces)
    scores = pieces.weights[:, None] * (
        terms.upper_pull[:, None] * upper - terms.lower_pull[:, None] * lower
    )
    sums = np.zeros((int(firing.max()) + 1, scores.shape[1]))
    np.add.at(sums, firing, scores)
    return sums


def information_by_firing(
    X: FloatArray, y: IntArray, n_grades: int, firing: IntArray, fit: CumulativeFit
) -> FloatArray:
    """Return each firing's observed information at the fit, penalty left out.

    Parameters
    ----------
    X, y, n_grades
        The data of the fit.
    firing : array, shape (n,)
        Firing number 0..G-1.
    fit
        Where to take it.

    Returns
    -------
    array, shape (G, q, q)
        Sums to the full information of an unweighted fit.
    """
    pieces = Pieces(X=X, y=y, weights=np.ones(len(y)), n_grades=n_grades)
    terms = piece_terms(fit.parameters(), pieces, fit.options)
    upper, lower = _cut_point_derivatives(pieces)
    order = np.argsort(firing, kind="stable")
    ends = np.cumsum(np.bincount(firing))
    starts = np.concatenate([[0], ends[:-1]])
    parts = (
        (terms.upper_curve, upper),
        (terms.lower_curve, lower),
        (terms.coupling, upper - lower),
    )
    information = np.zeros((len(ends), upper.shape[1], upper.shape[1]))
    for curve, direction in parts:
        sorted_curve, sorted_direction = curve[order, None], direction[order]
        for g, (start, end) in enumerate(zip(starts, ends, strict=True)):
            rows = sorted_direction[start:end]
            information[g] += rows.T @ (sorted_curve[start:end] * rows)
    return information


def _cut_point_derivatives(pieces: Pieces) -> tuple[FloatArray, FloatArray]:
    """Return D_u and D_l, shape (n, q); zero rows where a cut point is infinite.

    An infinite cut point has zero pull and curve, so only `coupling`'s difference needs the
    zero row: coupling is zero there too.
    """
    n, last = len(pieces.y), pieces.n_grades - 1
    rows = np.arange(n)
    has_upper, has_lower = pieces.y < last, pieces.y > 0
    upper = np.concatenate([np.zeros((n, last)), -pieces.X], axis=1)
    lower = upper.copy()
    upper[rows[has_upper], pieces.y[has_upper]] = 1.0
    lower[rows[has_lower], pieces.y[has_lower] - 1] = 1.0
    return upper, lower


def _gradient(terms: IntervalTerms, pieces: Pieces) -> FloatArray:
    """Return the score, shape (q,)."""
    last = pieces.n_grades - 1
    pull_up = np.bincount(pieces.y, pieces.weights * terms.upper_pull, pieces.n_grades)
    pull_down = np.bincount(pieces.y, pieces.weights * terms.lower_pull, pieces.n_grades)
    slopes = -pieces.X.T @ (pieces.weights * terms.lean)
    return np.concatenate([pull_up[:last] - pull_down[1:], slopes])


def _information(terms: IntervalTerms, pieces: Pieces) -> FloatArray:
    """Return the observed information, shape (q, q)."""
    last = pieces.n_grades - 1
    grades = np.arange(last)
    up = pieces.weights * terms.upper_curve
    down = pieces.weights * terms.lower_curve
    across = np.where(pieces.y[:, None] == grades, up[:, None], 0.0)
    across += np.where(pieces.y[:, None] == grades + 1, down[:, None], 0.0)
    coupling = np.bincount(pieces.y, pieces.weights * terms.coupling, pieces.n_grades)[1:last]
    information = np.zeros((last + pieces.X.shape[1],) * 2)
    information[grades, grades] = across.sum(axis=0)
    information[grades[1:], grades[1:]] += coupling
    information[grades[:-1], grades[:-1]] += coupling
    information[grades[1:], grades[:-1]] -= coupling
    information[grades[:-1], grades[1:]] -= coupling
    information[:last, last:] = -across.T @ pieces.X
    information[last:, :last] = information[:last, last:].T
    information[last:, last:] = pieces.X.T @ ((up + down)[:, None] * pieces.X)
    return information
