"""Which cells are blank, and whether being blank goes with anything that was written.

Each question is one yes/no mark a piece ("grade blank", "a setting blank") against many
columns. Two statistics a column, made for one level each: the correlation of firing means,
against shuffles of whole firings; and the covariance within firings, against shuffles of the
marks within each firing. The largest standardised statistic over all columns is compared with
the largest in each shuffle (Westfall & Young 1993), so the chance of any false alarm is held
however many columns there are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import FloatArray, IntArray
from outcomes.log.codebook import Kind
from outcomes.log.firing_log import FiringLog

BoolArray = NDArray[np.bool_]

SHUFFLES: Final = 999
LEAST_MARKED, LEAST_FIRINGS = 5, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnBlanks:
    """How often one column is blank among some pieces, and in how many firings."""

    column: str
    blank: int
    pieces: int
    firings: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """One column, as a number a piece (NaN where blank), and how to name it.

    ``level`` is the level the number marks, "" for a number or grade.
    """

    column: str
    level: str
    values: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """The candidate that goes with a mark most closely.

    ``marked`` and ``others`` are its average over the marked and the other pieces; ``p_value``
    allows for all candidates and both statistics.
    """

    column: str
    level: str
    marked: float
    others: float
    p_value: float


def count_blanks(
    values: pd.DataFrame, columns: Sequence[str], firing: IntArray
) -> tuple[ColumnBlanks, ...]:
    """Return the blanks of some columns, columns without any left out."""
    counts = []
    for column in columns:
        blank = values[column].isna().to_numpy()
        if blank.any():
            counts.append(
                ColumnBlanks(
                    column=column,
                    blank=int(blank.sum()),
                    pieces=len(values),
                    firings=len(set(firing[blank].tolist())),
                )
            )
    return tuple(counts)


def build_candidates(
    log: FiringLog, columns: Sequence[str], rows: IntArray
) -> tuple[Candidate, ...]:
    """Return columns as numbers: a number or grade as it is, a level as 0/1 (rare ones not)."""
    kinds = {factor.name: factor.kind for factor in log.codebook.factors}
    made: list[Candidate] = []
    for column in columns:
        values = log.values[column].iloc[rows]
        if kinds.get(column, Kind.NUMBER) is Kind.NUMBER:
            made.append(Candidate(column=column, level="", values=values.to_numpy(float)))
            continue
        counts = values.value_counts()
        named = sorted(str(level) for level in counts.index[counts >= LEAST_MARKED])
        for level in named[1:] if len(named) == 2 else named:
            here = (values == level).astype(np.float64).where(values.notna(), np.nan)
            made.append(Candidate(column=column, level=level, values=np.asarray(here, dtype=float)))
    return tuple(one for one in made if _varies(one.values))


def _varies(values: FloatArray) -> bool:
    """Whether there are two different numbers among the values that are there."""
    there = values[~np.isnan(values)]
    return bool(there.size and there.min() < there.max())


def find_relation(
    marked: BoolArray,
    candidates: Sequence[Candidate],
    firing: IntArray,
    *,
    rng: np.random.Generator,
) -> Relation | None:
    """Return the column that goes with a mark most closely, or None if there is too little.

    Parameters
    ----------
    marked : bool array, shape (n,)
        The pieces in question.
    candidates
        What they may go with.
    firing : array, shape (n,)
        Firing numbers 0..G-1.
    rng
        Shuffles.

    Notes
    -----
    A blank candidate counts as its average: it says nothing. At least 5 marked pieces in at
    least 3 firings, and as many others.
    """
    enough = min(marked.sum(), (~marked).sum()) >= LEAST_MARKED
    if not candidates or not enough or len(set(firing[marked].tolist())) < LEAST_FIRINGS:
        return None
    columns = np.column_stack([_filled(one.values) for one in candidates])
    between = _between_statistics(marked, columns, firing, rng)
    within = _within_statistics(marked, columns, firing, rng)
    sizes = np.maximum(between, within)  # (1 + shuffles, candidates), both standardised
    best = int(np.argmax(sizes[0]))
    largest = sizes.max(axis=1)
    p = (1.0 + float((largest[1:] >= largest[0] - 1e-12).sum())) / len(largest)
    chosen = candidates[best]
    return Relation(
        column=chosen.column,
        level=chosen.level,
        marked=_mean(chosen.values[marked]),
        others=_mean(chosen.values[~marked]),
        p_value=p,
    )


def _mean(values: FloatArray) -> float:
    known = values[~np.isnan(values)]
    return float(known.mean()) if len(known) else float("nan")


def _filled(values: FloatArray) -> FloatArray:
    return np.where(np.isnan(values), np.nanmean(values), values)


def _firing_means(values: FloatArray, firing: IntArray) -> FloatArray:
    sums = np.zeros((int(firing.max()) + 1, values.shape[1]))
    np.add.at(sums, firing, values)
    return np.asarray(sums / np.bincount(firing)[:, None])


def _between_statistics(
    marked: BoolArray, columns: FloatArray, firing: IntArray, rng: np.random.Generator
) -> FloatArray:
    """Return |r| sqrt(G-1) of firing means, observed first, then with firings shuffled."""
    share = _firing_means(marked[:, None].astype(np.float64), firing)[:, 0]
    means = _unit(_firing_means(columns, firing))
    order = np.tile(np.arange(len(share)), (SHUFFLES + 1, 1))
    order[1:] = rng.permuted(order[1:], axis=1)
    shuffled = _unit(share[:, None])[:, 0][order]
    return np.asarray(np.abs(shuffled @ means) * np.sqrt(len(share) - 1.0))


def _within_statistics(
    marked: BoolArray, columns: FloatArray, firing: IntArray, rng: np.random.Generator
) -> FloatArray:
    """Return the covariance within firings over its spread, marks shuffled within firings."""
    inside = columns - _firing_means(columns, firing)[firing]
    order = np.argsort(firing, kind="stable")
    marks = np.tile(marked[order].astype(np.float64), (SHUFFLES + 1, 1))
    start = 0
    for size in np.bincount(firing):
        part = marks[1:, start : start + size]
        marks[1:, start : start + size] = rng.permuted(part, axis=1)
        start += int(size)
    sums = marks @ inside[order]
    spread = sums.std(axis=0)
    return np.asarray(np.abs(sums) / np.where(spread > 1e-12, spread, np.inf))


def _unit(values: FloatArray) -> FloatArray:
    """Return columns centred and of length one; a constant column becomes zeros."""
    centred = values - values.mean(axis=0)
    length = np.sqrt((centred**2).sum(axis=0))
    return np.asarray(centred / np.where(length > 1e-12, length, np.inf))
