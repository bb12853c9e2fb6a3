"""Refit one cumulative model with some of its columns left out, many choices at once.

Notation as in `likelihood`: psi (q, B) = thresholds, slopes; a choice of columns stands in each
column of psi, and the slopes of columns left out stay 0. Columns are centred and at unit spread.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import CumulativeFit, FitOptions, FloatArray, IntArray, ManyFits
from outcomes.model.link_terms import IntervalTerms
from outcomes.model.links import interval_terms
from outcomes.model.one_thread import hold_one_thread
from outcomes.model.penalty import penalty_gradient, penalty_information

_BLOCK_NUMBERS: Final = 2**16  # rows x choices of a block: near a core's own cache
_MOST_STEPS: Final = 40
_RIDGE: Final = 1e-10  # of the weight: a constant column stays solvable
_KEPT_GAP: Final = 0.1  # a step may shrink a gap between thresholds to a tenth, not further


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Columns:
    """The design: X (n, p) at unit spread, products of two columns (p (p+1)/2, n), y, K."""

    X: FloatArray
    pairs: FloatArray
    spread: FloatArray
    y: IntArray
    n_grades: int
    options: FitOptions


def fit_column_subsets(
    X: FloatArray, y: IntArray, n_grades: int, *, chosen: NDArray[np.bool_], start: CumulativeFit
) -> ManyFits:
    """Return the fit with each choice of columns.

    Parameters
    ----------
    X, y, n_grades
        The design of the full fit; every grade occurs.
    chosen : bool array, shape (B, p)
        Columns that stay; the slopes of the others are returned as 0.
    start
        The full fit: its options, and where every choice begins.
    """
    columns, centre = _columns(X, y, n_grades, start.options)
    last, spread = n_grades - 1, columns.spread
    shifted = start.thresholds - centre @ start.slopes
    inside = np.concatenate([shifted, start.slopes * spread])
    values = np.empty((len(chosen), last + X.shape[1]))
    largest, iterations = np.empty(len(chosen)), np.empty(len(chosen), dtype=np.int64)
    size = max(1, _BLOCK_NUMBERS // len(y))
    with hold_one_thread():
        for begin in range(0, len(chosen), size):
            at = slice(begin, begin + size)
            psi, largest[at], iterations[at] = _climb(columns, chosen[at], inside)
            slopes = psi[last:].T / spread
            values[at] = np.concatenate([psi[:last].T + (slopes @ centre)[:, None], slopes], axis=1)
    return ManyFits(
        values=values,
        converged=largest <= start.options.tolerance,
        largest_gradient=largest,
        iterations=iterations,
    )


def log_likelihoods(
    X: FloatArray, y: IntArray, n_grades: int, *, values: FloatArray, options: FitOptions
) -> FloatArray:
    """Return the log-likelihood, penalty left out, of many parameters (B, q)."""
    result = np.empty(len(values))
    size = max(1, _BLOCK_NUMBERS // len(y))
    columns, centre = _columns(X, y, n_grades, options)
    for begin in range(0, len(values), size):
        some = values[begin : begin + size]
        slopes = some[:, n_grades - 1 :]
        shifted = some[:, : n_grades - 1] - (slopes @ centre)[:, None]
        psi = np.concatenate([shifted, slopes * columns.spread], axis=1).T
        result[begin : begin + size] = _terms(columns, psi).log_probability.sum(axis=0)
    return result


def _columns(
    X: FloatArray, y: IntArray, n_grades: int, options: FitOptions
) -> tuple[_Columns, FloatArray]:
    """Return the design at unit spread, and the centre of its columns."""
    centre, spread = X.mean(axis=0), X.std(axis=0)
    largest = np.max(np.abs(X), axis=0, initial=0.0)
    spread = np.where(spread > 1e-13 * largest, spread, 1.0)
    scaled = (X - centre) / spread
    first, second = np.triu_indices(X.shape[1])
    across = np.ascontiguousarray(scaled.T)
    built = _Columns(
        X=scaled,
        pairs=across[first] * across[second],
        spread=spread,
        y=y,
        n_grades=n_grades,
        options=options,
    )
    return built, centre


def _terms(columns: _Columns, psi: FloatArray) -> IntervalTerms:
    """Return every piece's terms under every choice, (n, B)."""
    last, y = columns.n_grades - 1, columns.y
    end = np.full((1, psi.shape[1]), np.inf)
    cuts = np.concatenate([-end, psi[:last], end])
    eta = columns.X @ psi[last:]
    gap = np.diff(cuts, axis=0)[y]
    return interval_terms(cuts[y] - eta, cuts[y + 1] - eta, gap, columns.options.link)


