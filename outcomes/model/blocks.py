"""Blocks of weighted refits: which replicates go together, and how one block is fitted.

Notation as in `arrangement`; G firings, B replicates.

Replicates are grouped by which grades occur in them (a grade that vanished has no threshold to
fit, see `grades`); each group is an arranged design of its own, cut into blocks whose size
depends on the number of pieces alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.arrangement import Arrangement, build_arrangement
from outcomes.model.climb import Climbed, Slope, climb
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitStatus, FloatArray, IntArray, Link, ManyFits
from outcomes.model.grades import restored_thresholds
from outcomes.model.half_rows import (
    build_half_weights,
    build_scratch,
    gradient,
    half_terms,
    packed_information,
)
from outcomes.model.tiled import TILE_REPLICATES, Tiled, build_tiled, climb_tiled

# Pieces times replicates in one block. Measured on the benchmark's log: half of it costs a tenth
# more (NumPy's own overhead), twice as much saves 2 % and doubles the working memory.
_BLOCK_NUMBERS: Final = 2**16
_LARGEST_BLOCK: Final = 256
# From here on a block would hold so few replicates that its matrix products are as slow as the
# memory: see `tiled`.
_MANY_PIECES: Final = 4096


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Task:
    """One design, the weight of every firing in every replicate (B, G), and the full fit."""

    X: FloatArray
    y: IntArray
    n_grades: int
    firing: IntArray
    weights: FloatArray
    start: CumulativeFit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """Replicates in which the same grades occur.

    ``present`` (K,); ``half_firing`` (m,) firing of each half-row; ``start`` (q',) in the
    arrangement's columns; ``first`` per *firing* instead of per replicate, or None; ``tiled``
    where there are too many pieces for one matrix.
    """

    task: Task
    present: NDArray[np.bool_]
    arrangement: Arrangement
    half_firing: IntArray
    start: FloatArray
    first: Slope | None
    tiled: Tiled | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Some replicates of a group (None: fewer than two grades occur, nothing to arrange)."""

    task: Task
    group: Group | None
    replicates: IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Done:
    """A block's refits and their places among all replicates."""

    replicates: IntArray
    fits: ManyFits


def build_blocks(task: Task) -> Iterator[Block]:
    """Cut the replicates into blocks of one pattern of occurring grades each."""
    size = block_size(task)
    occurs = task.weights @ _grade_counts(task) > 0.0
    patterns, pattern_of = np.unique(occurs, axis=0, return_inverse=True)
    for number, present in enumerate(patterns):
        members = np.flatnonzero(pattern_of.ravel() == number)
        group = _group(task, present, n_members=len(members))
        for begin in range(0, len(members), size):
            yield Block(task=task, group=group, replicates=members[begin : begin + size])


def block_size(task: Task) -> int:
    """Return how many replicates go into one block."""
    if _is_tiled(task):
        return TILE_REPLICATES
    return int(np.clip(_BLOCK_NUMBERS // len(task.y), 1, _LARGEST_BLOCK))


def build_block_scratch(task: Task) -> FloatArray:
    """Return working memory that fits any block: a piece has at most two half-rows."""
    if _is_tiled(task):
        return np.empty(0)
    return build_scratch(2 * len(task.y), min(block_size(task), len(task.weights)))


def _group(task: Task, present: NDArray[np.bool_], *, n_members: int) -> Group | None:
    """Arrange the design of the pieces whose grade occurs."""
    if present.sum() < 2:
        return None
    kept = np.flatnonzero(present[task.y])
    renumbered = np.cumsum(present) - 1
    arrangement = build_arrangement(
        task.X[kept],
        renumbered[task.y[kept]],
        n_grades=int(present.sum()),
        with_pairs=not _is_tiled(task),
    )
    half_firing = task.firing[kept[arrangement.half_piece]]
    start = arrangement.inward(
        np.concatenate([_thresholds_between(task.start.thresholds, present), task.start.slopes])
    )
    group = Group(
        task=task,
        present=present,
        arrangement=arrangement,
        half_firing=half_firing,
        start=start,
        first=None,
    )
    n_firings = task.weights.shape[1]
    if _is_tiled(task):
        tiled = build_tiled(arrangement, half_firing, start, n_firings=n_firings)
        return replace(group, tiled=tiled)
    return replace(group, first=_first(group)) if n_members >= 2 * n_firings else group


def _is_tiled(task: Task) -> bool:
    return len(task.y) >= _MANY_PIECES and task.start.options.link is Link.LOGIT


def _first(group: Group) -> Slope:
    """Return each firing's score and information at the start, as if it were a replicate."""
    task, arrangement = group.task, group.arrangement
    n_firings, size = task.weights.shape[1], block_size(task)
    scratch = build_scratch(len(group.half_firing), min(size, n_firings))
    gradients, informations = [], []
    for begin in range(0, n_firings, size):
        numbers = np.arange(begin, min(begin + size, n_firings))
        alone = (np.arange(n_firings)[:, None] == numbers).astype(np.float64)
        psi = np.repeat(group.start[:, None], len(numbers), axis=1)
        weights = build_half_weights(alone, group.half_firing, arrangement, scratch=scratch)
        terms = half_terms(
            psi, arrangement, weights=weights, link=task.start.options.link, scratch=scratch
        )
        gradients.append(gradient(terms, arrangement))
        informations.append(packed_information(terms, arrangement, scratch=scratch))
    return Slope(
        gradient=np.concatenate(gradients, axis=1), information=np.concatenate(informations, axis=1)
    )


def fit_block(block: Block, scratch: FloatArray) -> Done:
    """Refit one block; replicates that do not arrive get the careful single fit."""
    if block.group is None:
        unfitted = _carefully(block.task, block.replicates)
        return Done(replicates=block.replicates, fits=unfitted)
    group, arrangement = block.group, block.group.arrangement
    by_firing = np.ascontiguousarray(block.task.weights[block.replicates].T)
    if group.tiled is not None:
        tiled_climb = climb_tiled(
            arrangement,
            group.half_firing,
            group.tiled,
            start=group.start,
            by_firing=by_firing,
            options=block.task.start.options,
        )
        return Done(replicates=block.replicates, fits=_finished(tiled_climb, block, group))
    first = group.first and Slope(
        gradient=group.first.gradient @ by_firing,
        information=group.first.information @ by_firing,
    )
    climbed = climb(
        arrangement,
        start=group.start,
        weights=build_half_weights(by_firing, group.half_firing, arrangement, scratch=scratch),
        first=first,
        options=block.task.start.options,
        scratch=scratch,
    )
    return Done(replicates=block.replicates, fits=_finished(climbed, block, group))


def _finished(climbed: Climbed, block: Block, group: Group) -> ManyFits:
    """Take a block back to the columns and grades as given, and help the late ones."""
    inside = group.arrangement.outward(climbed.values)
    last = group.arrangement.n_grades - 1
    thresholds = restored_thresholds(inside[:, :last], group.present, block.task.start.options.link)
    values = np.concatenate([thresholds, inside[:, last:]], axis=1)
    late = np.flatnonzero(~climbed.arrived)
    helped = _carefully(block.task, block.replicates[late])
    values[late] = helped.values
    largest, converged = climbed.largest_gradient.copy(), climbed.arrived.copy()
    iterations = climbed.iterations.copy()
    largest[late], converged[late] = helped.largest_gradient, helped.converged
    iterations[late] += helped.iterations
    return ManyFits(
        values=values,
        converged=converged,
        largest_gradient=largest,
        iterations=iterations,
        unusual=~climbed.arrived | (not group.present.all()),
    )


def _carefully(task: Task, replicates: IntArray) -> ManyFits:
    """Refit a few replicates one at a time from scratch."""
    fits = [
        fit_cumulative(
            task.X,
            task.y,
            task.n_grades,
            weights=task.weights[replicate][task.firing],
            options=task.start.options,
        )
        for replicate in replicates
    ]
    size = task.n_grades - 1 + task.X.shape[1]
    return ManyFits(
        values=np.array([fit.parameters() for fit in fits]).reshape(-1, size),
        converged=np.array([fit.status is not FitStatus.FAILED for fit in fits], dtype=bool),
        largest_gradient=np.array([fit.largest_gradient for fit in fits]),
        iterations=np.array([fit.iterations for fit in fits], dtype=np.int64),
        unusual=np.ones(len(fits), dtype=bool),
    )


def _grade_counts(task: Task) -> FloatArray:
    """Return how many pieces of each grade each firing holds, (G, K)."""
    shape = (task.weights.shape[1], task.n_grades)
    cells = np.bincount(task.firing * shape[1] + task.y, minlength=shape[0] * shape[1])
    return cells.reshape(shape).astype(np.float64)


def _thresholds_between(thresholds: FloatArray, present: NDArray[np.bool_]) -> FloatArray:
    """Return starting thresholds between the grades that occur: the mean of those merged."""
    occurring = np.flatnonzero(present)
    return np.array(
        [
            thresholds[below:above].mean()
            for below, above in zip(occurring[:-1], occurring[1:], strict=True)
        ]
    )
