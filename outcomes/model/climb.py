"""Newton's method for a block of weighted refits at once.

Notation as in `arrangement`: psi (q, A), every replicate still climbing a column; parameters
refer to the centred, unit-spread columns, so that one tolerance serves every column.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.arrangement import Arrangement
from outcomes.model.fit import FitOptions, FloatArray, IntArray
from outcomes.model.half_rows import (
    HalfTerms,
    HalfWeights,
    gradient,
    half_terms,
    packed_information,
)
from outcomes.model.penalty import penalty_gradient, penalty_information

# The last Newton step squares the error: asking 100 times more than the promised tolerance
# costs few replicates another step and makes weight 0 equal deletion to 1e-8.
_STRICTER: Final = 0.01
_RIDGE: Final = 1e-10  # of the total weight, on the diagonal: a constant column stays solvable
_KEPT_GAP: Final = 0.1  # a step may shrink a gap between thresholds to a tenth, not further
_MOST_STEPS: Final = 30


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slope:
    """Gradient (q, A) and packed information (entries, A) at one point, penalty left out."""

    gradient: FloatArray
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Climbed:
    """A block's result: values (B, q); arrived, largest gradient per weight, steps, all (B,)."""

    values: FloatArray
    arrived: NDArray[np.bool_]
    largest_gradient: FloatArray
    iterations: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Climbers:
    """The replicates still climbing.

    ``index`` (A,) their places in the block, ``psi`` (q, A), ``weights``, ``total`` (A,)
    weight, ``step`` (q, A) just taken and the gain per unit of it that the gradient
    ``promised`` (A,) before; ``free`` (q, A) parameters, None for all of them.
    """

    index: IntArray
    psi: FloatArray
    weights: HalfWeights
    total: FloatArray
    step: FloatArray
    promised: FloatArray
    free: NDArray[np.bool_] | None


def climb(  # noqa: PLR0913 - one design, what differs between its fits, and where to work
    arrangement: Arrangement,
    *,
    start: FloatArray,
    weights: HalfWeights,
    first: Slope | None,
    options: FitOptions,
    scratch: FloatArray,
    free: NDArray[np.bool_] | None = None,
) -> Climbed:
    """Refit every replicate of a block.

    Parameters
    ----------
    arrangement
        The design.
    start : array, shape (q,) or (q, B)
        Where all begin, the full fit, or each its own.
    weights
        Weights of the half-rows.
    first
        Gradient and information of every replicate at ``start`` when they are known already.
    options
        Link, penalty, tolerance.
    scratch
        From `half_rows.build_scratch`.
    free : bool array, shape (q, B)
        The others are held where they start; None frees all.

    Notes
    -----
    Replicates that arrived leave the block, so that a late one does not carry the others. One
    that has not arrived after 30 steps is left to the caller.
    """
    n_replicates = weights.halves.shape[1]
    values = np.tile(start.reshape(len(start), -1), (1, n_replicates if start.ndim == 1 else 1))
    largest = np.full(n_replicates, np.inf)
    arrived = np.zeros(n_replicates, dtype=bool)
    iterations = np.zeros(n_replicates, dtype=np.int64)
    climbers = _Climbers(
        index=np.arange(n_replicates),
        psi=values.copy(),
        weights=weights,
        total=weights.grades.sum(axis=0),
        step=np.zeros_like(values),
        promised=np.zeros(n_replicates),
        free=free,
    )
    if first is not None:
        score = _penalised(first.gradient, climbers, arrangement=arrangement, options=options)
        climbers = _moved(
            climbers, score, first.information, arrangement=arrangement, options=options
        )
    for count in range(int(first is not None), _MOST_STEPS):
        terms = half_terms(
            climbers.psi, arrangement, weights=climbers.weights, link=options.link, scratch=scratch
        )
        score = gradient(terms, arrangement)
        score = _penalised(score, climbers, arrangement=arrangement, options=options)
        size = np.max(np.abs(score), axis=0) / climbers.total
        there = size <= _STRICTER * options.tolerance
        values[:, climbers.index] = climbers.psi
        largest[climbers.index], arrived[climbers.index] = size, there
        iterations[climbers.index] = count
        if there.all():
            break
        if there.any():
            climbers, terms, score = _without(there, climbers, terms, score)
        curve = packed_information(terms, arrangement, scratch=scratch)
        climbers = _moved(climbers, score, curve, arrangement=arrangement, options=options)
    return Climbed(
        values=values.T, arrived=arrived, largest_gradient=largest, iterations=iterations
    )


