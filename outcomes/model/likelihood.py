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

_BLOCK_PIECES = 2048  # their weighted columns stay in the cache: half the time of a large log


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
    n_firings, last = int(firing.max()) + 1, pieces.n_grades - 1
    up = _by_firing_and_grade(pieces, pieces.weights * terms.upper_pull, firing, n_firings)
    down = _by_firing_and_grade(pieces, pieces.weights * terms.lower_pull, firing, n_firings)
    lean = -pieces.weights * terms.lean
    slopes = [np.bincount(firing, lean * column, n_firings) for column in pieces.X.T]
    return np.column_stack([up[:, :last] - down[:, 1:], *slopes])


def _by_firing_and_grade(
    pieces: Pieces, values: FloatArray, firing: IntArray, n_firings: int
) -> FloatArray:
    """Return the sum over each firing's pieces of each grade, shape (G, K)."""
    cells = n_firings * pieces.n_grades
    sums = np.bincount(firing * pieces.n_grades + pieces.y, values, cells)
    return np.asarray(sums, dtype=np.float64).reshape(n_firings, pieces.n_grades)


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
    across, last = _across(terms, pieces), n_grades - 1
    ends = np.cumsum(np.bincount(firing))
    order = np.argsort(firing, kind="stable")
    right = X[order]
    both = terms.upper_curve + terms.lower_curve
    left = np.concatenate([-across[order], both[order, None] * right], axis=1)
    information = np.zeros((len(ends), last + X.shape[1], last + X.shape[1]))
    for g, (start, end) in enumerate(zip(np.append(0, ends[:-1]), ends, strict=True)):
        np.matmul(left[start:end].T, right[start:end], out=information[g, :, last:])
    information[:, last:, :last] = information[:, :last, last:].transpose(0, 2, 1)
    coupling = _by_firing_and_grade(pieces, terms.coupling, firing, len(ends))[:, 1:last]
    for k in range(last):
        information[:, k, k] = np.bincount(firing, across[:, k], len(ends))
    _couple(information, coupling)
    return information


def _couple(information: FloatArray, coupling: FloatArray) -> None:
    """Add the coupling (..., K-2) of neighbouring thresholds to information (..., q, q)."""
    below = np.arange(coupling.shape[-1])
    information[..., below + 1, below + 1] += coupling
    information[..., below, below] += coupling
    information[..., below + 1, below] -= coupling
    information[..., below, below + 1] -= coupling


def _across(terms: IntervalTerms, pieces: Pieces) -> FloatArray:
    """Return each piece's weighted curve at each threshold, shape (n, K-1)."""
    grades = np.arange(pieces.n_grades - 1)
    up = pieces.weights * terms.upper_curve
    down = pieces.weights * terms.lower_curve
    across = np.where(pieces.y[:, None] == grades, up[:, None], 0.0)
    across += np.where(pieces.y[:, None] == grades + 1, down[:, None], 0.0)
    return np.asarray(across)


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
    across = _across(terms, pieces)
    both = pieces.weights * (terms.upper_curve + terms.lower_curve)
    coupling = np.bincount(pieces.y, pieces.weights * terms.coupling, pieces.n_grades)
    information = np.zeros((last + pieces.X.shape[1],) * 2)
    information[grades, grades] = across.sum(axis=0)
    _couple(information, coupling[1:last].astype(np.float64))
    for first in range(0, len(both), _BLOCK_PIECES):
        at = slice(first, first + _BLOCK_PIECES)
        rows = pieces.X[at]
        information[:last, last:] -= across[at].T @ rows
        information[last:, last:] += rows.T @ (both[at, None] * rows)
    information[last:, :last] = information[:last, last:].T
    return information
