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
from outcomes.log.codebook import Shape

BoolArray = NDArray[np.bool_]

CYCLES: Final = 4
DONORS: Final = 5
_RIDGE: Final = 1.0  # pieces' worth of pull on each standardised predictor


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
        The only source of chance.
    cycles
        Passes over the factors with blanks.
    """
    blanks = [t for t in pieces.spec.terms if pieces.blank(t.factor).any()]
    blanks.sort(key=lambda term: int(pieces.blank(term.factor).sum()))
    recorded = _recorded_columns(pieces, blanks)
    tasks = [_build_task(pieces, term, recorded) for term in blanks]
    for _ in range(m):
        yield _complete(pieces, tasks, recorded, rng=rng, cycles=cycles)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Task:
    """One factor to fill: its columns, its values as numbers, where it is recorded.

    ``stand_in`` (G,) is the row that stands for each firing; None for a piece-level factor.
    """

    factor: str
    slots: IntArray
    target: FloatArray
    known: BoolArray
    stand_in: IntArray | None


def _recorded_columns(pieces: Incomplete, blanks: Sequence[Term]) -> FloatArray:
    """Return the columns, right wherever the value is recorded (blanks hold some value)."""
    some = {t.factor: pieces.frame[t.factor].dropna().iloc[0] for t in blanks}
    return build_columns(pieces.frame.fillna(some), pieces.spec)


def _build_task(pieces: Incomplete, term: Term, recorded: FloatArray) -> _Task:
    blank = pieces.blank(term.factor)
    if term.shape is Shape.LEVELS:
        names = pieces.frame[term.factor].astype(str).to_numpy()
        target = np.column_stack([names == level for level in sorted(set(names[~blank]))])
    else:
        target = recorded[:, [term.slots[0]]]
    return _Task(
        factor=term.factor,
        slots=np.array(term.slots),
        target=target.astype(np.float64),
        known=~blank,
        stand_in=_stand_ins(pieces, blank) if term.between else None,
    )


def _complete(
    pieces: Incomplete,
    tasks: Sequence[_Task],
    recorded: FloatArray,
    *,
    rng: np.random.Generator,
    cycles: int,
) -> Completed:
    """Return one completed log."""
    donors = {task.factor: _first_donors(pieces, task, rng) for task in tasks}
    X = recorded.copy()
    for task in tasks:
        X[:, task.slots] = recorded[donors[task.factor]][:, task.slots]
    for _ in range(cycles):
        for task in tasks:
            donors[task.factor] = _find_donors(
                pieces, task, X=X, target=task.target[donors[task.factor]], rng=rng
            )
            X[:, task.slots] = recorded[donors[task.factor]][:, task.slots]
    return Completed(X=X, donors=tuple(donors.items()))


def _first_donors(pieces: Incomplete, task: _Task, rng: np.random.Generator) -> IntArray:
    """Return recorded rows at random, one a firing, for the blanks."""
    drawn = rng.choice(np.flatnonzero(task.known), size=int(pieces.firing.max()) + 1)
    return np.where(task.known, np.arange(len(task.known)), drawn[pieces.firing])


def _find_donors(
    pieces: Incomplete, task: _Task, *, X: FloatArray, target: FloatArray, rng: np.random.Generator
) -> IntArray:
    """Return the row each piece takes its value from, given the current rest."""
    others = np.delete(X, task.slots, axis=1)
    predictors = np.column_stack([others, pieces.grade.astype(np.float64)])
    if task.stand_in is None:
        neighbours = _mean_of_others(target, pieces.firing)
        return _match(np.column_stack([predictors, neighbours]), target, task.known, rng=rng)
    rows = task.stand_in
    table = _means(predictors, pieces.firing)
    of_firing = _match(table, target[rows], task.known[rows], rng=rng)
    donor = rows[of_firing][pieces.firing]
    return np.where(task.known, np.arange(len(donor)), donor)


def _stand_ins(pieces: Incomplete, blank: BoolArray) -> IntArray:
    """Return the row that stands for each firing: a recorded one if there is any."""
    order = np.lexsort((np.arange(len(blank)), blank, pieces.firing))
    return np.asarray(order[np.unique(pieces.firing[order], return_index=True)[1]])


def _means(values: FloatArray, firing: IntArray) -> FloatArray:
    sums = np.zeros((int(firing.max()) + 1, values.shape[1]))
    np.add.at(sums, firing, values)
    return np.asarray(sums / np.bincount(firing)[:, None])


def _mean_of_others(target: FloatArray, firing: IntArray) -> FloatArray:
    """Return the mean over the other pieces of the firing; over all where there is none."""
    size = np.bincount(firing)[firing][:, None]
    sums = _means(target, firing)[firing] * size
    alone = size <= 1
    mean = (sums - target) / np.where(alone, 1, size - 1)
    return np.where(alone, target.mean(axis=0), mean)


def _match(
    predictors: FloatArray, target: FloatArray, known: BoolArray, *, rng: np.random.Generator
) -> IntArray:
    """Return for every row the row whose value it takes; a recorded row takes its own.

    Notes
    -----
    Coefficients for the recorded rows are the estimates, those for the blank ones a draw from
    their posterior ("type 1" matching).
    """
    centred = predictors - predictors.mean(axis=0)
    spread = np.sqrt((centred**2).mean(axis=0))
    X = np.column_stack([np.ones(len(centred)), centred / np.where(spread > 1e-12, spread, 1.0)])
    ridge = np.full(X.shape[1], _RIDGE)
    ridge[0] = 1e-9
    Z, z = X[known], target[known]
    covariance = np.linalg.inv(Z.T @ Z + np.diag(ridge))
    estimate = covariance @ (Z.T @ z)
    # With a ridge the columns cost fewer degrees of freedom than there are of them.
    used = len(ridge) - float(ridge @ np.diagonal(covariance))
    rest = ((z - Z @ estimate) ** 2).sum(axis=0)
    sigma = np.sqrt(rest / rng.chisquare(max(1.0, float(known.sum()) - used)))
    noise = np.linalg.cholesky(covariance) @ rng.standard_normal(estimate.shape)
    size = z.std(axis=0)
    scale = np.where(size > 0.0, size, 1.0)
    donors, rows, blank = np.flatnonzero(known), np.arange(len(X)), np.flatnonzero(~known)
    theirs = Z @ estimate / scale
    mine = X[blank] @ (estimate + sigma * noise) / scale
    far = ((mine[:, None, :] - theirs[None]) ** 2).sum(axis=2)
    near = np.argsort(far, axis=1, kind="stable")[:, : min(DONORS, len(donors))]
    rows[blank] = donors[near[np.arange(len(blank)), rng.integers(near.shape[1], size=len(blank))]]
    return rows
