"""The search: settings are exchanged one at a time, from many random starts at once.

State: index (S, F, m, J), the value of each choice of each piece of each firing of S starts.
A coordinate is one choice of one piece, or of a whole firing when the choice is hard to change.
Each is tried at all its values with everything else as it stands; the best is taken; sweeps go
on until no start improves (coordinate exchange: Meyer & Nachtsheim 1995, Technometrics 37,
60-69; for split-plot designs Jones & Goos 2007, Applied Statistics 56, 347-364).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.planning.next_information import FloatArray, firing_information, summed_variance
from outcomes.planning.next_model import PlanModel
from outcomes.planning.next_pairs import Pairs

IntArray = NDArray[np.int64]
Measure = Callable[[PlanModel, FloatArray], FloatArray]

MOST_SWEEPS = 20
FINALISTS = 6  # after every sweep the worse half of the starts is given up, down to these
_GAIN = 1e-9  # a gain below it is rounding, and would make the plan depend on the processor


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem:
    """What is searched over.

    Parameters
    ----------
    models
        One an outcome with open questions.
    sizes : int array, shape (J,)
        Values of each choice.
    hard, fixed : bool arrays, shape (J,)
        Constant within a firing; given beforehand (the glaze).
    start : int array, shape (F, m, J)
        Fixed choices as given, the others at the usual value.
    repeats : bool array, shape (F,)
        Firings that repeat the usual settings: never exchanged.
    pairs
        Which values may meet.
    """

    models: tuple[PlanModel, ...]
    sizes: IntArray
    hard: NDArray[np.bool_]
    fixed: NDArray[np.bool_]
    start: IntArray
    repeats: NDArray[np.bool_]
    pairs: Pairs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """The best arrangement, index (F, m, J), and its criterion."""

    index: IntArray
    value: float


def measure_remaining(model: PlanModel, information: FloatArray) -> FloatArray:
    """Return the weighted sum of the contrasts' variances, shape (...,)."""
    return summed_variance(information, model.weights)


def search_plan(
    problem: Problem,
    *,
    starts: int,
    rng: np.random.Generator,
    measure: Measure = measure_remaining,
) -> Found:
    """Return the arrangement with the smallest criterion found.

    Parameters
    ----------
    problem
        What is searched over.
    starts
        Random starts, all climbed together.
    rng
        The only source of chance.
    measure
        What is made small, summed over the models.

    Raises
    ------
    RequestError
        If no arrangement obeys the rules on pairs.
    """
    index = _draw_starts(problem, starts, rng)
    value = measure_arrangement(problem, index, measure)
    for _ in range(MOST_SWEEPS):
        before = value.copy()
        value = _sweep(problem, index, value, measure)
        if not (value < before - _GAIN * np.abs(before)).any():
            break
        better = np.sort(np.argsort(value, kind="stable")[: max(FINALISTS, len(value) // 2)])
        index, value = index[better], value[better]
    best = int(np.argmin(np.round(value, 9)))
    return Found(index=index[best], value=float(value[best]))


def _sweep(problem: Problem, index: IntArray, value: FloatArray, measure: Measure) -> FloatArray:
    """Try every coordinate of every start once, in place; return the criteria."""
    known = [model.known() for model in problem.models]
    for firing in np.flatnonzero(~problem.repeats):
        others = np.delete(index, firing, axis=1)
        rests = [
            old + planned_information(model, others)
            for old, model in zip(known, problem.models, strict=True)
        ]
        for j, pieces in _coordinates(problem):
            where = (int(firing), j, pieces)
            value = _exchange(problem, index, value, where, rests=rests, measure=measure)
    return value


def measure_arrangement(
    problem: Problem, index: IntArray, measure: Measure = measure_remaining
) -> FloatArray:
    """Return the criterion of arrangements (..., F, m, J), shape (...,)."""
    total = np.zeros(index.shape[:-3])
    for model in problem.models:
        total += measure(model, model.known() + planned_information(model, index))
    return total


def planned_information(model: PlanModel, index: IntArray) -> FloatArray:
    """Return what the planned firings tell, (..., q, q), for arrangements (..., F, m, J)."""
    each = firing_information(model.piece_columns(index), model.luck)
    return np.asarray(model.precision * each.sum(axis=-3))


def _coordinates(problem: Problem) -> Iterator[tuple[int, IntArray]]:
    """Yield (choice, pieces that change together) of one firing."""
    everyone = np.arange(problem.start.shape[1])
    for j in np.flatnonzero(~problem.fixed & (problem.sizes > 1)):
        if problem.hard[j]:
            yield int(j), everyone
        else:
            for piece in everyone:
                yield int(j), np.array([piece])


def _exchange(
    problem: Problem,
    index: IntArray,
    value: FloatArray,
    where: tuple[int, int, IntArray],
    *,
    rests: Sequence[FloatArray],
    measure: Measure,
) -> FloatArray:
    """Put the best value at one coordinate of every start, in place; return the criteria."""
    firing, j, pieces = where
    size = int(problem.sizes[j])
    tried = np.repeat(index[:, firing][:, None], size, axis=1)
    tried[:, :, pieces, j] = np.arange(size)[None, :, None]
    total = np.zeros(tried.shape[:2])
    for model, rest in zip(problem.models, rests, strict=True):
        each = firing_information(model.piece_columns(tried), model.luck)
        total += measure(model, rest[:, None] + model.precision * each)
    total[~_valid(problem.pairs, tried[:, :, pieces], j)] = np.inf
    best = np.argmin(total, axis=1)
    reached = total[np.arange(len(best)), best]
    better = reached < value - _GAIN * np.abs(value)
    chosen = np.where(better, best, index[:, firing, pieces[0], j])
    index[:, firing, pieces, j] = chosen[:, None]
    return np.where(better, reached, value)


def _valid(pairs: Pairs, pieces: IntArray, j: int) -> NDArray[np.bool_]:
    """Return whether choice j may meet the others on all these pieces, (S, L)."""
    valid = np.ones(pieces.shape[:2], dtype=bool)
    for (one, other), ok in pairs.items():
        if one == j:
            valid &= ok[pieces[..., one], pieces[..., other]].all(axis=-1)
    return valid


def _draw_starts(problem: Problem, starts: int, rng: np.random.Generator) -> IntArray:
    """Return random arrangements that obey the rules, (S, F, m, J)."""
    index = np.repeat(problem.start[None], starts, axis=0)
    for _ in range(3):
        for firing in np.flatnonzero(~problem.repeats):
            for j, pieces in _coordinates(problem):
                size = int(problem.sizes[j])
                tried = np.repeat(index[:, firing][:, None], size, axis=1)
                tried[:, :, pieces, j] = np.arange(size)[None, :, None]
                chance = rng.random((starts, size))
                chance[~_valid(problem.pairs, tried[:, :, pieces], j)] -= 2.0
                index[:, firing, pieces, j] = np.argmax(chance, axis=1)[:, None]
    usable = obeys(problem, index)
    if not usable.any():
        raise RequestError(
            "No arrangement keeps apart what must not meet. Look at --never, --keep and --only: "
            "they rule out every value of some setting, or your usual settings themselves."
        )
    return index[usable]


def obeys(problem: Problem, index: IntArray) -> NDArray[np.bool_]:
    """Return which arrangements (..., F, m, J) keep every rule on pairs, shape (...,)."""
    valid = np.ones(index.shape[:-3], dtype=bool)
    for (one, other), ok in problem.pairs.items():
        valid &= ok[index[..., one], index[..., other]].all(axis=(-2, -1))
    return valid