def _climb(
    columns: _Columns, chosen: NDArray[np.bool_], start: FloatArray
) -> tuple[FloatArray, FloatArray, int]:
    """Climb a block by Newton; return psi (q, B), largest gradients (B,), steps."""
    last, n_pieces = columns.n_grades - 1, len(columns.y)
    always = np.ones((len(chosen), last), dtype=bool)
    stays = np.concatenate([always, chosen], axis=1).T
    psi = np.where(stays, start[:, None], 0.0)
    step, promised = np.zeros_like(psi), np.zeros(len(chosen))
    for count in range(_MOST_STEPS):
        terms = _terms(columns, psi)
        score = np.where(stays, _score(columns, terms, psi), 0.0)
        largest = np.max(np.abs(score), axis=0) / n_pieces
        if np.all(largest <= columns.options.tolerance) or count == _MOST_STEPS - 1:
            break
        information = _information(columns, terms, psi)
        information *= stays.T[:, :, None] & stays.T[:, None, :]
        diagonal = np.arange(len(psi))
        information[:, diagonal, diagonal] += np.where(stays, _RIDGE * n_pieces, 1.0).T
        ahead = np.linalg.solve(information, score.T[..., None])[..., 0].T
        ahead *= _room(psi[:last], np.asarray(ahead[:last]))
        # The log-likelihood is concave along a step: a slope now below minus half of what was
        # promised says the top was passed by far, and half the step is taken back.
        too_far = np.einsum("qb,qb->b", score, step) < -0.5 * promised
        psi = psi + np.where(too_far, -0.5 * step, ahead)
        step = np.where(too_far, 0.5 * step, ahead)
        promised = np.where(too_far, 0.5 * promised, np.einsum("qb,qb->b", score, ahead))
    return psi, np.asarray(largest), count


def _score(columns: _Columns, terms: IntervalTerms, psi: FloatArray) -> FloatArray:
    """Return the penalised score, (q, B)."""
    last, spread = columns.n_grades - 1, columns.spread[:, None]
    score = np.empty_like(psi)
    for k in range(last):
        up = terms.upper_pull[columns.y == k].sum(axis=0)
        score[k] = up - terms.lower_pull[columns.y == k + 1].sum(axis=0)
    pull = penalty_gradient(psi[last:] / spread, columns.options) / spread
    score[last:] = pull - columns.X.T @ terms.lean
    return score


def _information(columns: _Columns, terms: IntervalTerms, psi: FloatArray) -> FloatArray:
    """Return the penalised information, (B, q, q)."""
    last, size, spread = columns.n_grades - 1, len(psi), columns.spread[:, None]
    information = np.zeros((psi.shape[1], size, size))
    first, second = np.triu_indices(size - last)
    products = (columns.pairs @ (terms.upper_curve + terms.lower_curve)).T
    information[:, last + first, last + second] = products
    information[:, last + second, last + first] = products
    for k in range(last):
        below, above = columns.y == k, columns.y == k + 1
        up, down = terms.upper_curve[below], terms.lower_curve[above]
        cross = -(columns.X[below].T @ up + columns.X[above].T @ down).T
        information[:, k, last:] = information[:, last:, k] = cross
        information[:, k, k] += up.sum(axis=0) + down.sum(axis=0)
    for k in range(last - 1):
        between = terms.coupling[columns.y == k + 1].sum(axis=0)
        information[:, k, k] += between
        information[:, k + 1, k + 1] += between
        information[:, k, k + 1] -= between
        information[:, k + 1, k] -= between
    diagonal = np.arange(last, size)
    bend = penalty_information(psi[last:] / spread, columns.options) / spread**2
    information[:, diagonal, diagonal] += bend.T
    return information


def _room(thresholds: FloatArray, step: FloatArray) -> FloatArray:
    """Return the share of each step, at most 1, that keeps the thresholds in order."""
    if len(thresholds) < 2:
        return np.ones(step.shape[1])
    gaps, change = np.diff(thresholds, axis=0), np.diff(step, axis=0)
    shrinking = np.maximum(-change, 1e-300)
    return np.asarray(np.minimum(1.0, np.min((1.0 - _KEPT_GAP) * gaps / shrinking, axis=0)))
