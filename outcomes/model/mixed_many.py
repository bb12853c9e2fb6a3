"""Refit one random-intercept design under many weights of its firings.

Notation as in `quadrature`; B replicates. Everything starts at the full fit and climbs together;
a replicate in which a grade vanished is fitted with the grades that are left.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.model.fit import FloatArray, IntArray
from outcomes.model.mixed import FINER, MixedFit
from outcomes.model.mixed_climb import climb_mixed, with_replicates
from outcomes.model.mixed_task import (
    PIECE_VARIANCE,
    build_mixed_task,
    inward,
    outward,
    outward_covariance,
)
from outcomes.model.one_thread import hold_one_thread

_BLOCK_NUMBERS: Final = 2**16  # rows x nodes x replicates of a block: near a core's own cache
_FEWEST: Final = 8  # replicates of a block of many rows: two of them cost a third more each
# Newton squares its error: the parameters are then right to 1e-6 of their standard errors.
_TOLERANCE: Final = 1e-8
_SMALLEST_START: Final = 0.25  # of the piece's own luck: an sd started at 0 could never leave it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ManyMixedFits:
    """Weighted refits of one random-intercept design.

    ``slopes`` (B, p), ``firing_sd`` (B,), ``slope_covariance`` (B, p, p), ``converged`` (B,).
    """

    slopes: FloatArray
    firing_sd: FloatArray
    slope_covariance: FloatArray
    converged: NDArray[np.bool_]


def fit_many_mixed(
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    firing: IntArray,
    firing_weights: FloatArray,
    start: MixedFit,
) -> ManyMixedFits:
    """Return every weighted refit.

    Parameters
    ----------
    X, y, n_grades, firing
        As in `fit_mixed`; firings are numbered 0..G-1 without gaps.
    firing_weights : array, shape (B, G)
        Weight of each firing in each replicate: 0 leaves it out, 2 counts it twice.
    start
        The full fit: where every refit begins, and its options.

    Raises
    ------
    RequestError
        If the weights have no column for each firing, or a replicate holds one grade only.
    """
    n_firings = int(firing.max()) + 1
    weights = np.asarray(firing_weights, dtype=np.float64)
    if weights.ndim != 2 or weights.shape[1] != n_firings:
        raise RequestError(
            f"the weights have shape {weights.shape}; expected one column for each of the "
            f"{n_firings} firings"
        )
    counts = np.zeros((n_firings, n_grades))
    np.add.at(counts, (firing, y), 1.0)
    patterns, pattern_of = np.unique(weights @ counts > 0.0, axis=0, return_inverse=True)
    p = X.shape[1]
    slopes, spread = np.empty((len(weights), p)), np.empty((len(weights), p, p))
    sd, converged = np.empty(len(weights)), np.zeros(len(weights), dtype=bool)
    with hold_one_thread():
        for number, present in enumerate(patterns):
            members = np.flatnonzero(pattern_of.ravel() == number)
            size = max(_FEWEST, _BLOCK_NUMBERS // (len(y) * start.points))
            for begin in range(0, len(members), size):
                at = members[begin : begin + size]
                done = _fit_block(X, y, present, firing=firing, weights=weights[at], start=start)
                slopes[at], spread[at] = done.slopes, done.slope_covariance
                sd[at], converged[at] = done.firing_sd, done.converged
    return ManyMixedFits(slopes=slopes, firing_sd=sd, slope_covariance=spread, converged=converged)


def _fit_block(  # noqa: PLR0913 - a design, what of it occurs, and how to weigh it
    X: FloatArray,
    y: IntArray,
    present: NDArray[np.bool_],
    *,
    firing: IntArray,
    weights: FloatArray,
    start: MixedFit,
) -> ManyMixedFits:
    """Refit the replicates of one block, in which the same grades occur."""
    if present.sum() < 2:
        raise RequestError("a replicate holds one grade only: nothing can be compared in it")
    kept = present[y]
    found = (np.cumsum(present) - 1)[y[kept]]
    met, number = np.unique(firing[kept], return_inverse=True)
    task, centre = build_mixed_task(
        X[kept],
        found,
        int(present.sum()),
        firing=number.astype(np.int64),
        options=replace(start.options, tolerance=max(_TOLERANCE, start.options.tolerance)),
        points=start.points,
        weights=weights[:, met],
    )
    unit = float(np.sqrt(PIECE_VARIANCE[start.options.link]))
    sd = max(start.firing_sd, _SMALLEST_START * unit)
    begin = np.concatenate([_between(start.thresholds, present), start.slopes, [sd]])
    arrival = climb_mixed(np.tile(inward(begin, task, centre), (len(weights), 1)), task)
    late = np.flatnonzero(~arrival.arrived)
    if len(late):
        finer = replace(task.of(late), points=FINER * task.points)
        arrival = with_replicates(arrival, climb_mixed(arrival.psi[late], finer), at=late)
    last = int(present.sum()) - 1
    values = outward(arrival.psi, task, centre)
    return ManyMixedFits(
        slopes=values[:, last:-1],
        firing_sd=values[:, -1],
        slope_covariance=outward_covariance(arrival, task, centre)[:, last:-1, last:-1],
        converged=arrival.arrived,
    )


def _between(thresholds: FloatArray, present: NDArray[np.bool_]) -> FloatArray:
    """Return starting thresholds between the grades that occur: the mean of those merged."""
    occurring = np.flatnonzero(present)
    return np.array(
        [
            thresholds[below:above].mean()
            for below, above in zip(occurring[:-1], occurring[1:], strict=True)
        ]
    )
