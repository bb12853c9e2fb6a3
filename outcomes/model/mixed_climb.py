"""Newton's method for random-intercept models, many fits at once.

Notation as in `quadrature`; columns are centred and at unit spread.

The sd is climbed as it stands and may pass through 0 to the other sign: the likelihood is even in
it, so 0 is an ordinary stationary point, reached quadratically when it is the maximum.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import FitOptions, FloatArray
from outcomes.model.mixed_likelihood import MixedEvaluation, evaluate_mixed
from outcomes.model.penalty import penalty_gradient, penalty_information, penalty_value
from outcomes.model.quadrature import FiringRows

_FLOOR: Final = 1e-10  # smallest eigenvalue, of the largest: an untold direction stands still
_KEPT_GAP: Final = 0.1  # a step may shrink a gap between thresholds to a tenth, not further
_SMALLEST_SHARE: Final = 2.0**-20
# The score is the integral's, the value its quadrature's: near the top they differ by this much.
_SLACK: Final = 1e-8
_LARGER_SLACK: Final = 1e-4  # when the score halves: large sds, where 11 nodes are coarser


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MixedTask:
    """What is climbed.

    Parameters
    ----------
    rows
        The design, columns centred and at unit spread.
    spread : array, shape (p,)
        The penalty stands on slopes / spread.
    weights : array, shape (B, G)
    options, points
        Link, penalty, tolerance; nodes a firing.
    largest_sd
        The sd is kept within it.
    holds_sd
        True: the sd stays where it starts.
    """

    rows: FiringRows
    spread: FloatArray
    weights: FloatArray
    options: FitOptions
    points: int
    largest_sd: float
    holds_sd: bool = False

    def of(self, replicates: NDArray[np.int64]) -> "MixedTask":
        """Return the task of some of the replicates."""
        return replace(self, weights=self.weights[replicates])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MixedArrival:
    """Where many fits stopped.

    ``psi`` (B, q+1); ``value`` (B,) penalised log-likelihood; ``gradient`` (B, q+1) and
    ``information`` (B, q+1, q+1) with the penalty; ``largest`` (B,) gradient per unit of weight;
    ``arrived`` (B,); ``iterations``; ``at`` without the penalty.
    """

    psi: FloatArray
    value: FloatArray
    gradient: FloatArray
    information: FloatArray
    largest: FloatArray
    arrived: NDArray[np.bool_]
    iterations: int
    at: MixedEvaluation


def climb_mixed(
    start: FloatArray, task: MixedTask, *, modes: FloatArray | None = None
) -> MixedArrival:
    """Climb from ``start`` (B, q+1) until no gradient is left; ``modes`` (B, G) speed it up."""
    here = _look(start, task, modes=modes)
    step = _step(here, task)
    iteration = 0
    while not here.arrived.all() and iteration < task.options.max_iterations:
        climbing = np.flatnonzero(~here.arrived)
        ahead = _look(
            here.psi[climbing] + step[climbing], task.of(climbing), modes=here.at.mode[climbing]
        )
        before = here.value[climbing]
        size = 1.0 + np.abs(before)
        flatter = ahead.largest < 0.5 * here.largest[climbing]
        good = ahead.value >= before - np.where(flatter, _LARGER_SLACK, _SLACK) * size
        too_short = np.max(np.abs(step[climbing]), axis=1) < _SMALLEST_SHARE
        step[climbing[~good]] *= 0.5
        taken = np.flatnonzero(good)
        accepted = _part(ahead, taken)
        here = with_replicates(here, accepted, at=climbing[taken])
        step[climbing[taken]] = _step(accepted, task)
        iteration += 1
        if bool(np.all(too_short & ~here.arrived[climbing])):
            break
    return replace(here, iterations=iteration)


def _look(psi: FloatArray, task: MixedTask, *, modes: FloatArray | None) -> MixedArrival:
    """Evaluate with the penalty, the sd taken out of play where it is held."""
    at = evaluate_mixed(psi, task.rows, weights=task.weights, points=task.points, start=modes)
    last = task.rows.n_grades - 1
    slopes = (psi[:, last:-1] / task.spread).T
    gradient, information = at.gradient.copy(), at.information.copy()
    gradient[:, last:-1] += (penalty_gradient(slopes, task.options).T) / task.spread
    diagonal = np.arange(last, psi.shape[1] - 1)
    information[:, diagonal, diagonal] += (
        penalty_information(slopes, task.options).T / task.spread**2
    )
    held = task.holds_sd | _at_the_end(psi[:, -1], gradient[:, -1], task.largest_sd)
    gradient[held, -1] = 0.0
    information[held, -1, :] = information[held, :, -1] = 0.0
    information[held, -1, -1] = 1.0
    pieces = np.bincount(task.rows.firing)
    total = task.weights @ pieces
    largest = np.max(np.abs(gradient), axis=1) / total
    return MixedArrival(
        psi=psi,
        value=at.log_likelihood + penalty_value(slopes, task.options),
        gradient=gradient,
        information=information,
        largest=largest,
        arrived=largest <= task.options.tolerance,
        iterations=0,
        at=at,
    )


def _at_the_end(sd: FloatArray, slope: FloatArray, largest_sd: float) -> NDArray[np.bool_]:
    """Say where the sd is at its limit and pushing outward."""
    return (np.abs(sd) >= largest_sd) & (slope * sd > 0.0)


def _step(here: MixedArrival, task: MixedTask) -> FloatArray:
    """Return the Newton step, uphill in every direction, thresholds kept in order."""
    values, vectors = np.linalg.eigh(here.information)
    size = np.abs(values)
    raised = np.maximum(size, _FLOOR * size.max(axis=1, keepdims=True) + 1e-300)
    inner = np.einsum("bij,bi->bj", vectors, here.gradient) / raised
    step = np.einsum("bij,bj->bi", vectors, inner)
    last = task.rows.n_grades - 1
    share = np.minimum(_room(here.psi[:, :last], step[:, :last]), _calm(step[:, -1]))
    step *= share[:, None]
    limit = task.largest_sd
    step[:, -1] = np.clip(here.psi[:, -1] + step[:, -1], -limit, limit) - here.psi[:, -1]
    return np.asarray(step)


def _calm(sd_step: FloatArray) -> FloatArray:
    """Return the share of a step that moves the sd by no more than 1."""
    return np.asarray(1.0 / np.maximum(np.abs(sd_step), 1.0))


def _room(thresholds: FloatArray, step: FloatArray) -> FloatArray:
    """Return the share of each step, at most 1, that keeps the thresholds in order."""
    if thresholds.shape[1] < 2:
        return np.ones(len(step))
    gaps, change = np.diff(thresholds, axis=1), np.diff(step, axis=1)
    shrinking = np.maximum(-change, 1e-300)
    return np.asarray(np.minimum(1.0, np.min((1.0 - _KEPT_GAP) * gaps / shrinking, axis=1)))


def _part(arrival: MixedArrival, picked: NDArray[np.int64]) -> MixedArrival:
    """Return some of the replicates."""
    return MixedArrival(
        psi=arrival.psi[picked],
        value=arrival.value[picked],
        gradient=arrival.gradient[picked],
        information=arrival.information[picked],
        largest=arrival.largest[picked],
        arrived=arrival.arrived[picked],
        iterations=arrival.iterations,
        at=arrival.at.of(picked),
    )


def with_replicates(old: MixedArrival, new: MixedArrival, *, at: NDArray[np.int64]) -> MixedArrival:
    """Return old with the replicates of new put at their places."""

    def put(before: FloatArray, after: FloatArray) -> FloatArray:
        result = before.copy()
        result[at] = after
        return result

    arrived = old.arrived.copy()
    arrived[at] = new.arrived
    return MixedArrival(
        psi=put(old.psi, new.psi),
        value=put(old.value, new.value),
        gradient=put(old.gradient, new.gradient),
        information=put(old.information, new.information),
        largest=put(old.largest, new.largest),
        arrived=arrived,
        iterations=old.iterations,
        at=MixedEvaluation(
            log_likelihood=put(old.at.log_likelihood, new.at.log_likelihood),
            gradient=put(old.at.gradient, new.at.gradient),
            information=put(old.at.information, new.at.information),
            mode=put(old.at.mode, new.at.mode),
            width=put(old.at.width, new.at.width),
        ),
    )
