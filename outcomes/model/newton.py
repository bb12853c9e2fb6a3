"""Newton's method with step halving, for one fit.

Notation as in `likelihood`; the columns are expected centred, ``scale`` (q,) their spreads.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.model.fit import FitOptions, FloatArray
from outcomes.model.likelihood import Evaluation, Pieces, evaluate

# Largest change of any cut point in a step that still counts as "no longer moving".
STILL: Final = 1e-6
_SMALLEST_STEP: Final = 2.0**-30


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arrival:
    """Where Newton stopped, in the centred columns."""

    parameters: FloatArray
    at: Evaluation
    step: FloatArray
    iterations: int


def climb_one(
    start: FloatArray, *, pieces: Pieces, options: FitOptions, scale: FloatArray
) -> Arrival:
    """Climb from ``start`` until neither the gradient nor the fitted etas move."""
    total = float(pieces.weights.sum())
    parameters, at = start, evaluate(start, pieces, options)
    iteration = 0
    while True:
        gradient = at.gradient + at.penalty_gradient
        step = _newton_step(at, scale)
        flat = np.max(np.abs(gradient / scale)) <= options.tolerance * total
        if flat and largest_move(step, pieces) <= STILL:
            # One more step costs nothing and takes the quadratic last digits.
            last, there = _halved(parameters, step, at=at, pieces=pieces, options=options)
            return Arrival(parameters=last, at=there, step=step, iterations=iteration + 1)
        if iteration == options.max_iterations:
            return Arrival(parameters=parameters, at=at, step=step, iterations=iteration)
        parameters, at = _halved(parameters, step, at=at, pieces=pieces, options=options)
        iteration += 1


def _newton_step(at: Evaluation, scale: FloatArray) -> FloatArray:
    """Return the Newton direction; where the information is not positive, a safe one.

    Solved in unit-spread coordinates. A direction with less than a 1e-12th of the largest
    eigenvalue is not identified, its gradient is rounding: it is left alone. Negative
    eigenvalues (the cauchit is not concave) count by their size, so that every step climbs.
    """
    information = at.information + np.diag(at.penalty_information)
    scaled = information / np.outer(scale, scale)
    gradient = (at.gradient + at.penalty_gradient) / scale
    values, vectors = np.linalg.eigh(scaled)
    sizes = np.abs(values)
    told = sizes > 1e-12 * np.max(sizes)
    along = np.where(told, vectors.T @ gradient, 0.0) / np.where(told, sizes, 1.0)
    return np.asarray(vectors @ along / scale)


def _halved(
    parameters: FloatArray,
    step: FloatArray,
    *,
    at: Evaluation,
    pieces: Pieces,
    options: FitOptions,
) -> tuple[FloatArray, Evaluation]:
    """Return where the first of step, step/2, step/4, ... that loses no likelihood leads."""
    before = at.log_likelihood + at.penalty
    slack = 1e-13 * (1.0 + abs(before))
    share = 1.0
    while share > _SMALLEST_STEP:
        there = parameters + share * step
        if np.all(np.diff(there[: pieces.n_grades - 1]) > 0.0):
            # Nearly every step is taken, so all of it is computed at once.
            reached = evaluate(there, pieces, options)
            if reached.log_likelihood + reached.penalty >= before - slack:
                return there, reached
        share *= 0.5
    return parameters, at


def largest_move(step: FloatArray, pieces: Pieces) -> float:
    """Return the largest change of a cut point that a step makes."""
    last = pieces.n_grades - 1
    slopes = pieces.X @ step[last:]
    return float(np.max(np.abs(step[:last])) + np.max(np.abs(slopes), initial=0.0))
