"""Many weighted refits of a design with very many pieces, a tile of half-rows at a time.

Notation as in `arrangement`; G firings, B replicates, t half-rows in a tile. For the logit::

    score_b = sum over half-rows of w_b (1 - F(cut)) D  -  sum over lower ones of w_b D  +  gaps

The second sum does not depend on the parameters and is a sum over firings. With few pieces a
block of replicates is one matrix; with very many, one replicate's matrices leave the cache
and a refit is paid by the memory bus. So the half-rows are cut into tiles that stay in the
cache for a block of replicates, and sums over tiles replace sums over pieces.

The steps are Newton's with the information at the full fit, weighted for each replicate: it
costs no pass over the pieces, being a sum over firings. With very many pieces the replicates lie
close to the full fit and such a step gains a digit or more. Where it gains less than half, the
information is taken anew.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.model.arrangement import Arrangement
from outcomes.model.climb import Climbed, keep_order
from outcomes.model.fit import FitOptions, FloatArray, IntArray
from outcomes.model.penalty import penalty_gradient, penalty_information

TILE_HALF_ROWS: Final = 256
TILE_REPLICATES: Final = 128
_RIDGE: Final = 1e-10  # of the total weight, on the diagonal: a constant column stays solvable
_MOST_STEPS: Final = 60
_SLOW: Final = 0.5  # a step that leaves more of the gradient asks for the information anew


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiled:
    """What is known of a group's firings once, for all its replicates.

    Parameters
    ----------
    lower : array, shape (q, G)
        Sum of D over each firing's lower half-rows.
    grades : array, shape (K, G)
        Pieces of each grade in each firing.
    information : array, shape (G, q q)
        Each firing's information at the start.
    """

    lower: FloatArray
    grades: FloatArray
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Work:
    """One block's replicates: weights by firing (G, A), totals, and what the score adds."""

    by_firing: FloatArray
    total: FloatArray
    grades: FloatArray
    lower: FloatArray


def build_tiled(
    arrangement: Arrangement, half_firing: IntArray, start: FloatArray, *, n_firings: int
) -> Tiled:
    """Sum over each firing what does not depend on the replicate.

    Parameters
    ----------
    arrangement
        The design.
    half_firing : array, shape (m,)
        Firing of each half-row.
    start : array, shape (q,)
        Where all replicates begin.
    n_firings
        G.
    """
    design = arrangement.half_design
    is_lower = np.zeros(len(design), dtype=bool)
    grades = np.zeros((arrangement.n_grades, n_firings))
    for k in range(arrangement.n_grades):
        is_lower[arrangement.lower[k]] = True
        once = arrangement.lower[k] if k else arrangement.upper[k]
        grades[k] = np.bincount(half_firing[once], minlength=n_firings)
    lower = np.zeros((design.shape[1], n_firings))
    for row, column in enumerate(design[is_lower].T):
        lower[row] = np.bincount(half_firing[is_lower], column, n_firings)
    survival = _survival(design @ start)
    information = np.zeros((n_firings, design.shape[1] ** 2))
    order = np.argsort(half_firing, kind="stable")
    ends = np.cumsum(np.bincount(half_firing, minlength=n_firings))
    for firing, rows in enumerate(np.split(order, ends[:-1])):
        curve = survival[rows] * (1.0 - survival[rows])
        information[firing] = (design[rows].T @ (curve[:, None] * design[rows])).ravel()
    return Tiled(
        lower=lower, grades=grades, information=information + _gaps(start[:, None], grades)
    )


def climb_tiled(
    arrangement: Arrangement,
    half_firing: IntArray,
    tiled: Tiled,
    *,
    start: FloatArray,
    by_firing: FloatArray,
    options: FitOptions,
) -> Climbed:
    """Refit every replicate of a block.

    Parameters
    ----------
    arrangement, half_firing, tiled, start
        As for `build_tiled`.
    by_firing : array, shape (G, B)
        Weights.
    options
        Penalty and tolerance; the link is the logit.

    Notes
    -----
    One that has not arrived after 60 steps is left to the caller.
    """
    work = _Work(
        by_firing=by_firing,
        total=tiled.grades.sum(axis=0) @ by_firing,
        grades=tiled.grades @ by_firing,
        lower=tiled.lower @ by_firing,
    )
    n_replicates = by_firing.shape[1]
    psi = np.repeat(start[:, None], n_replicates, axis=1)
    inverse = _inverse(by_firing.T @ tiled.information, psi, work, arrangement, options)
    before = np.full(n_replicates, np.inf)
    iterations = np.zeros(n_replicates, dtype=np.int64)
    for _ in range(_MOST_STEPS):
        score = _score(psi, arrangement, half_firing, work=work, options=options)
        size = np.max(np.abs(score), axis=0) / work.total
        going = size > options.tolerance
        if not going.any():
            break
        slow = np.flatnonzero(going & (size > _SLOW * before))
        if len(slow):
            fresh = _information(psi[:, slow], arrangement, half_firing, work=_some(work, slow))
            inverse[slow] = _inverse(fresh, psi[:, slow], _some(work, slow), arrangement, options)
        step = np.einsum("bij,jb->ib", inverse, score)
        step *= keep_order(psi[: arrangement.n_grades - 1], step[: arrangement.n_grades - 1])
        psi = psi + np.where(going, step, 0.0)
        iterations += going
        before = size
    return Climbed(
        values=psi.T,
        arrived=size <= options.tolerance,
        largest_gradient=size,
        iterations=iterations,
    )


