"""Averages of predicted chances with one setting moved (standardisation, g-computation).

For a contrast of factor A from a0 to a1, averaged over the supported pieces S::

    rate(a) = 1/|S| sum over i in S of P(grade >= aim | x_i with A = a)

all else as logged (Robins 1986, doi:10.1016/0270-0255(86)90088-6; Lane & Nelder 1982,
doi:10.2307/2530043). The pieces are held fixed when replicates vary: the interval is for the
firings that were made, method_in_depth.md §5.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outcomes.design.design import Design, FloatArray
from outcomes.design.matrix import find_term
from outcomes.effects.effect import Contrast
from outcomes.effects.support import value_columns
from outcomes.model.fit import Link
from outcomes.model.links import density, survival

_MOST_CELLS = 2**15  # chances held at once: 256 kB stay in a core's cache, 2.5 times as fast


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moved:
    """The supported pieces of a design with one factor set to two values.

    Parameters
    ----------
    columns : array, shape (m, p)
        The factor at ``from_value``, all else as logged.
    shift : array, shape (p,)
        What is added to every row to set it to ``to_value``.
    """

    columns: FloatArray
    shift: FloatArray


def build_moved(design: Design, contrast: Contrast, supported: NDArray[np.bool_]) -> Moved:
    """Return the pieces to average over; all pieces when none is supported."""
    term = find_term(design.spec, contrast.factor)
    slots = list(term.slots)
    columns = design.X[supported if supported.any() else slice(None)].copy()
    start, end = value_columns(term, contrast.from_value), value_columns(term, contrast.to_value)
    columns[:, slots] = start
    shift = np.zeros(design.X.shape[1])
    shift[slots] = end - start
    return Moved(columns=columns, shift=shift)


def predict_rates(
    moved: Moved, parameters: FloatArray, *, n_grades: int, grade: int, link: Link
) -> tuple[FloatArray, FloatArray]:
    """Return the average chance of ``grade`` or above at both values.

    Parameters
    ----------
    parameters : array, shape (B, q)
        Thresholds then slopes of each replicate.

    Returns
    -------
    tuple of arrays, shape (B,)
        At ``from_value`` and at ``to_value``.

    Notes
    -----
    The linear predictor is computed once a replicate; moving the factor adds one number.
    """
    start, end = _predict_reaches(moved, parameters, cuts=[grade - 1], n_grades=n_grades, link=link)
    return start[:, 0], end[:, 0]


def _predict_reaches(
    moved: Moved, parameters: FloatArray, *, cuts: Sequence[int], n_grades: int, link: Link
) -> tuple[FloatArray, FloatArray]:
    """Return the average chances to lie above some thresholds at both values, (B, cuts)."""
    at_start, at_end = np.empty((2, len(parameters), len(cuts)))
    block = max(1, _MOST_CELLS // max(1, len(moved.columns)))
    # Turned round once for many blocks of replicates; for a single one that costs more than it.
    turned = moved.columns.T
    pieces = np.ascontiguousarray(turned) if len(parameters) > block else turned
    for first in range(0, len(parameters), block):
        rows = slice(first, first + block)
        slopes = parameters[rows, n_grades - 1 :]
        lean, shift = slopes @ pieces, (slopes @ moved.shift)[:, None]
        for place, cut in enumerate(cuts):
            gap = parameters[rows, cut, None] - lean
            at_start[rows, place] = survival(gap, link).mean(axis=1)
            at_end[rows, place] = survival(gap - shift, link).mean(axis=1)
    return at_start, at_end


def predict_change(
    moved: Moved, parameters: FloatArray, *, n_grades: int, grade: int, link: Link
) -> FloatArray:
    """Return the change of the average chance in each replicate, shape (B,)."""
    start, end = predict_rates(moved, parameters, n_grades=n_grades, grade=grade, link=link)
    return end - start


def predict_mean_change(
    moved: Moved, parameters: FloatArray, *, grades: tuple[int, ...], link: Link
) -> FloatArray:
    """Return the change of the average grade in each replicate, shape (B,).

    Notes
    -----
    The mean grade is ``g_0 + sum_k (g_k - g_{k-1}) P(y >= k)`` over the grades that occur.
    """
    cuts = range(len(grades) - 1)
    start, end = _predict_reaches(moved, parameters, cuts=cuts, n_grades=len(grades), link=link)
    return np.asarray((end - start) @ np.diff(np.array(grades, dtype=float)))


def reach_gradient(
    columns: FloatArray, parameters: FloatArray, *, n_grades: int, grade: int, link: Link
) -> FloatArray:
    """Return the derivative of the average chance of ``grade`` or above, shape (q,).

    Parameters
    ----------
    columns : array, shape (m, p)
        Of the pieces averaged over.
    parameters : array, shape (q,)
        Thresholds, then slopes.
    """
    cuts = n_grades - 1
    steepness = density(parameters[grade - 1] - columns @ parameters[cuts:], link)
    gradient = np.zeros(len(parameters))
    gradient[grade - 1] = -steepness.mean()
    gradient[cuts:] = steepness @ columns / len(columns)
    return gradient


def change_gradient(
    moved: Moved, parameters: FloatArray, *, n_grades: int, grade: int, link: Link
) -> FloatArray:
    """Return the derivative of the change by every parameter, shape (q,)."""
    weights = np.arange(n_grades - 1) == grade - 1
    return _weigh_gradients(moved, parameters, weights.astype(float), link=link)


def mean_change_gradient(
    moved: Moved, parameters: FloatArray, *, grades: tuple[int, ...], link: Link
) -> FloatArray:
    """Return the derivative of the change of the average grade by every parameter, (q,)."""
    steps = np.diff(np.array(grades, dtype=float))
    return _weigh_gradients(moved, parameters, steps, link=link)


def _weigh_gradients(
    moved: Moved, parameters: FloatArray, weights: FloatArray, *, link: Link
) -> FloatArray:
    """Return the derivative of the changes above each threshold, times weights (K-1,), (q,)."""
    cuts = len(weights)
    lean, shift = moved.columns @ parameters[cuts:], float(moved.shift @ parameters[cuts:])
    gradient, steeper, at_end = np.zeros(len(parameters)), np.zeros(len(lean)), 0.0
    for k in np.flatnonzero(weights):
        start, end = (density(parameters[k] - lean - more, link) for more in (0.0, shift))
        gradient[k] = -weights[k] * (end.mean() - start.mean())
        steeper += weights[k] * (end - start)
        at_end += weights[k] * end.mean()
    gradient[cuts:] = steeper @ moved.columns / len(lean) + at_end * moved.shift
    return gradient
