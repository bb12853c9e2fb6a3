"""Refit one cumulative model with some of its columns left out, many choices at once.

Notation as in `arrangement`; a choice of columns is a replicate in which the slopes of the
others are held at 0.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.arrangement import Arrangement, build_arrangement
from outcomes.model.climb import Slope, climb
from outcomes.model.fit import CumulativeFit, FitOptions, FloatArray, IntArray, ManyFits
from outcomes.model.half_rows import (
    HalfWeights,
    build_scratch,
    gradient,
    half_terms,
    packed_information,
)
from outcomes.model.links import interval_terms
from outcomes.model.one_thread import hold_one_thread

_BLOCK_NUMBERS: Final = 2**16  # half-rows x choices of a block: near a core's own cache


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
    arrangement, options = build_arrangement(X, y, n_grades), start.options
    full = arrangement.inward(start.parameters())
    values = np.empty((len(chosen), len(full)))
    largest, iterations = np.empty(len(chosen)), np.empty(len(chosen), dtype=np.int64)
    size = max(1, _BLOCK_NUMBERS // len(arrangement.half_piece))
    always = np.ones((n_grades - 1, len(chosen)), dtype=bool)
    stays = np.concatenate([always, chosen.T])
    scratch = build_scratch(len(arrangement.half_piece), min(size, len(chosen)))
    with hold_one_thread():
        at_full = _slope(arrangement, full, options=options, scratch=scratch)
        for begin in range(0, len(chosen), size):
            at = slice(begin, begin + size)
            free = stays[:, at]
            held = np.where(free, full[:, None], 0.0)
            climbed = climb(
                arrangement,
                start=held,
                weights=_all_once(arrangement, free.shape[1]),
                first=_foretell(at_full, arrangement, full[:, None] - held),
                options=options,
                scratch=scratch,
                free=free,
            )
            values[at], largest[at] = climbed.values, climbed.largest_gradient
            iterations[at] = climbed.iterations
    return ManyFits(
        values=arrangement.outward(values),
        converged=largest <= options.tolerance,
        largest_gradient=largest,
        iterations=iterations,
    )


def log_likelihoods(
    X: FloatArray, y: IntArray, n_grades: int, *, values: FloatArray, options: FitOptions
) -> FloatArray:
    """Return the log-likelihood, penalty left out, of many parameters (B, q)."""
    result = np.empty(len(values))
    size = max(1, _BLOCK_NUMBERS // len(y))
    for begin in range(0, len(values), size):
        psi = values[begin : begin + size].T
        end = np.full((1, psi.shape[1]), np.inf)
        cuts = np.concatenate([-end, psi[: n_grades - 1], end])
        eta, gap = X @ psi[n_grades - 1 :], np.diff(cuts, axis=0)[y]
        terms = interval_terms(cuts[y] - eta, cuts[y + 1] - eta, gap, options.link)
        result[begin : begin + size] = terms.log_probability.sum(axis=0)
    return result


def _all_once(arrangement: Arrangement, n_choices: int) -> HalfWeights:
    """Return the weights of choices that count every piece once."""
    counts = np.array([[float(where.stop - where.start)] for where in arrangement.grades])
    return HalfWeights(
        halves=np.ones((len(arrangement.half_piece), n_choices)),
        grades=np.repeat(counts, n_choices, axis=1),
    )


def _slope(
    arrangement: Arrangement, psi: FloatArray, *, options: FitOptions, scratch: FloatArray
) -> Slope:
    """Return gradient (q, 1) and packed information (entries, 1) of all pieces at one point."""
    weights = _all_once(arrangement, 1)
    terms = half_terms(
        psi[:, None], arrangement, weights=weights, link=options.link, scratch=scratch
    )
    return Slope(
        gradient=gradient(terms, arrangement),
        information=packed_information(terms, arrangement, scratch=scratch),
    )


def _foretell(at_full: Slope, arrangement: Arrangement, back: FloatArray) -> Slope:
    """Return the slope at points a step ``back`` (q, B) from the full fit.

    Taken from the parabola about the full fit: of the six to eight steps a choice takes it saves
    one or two, at the price of one system of equations.
    """
    information = at_full.information[arrangement.packing, 0]
    return Slope(
        gradient=at_full.gradient + information @ back,
        information=np.repeat(at_full.information, back.shape[1], axis=1),
    )