def _penalised(
    score: FloatArray, climbers: _Climbers, *, arrangement: Arrangement, options: FitOptions
) -> FloatArray:
    """Return the gradient with the penalty's pull on the slopes, (q, A)."""
    last, spread = arrangement.n_grades - 1, arrangement.spread[:, None]
    pull = penalty_gradient(climbers.psi[last:] / spread, options) / spread
    score = np.concatenate([score[:last], score[last:] + pull])
    return score if climbers.free is None else score * climbers.free


def _moved(
    climbers: _Climbers,
    score: FloatArray,
    curve: FloatArray,
    *,
    arrangement: Arrangement,
    options: FitOptions,
) -> _Climbers:
    """Take one Newton step, or go back half the last one where it went too far.

    ``score`` (q, A) holds the penalty, ``curve`` (entries, A) does not. The log-likelihood is
    concave along a step, so its slope falls; a slope now below minus half of what was promised
    says the top was passed by far.
    """
    last, spread = arrangement.n_grades - 1, arrangement.spread[:, None]
    stiffness = np.repeat(_RIDGE * climbers.total[None], len(score), axis=0)
    stiffness[last:] += penalty_information(climbers.psi[last:] / spread, options) / spread**2
    step = _solved(curve, stiffness, score, packing=arrangement.packing, free=climbers.free)
    step *= keep_order(climbers.psi[:last], step[:last])
    promised = np.einsum("qa,qa->a", score, step)
    too_far = np.einsum("qa,qa->a", score, climbers.step) < -0.5 * climbers.promised
    if too_far.any():
        step[:, too_far] = 0.5 * climbers.step[:, too_far]
        promised[too_far] = 0.5 * climbers.promised[too_far]
    return replace(
        climbers,
        psi=climbers.psi + np.where(too_far, -step, step),
        step=step,
        promised=promised,
    )


def _solved(
    curve: FloatArray,
    stiffness: FloatArray,
    score: FloatArray,
    *,
    packing: IntArray,
    free: NDArray[np.bool_] | None,
) -> FloatArray:
    """Return (information + diag(stiffness))^-1 score over what is free, else 0, (q, A)."""
    # Each replicate's matrix lies together: LAPACK would gather it from all over otherwise.
    q, by_replicate = len(packing), np.ascontiguousarray(curve.T)
    information = np.take(by_replicate, packing.ravel(), axis=1, mode="clip")
    information = information.reshape(-1, q, q)
    if free is not None:
        information *= free.T[:, :, None] & free.T[:, None, :]
        stiffness = np.where(free, stiffness, 1.0)
    np.einsum("aqq->aq", information)[:] += stiffness.T
    step = np.linalg.solve(information, score.T[..., None])
    return np.ascontiguousarray(step[..., 0].T)


def keep_order(thresholds: FloatArray, step: FloatArray) -> FloatArray:
    """Return the share of each step, at most 1, that keeps the thresholds in order.

    Parameters
    ----------
    thresholds, step : array, shape (K-1, A)
    """
    if len(thresholds) < 2:
        return np.ones(step.shape[1])
    gaps, change = np.diff(thresholds, axis=0), np.diff(step, axis=0)
    shrinking = np.maximum(-change, 1e-300)
    return np.asarray(np.minimum(1.0, np.min((1.0 - _KEPT_GAP) * gaps / shrinking, axis=0)))


def _without(
    there: NDArray[np.bool_], climbers: _Climbers, terms: HalfTerms, score: FloatArray
) -> tuple[_Climbers, HalfTerms, FloatArray]:
    """Leave out the replicates that arrived."""
    stay = np.flatnonzero(~there)
    fewer = _Climbers(
        index=climbers.index[stay],
        psi=climbers.psi[:, stay],
        weights=HalfWeights(
            halves=climbers.weights.halves[:, stay], grades=climbers.weights.grades[:, stay]
        ),
        total=climbers.total[stay],
        step=climbers.step[:, stay],
        promised=climbers.promised[stay],
        free=None if climbers.free is None else climbers.free[:, stay],
    )
    kept = HalfTerms(
        pull=terms.pull,
        curve=terms.curve[:, stay],
        gap_pull=terms.gap_pull,
        coupling=terms.coupling[:, stay],
    )
    return fewer, kept, score[:, stay]
