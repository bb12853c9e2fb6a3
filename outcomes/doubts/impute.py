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
    spec
        Recipe of the columns.
    """

    frame: pd.DataFrame
    grade: IntArray
    firing: IntArray
    spec: DesignSpec

    def blank(self, factor: str) -> BoolArray:
        """Return where a factor is blank, shape (n,)."""
        return self.frame[factor].isna().to_numpy(dtype=bool)


def impute(
    pieces: Incomplete, *, m: int, rng: np.random.Generator, cycles: int = CYCLES
) -> Iterator[pd.DataFrame]:
    """Yield m completed frames; recorded values are never changed.

    Parameters
    ----------
    pieces
        What is recorded and what is blank.
    m
        How many.
    rng
        The only source of chance.
    cycles
        Passes over the factors with blanks.
    """
    blanks = [t for t in pieces.spec.terms if pieces.blank(t.factor).any()]
    blanks.sort(key=lambda term: int(pieces.blank(term.factor).sum()))
    for _ in range(m):
        yield _complete(pieces, blanks, rng=rng, cycles=cycles)


def _complete(
    pieces: Incomplete, blanks: Sequence[Term], *, rng: np.random.Generator, cycles: int
) -> pd.DataFrame:
    """Return one completed frame."""
    frame = pieces.frame
    for term in blanks:
        frame = frame.assign(**{term.factor: _first_fill(pieces, term, rng)})
    X = build_columns(frame, pieces.spec)
    for _ in range(cycles):
        for term in blanks:
            filled = _fill(pieces, term, X=X, values=frame[term.factor], rng=rng)
            frame = frame.assign(**{term.factor: filled})
            own = build_columns(frame, pieces.spec)[:, list(term.slots)]
            X[:, list(term.slots)] = own
    return frame


def _first_fill(pieces: Incomplete, term: Term, rng: np.random.Generator) -> pd.Series:
    """Return a factor with blanks filled from recorded values at random, one a firing."""
    values, blank = pieces.frame[term.factor], pieces.blank(term.factor)
    recorded = values[~blank].to_numpy()
    drawn = recorded[rng.integers(len(recorded), size=int(pieces.firing.max()) + 1)]
    return values.where(~blank, pd.Series(drawn[pieces.firing], index=values.index))


def _fill(
    pieces: Incomplete,
    term: Term,
    *,
    X: FloatArray,
    values: pd.Series,
    rng: np.random.Generator,
) -> pd.Series:
    """Return a factor with its blanks drawn anew, given the current rest."""
    blank = pieces.blank(term.factor)
    others = np.delete(X, list(term.slots), axis=1)
    predictors = np.column_stack([others, pieces.grade.astype(np.float64)])
    target, lookup = _as_numbers(values, term)
    if term.between:
        first, known = _firing_rows(pieces, blank)
        table = _means(predictors, pieces.firing)
        of_firing = _match(table, target[first], known, rng=rng)
        donor = first[of_firing][pieces.firing]
    else:
        neighbours = _mean_of_others(target, pieces.firing)
        donor = _match(np.column_stack([predictors, neighbours]), target, ~blank, rng=rng)
    drawn = lookup.to_numpy()[donor]
    return values.where(~blank, pd.Series(drawn, index=values.index))


def _as_numbers(values: pd.Series, term: Term) -> tuple[FloatArray, pd.Series]:
    """Return a factor as numbers to regress on, (n, L), and the values to draw from."""
    if term.shape is not Shape.LEVELS:
        return values.to_numpy(float)[:, None], values
    levels = sorted({str(value) for value in values})
    names = values.astype(str).to_numpy()
    return np.column_stack([(names == level).astype(np.float64) for level in levels]), values


def _firing_rows(pieces: Incomplete, blank: BoolArray) -> tuple[IntArray, BoolArray]:
    """Return the row that stands for each firing, a recorded one if any, and which have one."""
    order = np.lexsort((np.arange(len(blank)), blank, pieces.firing))
    first = order[np.unique(pieces.firing[order], return_index=True)[1]]
    return first, ~blank[first]


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
    spread = predictors.std(axis=0)
    X = (predictors - predictors.mean(axis=0)) / np.where(spread > 1e-12, spread, 1.0)
    X = np.column_stack([np.ones(len(X)), X])
    inner = X[known].T @ X[known] + _RIDGE * np.diag([1e-9] + [1.0] * (X.shape[1] - 1))
    root = np.linalg.cholesky(inner)
    estimate = np.linalg.solve(inner, X[known].T @ target[known])
    rest = ((target[known] - X[known] @ estimate) ** 2).sum(axis=0)
    # With a ridge the columns cost fewer degrees of freedom than there are of them.
    used = float(np.trace(np.linalg.solve(inner, X[known].T @ X[known])))
    df = max(1.0, float(known.sum()) - used)
    sigma = np.sqrt(rest / rng.chisquare(df))
    noise = np.linalg.solve(root.T, rng.standard_normal(estimate.shape))
    donors, rows = np.flatnonzero(known), np.arange(len(X))
    blank = np.flatnonzero(~known)
    scale = np.where(target[known].std(axis=0) > 0.0, target[known].std(axis=0), 1.0)
    theirs = X[donors] @ estimate / scale
    mine = X[blank] @ (estimate + sigma * noise) / scale
    far = ((mine[:, None, :] - theirs[None]) ** 2).sum(axis=2)
    near = np.argsort(far, axis=1, kind="stable")[:, : min(DONORS, len(donors))]
    pick = rng.integers(near.shape[1], size=len(blank))
    rows[blank] = donors[near[np.arange(len(blank)), pick]]
    return rows
