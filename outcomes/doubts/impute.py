"""Fill blanks in likely ways, several times over: chained equations at the right level.

Factors with blanks are gone through in turn, several cycles. One that is constant within
firings is filled in the firing table, from the firing means of everything else; another piece
by piece, from the piece's other columns and the mean of the factor over the *other* pieces of
its firing. The grade is among the predictors both times: without it every effect would be
pulled toward nothing. Blank grades themselves are never filled.

Each fill is a value some other piece really has: a regression with a ridge (there may be more
columns than firings) foretells the factor for everyone, one of the five recorded values
foretold most alike is taken, and the regression's coefficients are drawn anew each time, so
that the fills differ by as much as they are uncertain (predictive mean matching). Levels are
matched on the foretold indicators of all their levels. Windows are filled as values and
squared afterwards.

References
----------
White, Royston & Wood (2011), doi:10.1002/sim.4067; Little (1988),
doi:10.1080/07350015.1988.10509663; Morris, White & Royston (2014), doi:10.1186/1471-2288-14-75.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import DesignSpec, FloatArray, IntArray, Term
from outcomes.design.matrix import build_columns
from outcomes.doubts.donors import average_firings, average_others, match_rows
from outcomes.log.codebook import Shape

BoolArray = NDArray[np.bool_]

CYCLES: Final = 4
_BLOCK_NUMBERS: Final = 2**17  # of all logs completed together: near a core's own cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Incomplete:
    """Graded pieces, some of whose factors are blank.

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        The factors of the recipe, blanks as NaN or None.
    grade : array, shape (n,)
        Grades 0..K-1.
    firing : array, shape (n,)
        Firing number 0..G-1.
    firing_names
        Length G.
    spec
        Recipe of the columns.
    """

    frame: pd.DataFrame
    grade: IntArray
    firing: IntArray
    firing_names: tuple[str, ...]
    spec: DesignSpec

    def blank(self, factor: str) -> BoolArray:
        """Return where a factor is blank, shape (n,)."""
        return self.frame[factor].isna().to_numpy(dtype=bool)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Completed:
    """One completed log: its columns, and whose value each piece was given.

    Parameters
    ----------
    X : array, shape (n, p)
        The columns of the recipe.
    donors
        ((factor, array (n,)), ...): the row each value was taken from, a recorded value's own.
    """

    X: FloatArray
    donors: tuple[tuple[str, IntArray], ...]

    def build_frame(self, pieces: Incomplete) -> pd.DataFrame:
        """Return the pieces' frame with the blanks filled; recorded values are unchanged."""
        filled = {name: pieces.frame[name].to_numpy()[rows] for name, rows in self.donors}
        return pieces.frame.assign(**filled)


