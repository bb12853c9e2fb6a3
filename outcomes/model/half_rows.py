"""Gradient and packed information of many replicates from their half-rows.

Notation as in `arrangement`; psi (q, B) parameters, w (m, B) weights of the half-rows.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.model.arrangement import Arrangement
from outcomes.model.fit import FloatArray, IntArray, Link
from outcomes.model.links import interval_terms


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfWeights:
    """Weights of many replicates: of every half-row (m, B), and each grade's total (K, B)."""

    halves: FloatArray
    grades: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HalfTerms:
    """Weighted derivatives of many replicates.

    Parameters
    ----------
    pull : array, shape (m, B)
        Derivative of the log-likelihood by the half-row's cut point (gap part left out).
    curve : array, shape (m, B)
        Minus its second derivative.
    gap_pull, coupling : array, shape (K-2, B)
        First and minus the second derivative by each gap, summed over the grade's pieces.
    """

    pull: FloatArray
    curve: FloatArray
    gap_pull: FloatArray
    coupling: FloatArray


def build_scratch(n_half_rows: int, n_replicates: int) -> FloatArray:
    """Return working memory for blocks of up to this size, shape (4, m B).

    Fresh arrays of a block's size cost as much as the arithmetic on them (page faults,
    measured): a worker keeps one scratch for all its blocks.
    """
    return np.empty((4, n_half_rows * n_replicates))


def build_half_weights(
    by_firing: FloatArray, firing: IntArray, arrangement: Arrangement, *, scratch: FloatArray
) -> HalfWeights:
    """Give each half-row (m,) the weight of its firing, from weights (G, B).

    The result lives in the scratch's fourth row until the next call.
    """
    halves = _shaped(scratch[3], (len(firing), by_firing.shape[1]))
    np.take(by_firing, firing, axis=0, out=halves, mode="clip")  # "raise" would buffer
    once = [*arrangement.upper[:-1], arrangement.lower[-1]]
    grades = np.stack([halves[where].sum(axis=0) for where in once])
    return HalfWeights(halves=halves, grades=grades)


def half_terms(
    psi: FloatArray,
    arrangement: Arrangement,
    *,
    weights: HalfWeights,
    link: Link,
    scratch: FloatArray,
) -> HalfTerms:
    """Return the weighted derivatives.

    Parameters
    ----------
    psi : array, shape (q, B)
    arrangement
        The design.
    weights
        Of the half-rows.
    link
        The distribution.
    scratch
        From `build_scratch`: the result lives in its first two rows until the next call.
    """
    shape = weights.halves.shape
    pull, curve = _shaped(scratch[0], shape), _shaped(scratch[1], shape)
    with np.errstate(all="ignore"):
        if link is Link.LOGIT:
            return _logit_half_terms(psi, arrangement, weights=weights, pull=pull, curve=curve)
        return _any_half_terms(psi, arrangement, weights=weights.halves, link=link)


def _shaped(row: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    """Return the beginning of a scratch row as an array of this shape."""
    return row[: shape[0] * shape[1]].reshape(shape)


def _logit_half_terms(
    psi: FloatArray,
    arrangement: Arrangement,
    *,
    weights: HalfWeights,
    pull: FloatArray,
    curve: FloatArray,
) -> HalfTerms:
    """Return a logistic regression's terms: one exponential a half-row, no logarithm."""
    np.matmul(arrangement.half_design, psi, out=curve)
    np.exp(curve, out=curve)
    curve += 1.0
    np.reciprocal(curve, out=curve)  # 1 - F(cut point); where exp overflows it is 0
    np.multiply(weights.halves, curve, out=pull)
    curve *= pull
    np.subtract(pull, curve, out=curve)  # w (1 - F) F
    for where in arrangement.lower[1:]:
        pull[where] -= weights.halves[where]
    gaps = np.diff(psi[: arrangement.n_grades - 1], axis=0)
    closeness, room = np.exp(-gaps), -np.expm1(-gaps)
    gap_pull = weights.grades[1:-1] * closeness / room
    return HalfTerms(pull=pull, curve=curve, gap_pull=gap_pull, coupling=gap_pull / room)


def _any_half_terms(
    psi: FloatArray, arrangement: Arrangement, *, weights: FloatArray, link: Link
) -> HalfTerms:
    """Return any link's terms: those of the pieces, handed to their halves."""
    last = arrangement.n_grades - 1
    cut = arrangement.half_design @ psi
    pull, curve = np.empty_like(cut), np.empty_like(cut)
    coupling = np.zeros((last - 1, psi.shape[1]))
    for k in range(last + 1):
        up, down = arrangement.upper[k], arrangement.lower[k]
        lower = cut[down] if k > 0 else np.full_like(cut[up], -np.inf)
        upper = cut[up] if k < last else np.full_like(cut[down], np.inf)
        gap = np.broadcast_to(psi[k] - psi[k - 1], lower.shape) if 0 < k < last else upper - lower
        terms = interval_terms(lower, upper, gap, link)
        if k < last:
            pull[up] = weights[up] * terms.upper_pull
            curve[up] = weights[up] * terms.upper_curve
        if k > 0:
            pull[down] = -weights[down] * terms.lower_pull
            curve[down] = weights[down] * terms.lower_curve
        if 0 < k < last:
            coupling[k - 1] = np.sum(weights[up] * terms.coupling, axis=0)
    return HalfTerms(pull=pull, curve=curve, gap_pull=np.zeros_like(coupling), coupling=coupling)


def gradient(terms: HalfTerms, arrangement: Arrangement) -> FloatArray:
    """Return the score, (q, B)."""
    score = arrangement.half_design.T @ terms.pull
    inner = arrangement.n_grades - 2
    score[1 : inner + 1] += terms.gap_pull
    score[:inner] -= terms.gap_pull
    return score


def packed_information(
    terms: HalfTerms, arrangement: Arrangement, *, scratch: FloatArray
) -> FloatArray:
    """Return the information's distinct entries, one row each, in the order of ``packing``."""
    curve, block = terms.curve, len(arrangement.across[0])
    n_pairs, n_pieces = arrangement.pairs.shape
    inner = arrangement.n_grades - 2
    packed = np.empty((arrangement.n_entries, curve.shape[1]))
    whole = _shaped(scratch[2], (n_pieces, curve.shape[1]))
    np.matmul(arrangement.pairs, _of_pieces(curve, arrangement, out=whole), out=packed[:n_pairs])
    for k, columns in enumerate(arrangement.across):
        start = n_pairs + k * block
        np.matmul(columns, curve[arrangement.thresholds[k]], out=packed[start : start + block])
    diagonal = packed[n_pairs : n_pairs + (inner + 1) * block : block]
    diagonal[1:] += terms.coupling
    diagonal[:-1] += terms.coupling
    packed[-1 - inner : -1] = -terms.coupling
    packed[-1] = 0.0
    return packed


def _of_pieces(curve: FloatArray, arrangement: Arrangement, *, out: FloatArray) -> FloatArray:
    """Add the two halves of every piece, into ``out`` (n, B)."""
    out[arrangement.grades[0]] = curve[arrangement.upper[0]]
    out[arrangement.grades[-1]] = curve[arrangement.lower[-1]]
    for k in range(1, arrangement.n_grades - 1):
        up, down = arrangement.upper[k], arrangement.lower[k]
        np.add(curve[up], curve[down], out=out[arrangement.grades[k]])
    return out