def _some(work: _Work, which: IntArray) -> _Work:
    """Return the work of some replicates."""
    return _Work(
        by_firing=work.by_firing[:, which],
        total=work.total[which],
        grades=work.grades[:, which],
        lower=work.lower[:, which],
    )


def _survival(cut: FloatArray) -> FloatArray:
    """Return 1 - F(cut) of the logistic distribution, in place."""
    with np.errstate(over="ignore"):
        np.exp(cut, out=cut)
    cut += 1.0
    return np.reciprocal(cut, out=cut)


def _score(
    psi: FloatArray,
    arrangement: Arrangement,
    half_firing: IntArray,
    *,
    work: _Work,
    options: FitOptions,
) -> FloatArray:
    """Return the score with the penalty's pull, (q, A)."""
    design, score = arrangement.half_design, -work.lower
    for begin in range(0, len(design), TILE_HALF_ROWS):
        rows = design[begin : begin + TILE_HALF_ROWS]
        pull = _survival(rows @ psi)
        pull *= work.by_firing[half_firing[begin : begin + TILE_HALF_ROWS]]
        score += rows.T @ pull
    last = arrangement.n_grades - 1
    gaps = np.diff(psi[:last], axis=0)
    gap_pull = work.grades[1:-1] * np.exp(-gaps) / -np.expm1(-gaps)
    score[1:last] += gap_pull
    score[: last - 1] -= gap_pull
    spread = arrangement.spread[:, None]
    score[last:] += penalty_gradient(psi[last:] / spread, options) / spread
    return score


def _information(
    psi: FloatArray, arrangement: Arrangement, half_firing: IntArray, *, work: _Work
) -> FloatArray:
    """Return the information without the penalty at the replicates' own places, (A, q q)."""
    design, (q, n_replicates) = arrangement.half_design, psi.shape
    first, second = np.triu_indices(q)
    packed = np.zeros((n_replicates, len(first)))
    for begin in range(0, len(design), TILE_HALF_ROWS):
        rows = design[begin : begin + TILE_HALF_ROWS]
        survival = _survival(rows @ psi)
        curve = survival * (1.0 - survival)
        curve *= work.by_firing[half_firing[begin : begin + TILE_HALF_ROWS]]
        packed += curve.T @ (rows[:, first] * rows[:, second])
    whole = np.empty((n_replicates, q, q))
    whole[:, first, second] = packed
    whole[:, second, first] = packed
    return whole.reshape(n_replicates, q * q) + _gaps(psi, work.grades)


def _gaps(psi: FloatArray, grades: FloatArray) -> FloatArray:
    """Return the gaps' part of the information, (A, q q), from each grade's weight (K, A)."""
    inner, q = len(grades) - 2, len(psi)
    gaps = np.diff(psi[: inner + 1], axis=0)
    coupling = grades[1:-1] * np.exp(-gaps) / np.expm1(-gaps) ** 2
    part = np.zeros((grades.shape[1], q, q))
    for k in range(inner):
        for row, column, sign in ((k, k, 1.0), (k + 1, k + 1, 1.0), (k, k + 1, -1.0)):
            part[:, row, column] += sign * coupling[k]
        part[:, k + 1, k] -= coupling[k]
    return part.reshape(len(part), q * q)


def _inverse(
    information: FloatArray,
    psi: FloatArray,
    work: _Work,
    arrangement: Arrangement,
    options: FitOptions,
) -> FloatArray:
    """Return the inverse of information plus penalty and a trace of ridge, (A, q, q)."""
    q, last, spread = len(psi), arrangement.n_grades - 1, arrangement.spread[:, None]
    whole = information.reshape(-1, q, q).copy()
    at = np.arange(q)
    whole[:, at, at] += _RIDGE * work.total[:, None]
    stiffness = penalty_information(psi[last:] / spread, options) / spread**2
    whole[:, at[last:], at[last:]] += stiffness.T
    return np.asarray(np.linalg.inv(whole), dtype=np.float64)