def impute(
    pieces: Incomplete, *, m: int, rng: np.random.Generator, cycles: int = CYCLES
) -> Iterator[Completed]:
    """Yield m completed logs; recorded values are never changed.

    Parameters
    ----------
    pieces
        What is recorded and what is blank; every factor is recorded somewhere.
    m
        How many.
    rng
        The only source of chance; each completed log draws from a stream of its own.
    cycles
        Passes over the factors with blanks.

    Notes
    -----
    Logs are completed side by side, as many as `_BLOCK_NUMBERS` allow: on a table of 150
    pieces the same steps cost six times as much one log after another.
    """
    blanks = [t for t in pieces.spec.terms if pieces.blank(t.factor).any()]
    blanks.sort(key=lambda term: int(pieces.blank(term.factor).sum()))
    recorded = _recorded_columns(pieces, blanks)
    tasks = [_build_task(pieces, term, recorded) for term in blanks]
    streams, size = rng.spawn(m), max(1, _BLOCK_NUMBERS // max(1, recorded.size))
    for begin in range(0, m, size):
        some = streams[begin : begin + size]
        yield from _complete(pieces, tasks, recorded, streams=some, cycles=cycles)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Task:
    """One factor to fill: everything about it that no fill changes.

    Parameters
    ----------
    factor, slots, others
        Its name, its columns, and everybody else's.
    target : array, shape (n, c)
        Its values as numbers, right wherever they are recorded.
    known : array, shape (n,)
        Where they are.
    stand_in : array, shape (G,)
        The row that stands for each firing; None for a piece-level factor.
    recorded : array, shape (d,)
        Pieces with a value, or firings where a row stands for each.
    """

    factor: str
    slots: IntArray
    others: IntArray
    target: FloatArray
    known: BoolArray
    stand_in: IntArray | None
    recorded: IntArray


def _recorded_columns(pieces: Incomplete, blanks: Sequence[Term]) -> FloatArray:
    """Return the columns, right wherever the value is recorded (blanks hold some value)."""
    some = {t.factor: pieces.frame[t.factor].dropna().iloc[0] for t in blanks}
    return build_columns(pieces.frame.fillna(some), pieces.spec)


def _build_task(pieces: Incomplete, term: Term, recorded: FloatArray) -> _Task:
    blank, slots = pieces.blank(term.factor), np.array(term.slots)
    if term.shape is Shape.LEVELS:
        names = pieces.frame[term.factor].astype(str).to_numpy()
        target = np.column_stack([names == level for level in sorted(set(names[~blank]))])
    else:
        target = recorded[:, [term.slots[0]]]
    stand_in = _stand_ins(pieces, blank) if term.between else None
    at = blank if stand_in is None else blank[stand_in]
    return _Task(
        factor=term.factor,
        slots=slots,
        others=np.setdiff1d(np.arange(recorded.shape[1]), slots),
        target=target.astype(np.float64),
        known=~blank,
        stand_in=stand_in,
        recorded=np.flatnonzero(~at),
    )


def _complete(
    pieces: Incomplete,
    tasks: Sequence[_Task],
    recorded: FloatArray,
    *,
    streams: Sequence[np.random.Generator],
    cycles: int,
) -> Iterator[Completed]:
    """Yield one completed log a stream."""
    donors = {task.factor: _first_donors(pieces, task, streams) for task in tasks}
    X = np.tile(recorded, (len(streams), 1, 1))
    for task in tasks:
        X[:, :, task.slots] = recorded[:, task.slots][donors[task.factor]]
    for _ in range(cycles):
        for task in tasks:
            target = task.target[donors[task.factor]]
            donors[task.factor] = _find_donors(pieces, task, X=X, target=target, streams=streams)
            X[:, :, task.slots] = recorded[:, task.slots][donors[task.factor]]
    for at, columns in enumerate(X):
        yield Completed(X=columns, donors=tuple((name, of[at]) for name, of in donors.items()))


def _first_donors(
    pieces: Incomplete, task: _Task, streams: Sequence[np.random.Generator]
) -> IntArray:
    """Return recorded rows at random, one a firing, for the blanks, shape (b, n)."""
    rows, firings = np.flatnonzero(task.known), int(pieces.firing.max()) + 1
    drawn = np.stack([rng.choice(rows, size=firings) for rng in streams])
    return np.where(task.known, np.arange(len(task.known)), drawn[:, pieces.firing])


def _find_donors(
    pieces: Incomplete,
    task: _Task,
    *,
    X: FloatArray,
    target: FloatArray,
    streams: Sequence[np.random.Generator],
) -> IntArray:
    """Return the row each piece takes its value from, given the current rest, shape (b, n).

    ``X`` (b, n, p) and ``target`` (b, n, c) are those of the logs as they are filled now.
    """
    grade = np.broadcast_to(pieces.grade[:, None], (*X.shape[:2], 1))
    parts = [X[:, :, task.others], grade]
    if task.stand_in is None:
        parts.append(average_others(target, pieces.firing))
        table = np.concatenate(parts, axis=2)
        return match_rows(table, task.target, recorded=task.recorded, streams=streams)
    table = average_firings(np.concatenate(parts, axis=2), pieces.firing)
    rows = task.stand_in
    of_firing = match_rows(table, task.target[rows], recorded=task.recorded, streams=streams)
    donor = rows[of_firing][:, pieces.firing]
    return np.where(task.known, np.arange(len(task.known)), donor)


def _stand_ins(pieces: Incomplete, blank: BoolArray) -> IntArray:
    """Return the row that stands for each firing: a recorded one if there is any."""
    order = np.lexsort((np.arange(len(blank)), blank, pieces.firing))
    return np.asarray(order[np.unique(pieces.firing[order], return_index=True)[1]])
