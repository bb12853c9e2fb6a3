"""Many weighted refits of a design with very many pieces, a tile of pieces at a time.

Notation as in `arrangement`; G firings, B replicates, x a piece's columns. For the logit::

    score_b = sum over half-rows of w_b (1 - F(cut)) D  -  sum over lower ones of w_b D  +  gaps

The second sum does not depend on the parameters and is a sum over firings. So is the first one
where all replicates begin, which saves a pass over the pieces. With few pieces a block of
replicates is one matrix; with very many, one replicate's matrices leave the cache and a refit is
paid by the memory bus. So the pieces are cut into tiles that stay in the cache for a block of
replicates, and sums over tiles replace sums over pieces. A piece's two cut points share its
eta, and exp(cut) = exp(theta) exp(-eta) one exponential.

The steps are Newton's with the information at the full fit, weighted for each replicate: it
costs no pass over the pieces, being a sum over firings. With very many pieces the replicates lie
close to the full fit and such a step gains a digit or more; what every step shows of the
information is written into it (BFGS), which saves one pass in five. Where a step gains less than
half, the information is taken anew.

References
----------
Nocedal & Wright (2006), Numerical Optimization, equation 6.17 (the update of the inverse; formula
from memory, tested by its secant equation).
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from outcomes.model.arrangement import Arrangement
from outcomes.model.climb import Climbed, keep_order
from outcomes.model.fit import FitOptions, FloatArray, IntArray
from outcomes.model.penalty import penalty_gradient, penalty_information
from outcomes.model.tile_sums import (
    Tiled,
    Work,
    build_tiled,
    sum_information,
    sum_pull,
    take_columns,
    take_replicates,
    unpack,
)

__all__ = ["TILE_REPLICATES", "Tiled", "build_tiled", "climb_tiled"]

TILE_REPLICATES: Final = 128
_RIDGE: Final = 1e-10  # of the total weight, on the diagonal: a constant column stays solvable
_MOST_STEPS: Final = 60
_SLOW: Final = 0.5  # a step that leaves more of the gradient asks for the information anew


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Climbers:
    """The replicates still climbing.

    ``index`` (A,) their places in the block, ``psi`` and ``score`` (q, A), ``size`` (A,) the
    largest gradient per weight, ``before`` (A,) that of the step before, ``inverse`` (A, q, q).
    """

    index: IntArray
    psi: FloatArray
    score: FloatArray
    size: FloatArray
    before: FloatArray
    inverse: FloatArray
    work: Work


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
    work = Work(
        by_firing=by_firing,
        total=tiled.grades.sum(axis=0) @ by_firing,
        grades=tiled.grades @ by_firing,
        lower=tiled.lower @ by_firing,
    )
    n_replicates = by_firing.shape[1]
    values = np.repeat(start[:, None], n_replicates, axis=1)
    largest, iterations = np.empty(n_replicates), np.zeros(n_replicates, dtype=np.int64)
    score = _whole_score(
        values, tiled.pull @ by_firing, work=work, arrangement=arrangement, options=options
    )
    information = unpack(by_firing.T @ tiled.information, q=len(start))
    climbers = _Climbers(
        index=np.arange(n_replicates),
        psi=values.copy(),
        score=score,
        size=_size(score, work),
        before=np.full(n_replicates, np.inf),
        inverse=_inverse(information, values, work, arrangement, options),
        work=work,
    )
    for count in range(_MOST_STEPS + 1):
        values[:, climbers.index], largest[climbers.index] = climbers.psi, climbers.size
        iterations[climbers.index] = count
        climbers = _still_going(climbers, options.tolerance)
        if not len(climbers.index) or count == _MOST_STEPS:
            break
        climbers = _moved(climbers, arrangement, half_firing, options)
    return Climbed(
        values=values.T,
        arrived=largest <= options.tolerance,
        largest_gradient=largest,
        iterations=iterations,
    )


def _still_going(climbers: _Climbers, tolerance: float) -> _Climbers:
    """Leave out the replicates that arrived."""
    stay = np.flatnonzero(climbers.size > tolerance)
    if len(stay) == len(climbers.index):
        return climbers
    return _Climbers(
        index=climbers.index[stay],
        psi=take_columns(climbers.psi, stay),
        score=take_columns(climbers.score, stay),
        size=climbers.size[stay],
        before=climbers.before[stay],
        inverse=climbers.inverse[stay],
        work=take_replicates(climbers.work, stay),
    )


def _moved(
    climbers: _Climbers, arrangement: Arrangement, half_firing: IntArray, options: FitOptions
) -> _Climbers:
    """Take one step and learn from it."""
    inverse, last, work = climbers.inverse, arrangement.n_grades - 1, climbers.work
    slow = np.flatnonzero(climbers.size > _SLOW * climbers.before)
    if len(slow):
        some, psi = take_replicates(work, slow), take_columns(climbers.psi, slow)
        fresh = sum_information(psi, arrangement, half_firing, work=some)
        inverse[slow] = _inverse(fresh, psi, some, arrangement, options)
    step = np.einsum("bij,jb->ib", inverse, climbers.score)
    step *= keep_order(climbers.psi[:last], step[:last])
    psi = climbers.psi + step
    pull = sum_pull(psi, arrangement, half_firing, work=work)
    score = _whole_score(psi, pull, work=work, arrangement=arrangement, options=options)
    return replace(
        climbers,
        psi=psi,
        score=score,
        size=_size(score, work),
        before=climbers.size,
        inverse=update_inverse(inverse, step, climbers.score - score),
    )


def update_inverse(inverse: FloatArray, step: FloatArray, change: FloatArray) -> FloatArray:
    """Return inverses (A, q, q) that map each change of the gradient (q, A) to its step (q, A).

    The BFGS update; where step and change do not agree in direction nothing is learnt.
    """
    agree = np.sum(step * change, axis=0)
    share = np.where(agree > 0.0, 1.0 / np.where(agree > 0.0, agree, 1.0), 0.0)
    seen = np.einsum("bij,jb->ib", inverse, change)
    along = 0.5 * share * (1.0 + share * np.sum(change * seen, axis=0)) * step - share * seen
    crossed = along.T[:, :, None] * step.T[:, None, :]
    return np.asarray(inverse + crossed + crossed.transpose(0, 2, 1))


def _size(score: FloatArray, work: Work) -> FloatArray:
    return np.asarray(np.max(np.abs(score), axis=0) / work.total)


def _whole_score(
    psi: FloatArray,
    pull: FloatArray,
    *,
    work: Work,
    arrangement: Arrangement,
    options: FitOptions,
) -> FloatArray:
    """Return the score with the gaps' and the penalty's pull, (q, A)."""
    score, last = pull - work.lower, arrangement.n_grades - 1
    gaps = np.diff(psi[:last], axis=0)
    gap_pull = work.grades[1:-1] * np.exp(-gaps) / -np.expm1(-gaps)
    score[1:last] += gap_pull
    score[: last - 1] -= gap_pull
    spread = arrangement.spread[:, None]
    score[last:] += penalty_gradient(psi[last:] / spread, options) / spread
    return score


def _inverse(
    information: FloatArray,
    psi: FloatArray,
    work: Work,
    arrangement: Arrangement,
    options: FitOptions,
) -> FloatArray:
    """Return the inverse of information plus penalty and a trace of ridge, (A, q, q)."""
    last, spread = arrangement.n_grades - 1, arrangement.spread[:, None]
    whole, at = information.copy(), np.arange(len(psi))
    whole[:, at, at] += _RIDGE * work.total[:, None]
    stiffness = penalty_information(psi[last:] / spread, options) / spread**2
    whole[:, at[last:], at[last:]] += stiffness.T
    return np.asarray(np.linalg.inv(whole), dtype=np.float64)
