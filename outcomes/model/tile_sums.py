"""Sums over the pieces of a very large design, a tile at a time: see `tiled`.

Notation as in `arrangement`; G firings, A replicates.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.model.arrangement import Arrangement
from outcomes.model.fit import FloatArray, IntArray

TILE_PIECES: Final = 256


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tiled:
    """What is known of a group's firings once, for all its replicates.

    Parameters
    ----------
    lower : array, shape (q, G)
        Sum of D over each firing's lower half-rows.
    grades : array, shape (K, G)
        Pieces of each grade in each firing.
    pull : array, shape (q, G)
        Sum of (1 - F(cut)) D over each firing's half-rows at the start.
    information : array, shape (G, q (q+1) / 2)
        Each firing's information at the start, its upper triangle.
    """

    lower: FloatArray
    grades: FloatArray
    pull: FloatArray
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Work:
    """Some replicates: weights by firing (G, A), totals (A,), grades (K, A), lower (q, A)."""

    by_firing: FloatArray
    total: FloatArray
    grades: FloatArray
    lower: FloatArray


def take_replicates(work: Work, which: IntArray) -> Work:
    """Return the work of some replicates."""
    return Work(
        by_firing=take_columns(work.by_firing, which),
        total=work.total[which],
        grades=take_columns(work.grades, which),
        lower=take_columns(work.lower, which),
    )


def take_columns(values: FloatArray, which: IntArray) -> FloatArray:
    """Return some columns, rows still together in memory (an index would turn that round)."""
    return np.take(values, which, axis=1)


def build_tiled(
    arrangement: Arrangement, half_firing: IntArray, start: FloatArray, *, n_firings: int
) -> Tiled:
    """Sum over each firing what does not depend on the replicate.

    Parameters
    ----------
    arrangement
        The design.
    half_firing : array, shape (m,)
        Firing of each half-row.
    start : array, shape (q,)
        Where all replicates begin.
    n_firings
        G.
    """
    design = arrangement.half_design
    is_lower = np.zeros(len(design), dtype=bool)
    grades = np.zeros((arrangement.n_grades, n_firings))
    for k in range(arrangement.n_grades):
        is_lower[arrangement.lower[k]] = True
        once = arrangement.lower[k] if k else arrangement.upper[k]
        grades[k] = np.bincount(half_firing[once], minlength=n_firings)
    lower = np.zeros((design.shape[1], n_firings))
    for row, column in enumerate(design[is_lower].T):
        lower[row] = np.bincount(half_firing[is_lower], column, n_firings)
    survival = _survival(design @ start)
    first, second = np.triu_indices(design.shape[1])
    pull = np.zeros_like(lower)
    information = np.zeros((n_firings, len(first)))
    order = np.argsort(half_firing, kind="stable")
    ends = np.cumsum(np.bincount(half_firing, minlength=n_firings))
    for firing, at in enumerate(np.split(order, ends[:-1])):
        rows, chance = design[at], survival[at]
        pull[:, firing] = chance @ rows
        curve = chance * (1.0 - chance)
        information[firing] = (rows.T @ (curve[:, None] * rows))[first, second]
    gaps = sum_gaps(start[:, None], grades)[:, first, second]
    return Tiled(lower=lower, grades=grades, pull=pull, information=information + gaps)


def sum_pull(
    psi: FloatArray, arrangement: Arrangement, half_firing: IntArray, *, work: Work
) -> FloatArray:
    """Return the sum of w (1 - F(cut)) D over all half-rows, (q, A)."""
    last, pull = arrangement.n_grades - 1, np.zeros_like(psi)
    slopes = -psi[last:]
    # Whole tiles of the same row: NumPy is three times as fast as with a row for all.
    limits = np.repeat(np.exp(psi[:last])[:, None, :], TILE_PIECES, axis=1)
    odds, weight, chance, both = np.empty((4, TILE_PIECES, psi.shape[1]))
    ones = np.ones(TILE_PIECES)
    with np.errstate(over="ignore", invalid="ignore"):
        for rows, cuts, firing in _tiles(arrangement, half_firing):
            n = len(rows)
            np.matmul(rows, slopes, out=odds[:n])
            np.exp(odds[:n], out=odds[:n])
            np.take(work.by_firing, firing, axis=0, out=weight[:n], mode="clip")
            weight[:n] *= odds[:n]
            for place, cut in enumerate(cuts):
                out = chance[:n] if place else both[:n]
                np.add(odds[:n], limits[cut, :n], out=out)
                np.divide(weight[:n], out, out=out)
                pull[cut] += ones[:n] @ out
            if len(cuts) > 1:
                both[:n] += chance[:n]
            pull[last:] += rows.T @ both[:n]
    return pull


def _tiles(
    arrangement: Arrangement, half_firing: IntArray
) -> Iterator[tuple[FloatArray, range, IntArray]]:
    """Yield -x of some pieces of one grade, their finite cut points and their firings."""
    last = arrangement.n_grades - 1
    for k in range(arrangement.n_grades):
        once = arrangement.upper[k] if k < last else arrangement.lower[k]
        for begin in range(once.start, once.stop, TILE_PIECES):
            at = slice(begin, min(begin + TILE_PIECES, once.stop))
            yield (
                arrangement.half_design[at, last:],
                range(max(0, k - 1), min(k + 1, last)),
                half_firing[at],
            )


def sum_information(
    psi: FloatArray, arrangement: Arrangement, half_firing: IntArray, *, work: Work
) -> FloatArray:
    """Return the information without the penalty at the replicates' own places, (A, q, q)."""
    design, (q, n_replicates) = arrangement.half_design, psi.shape
    first, second = np.triu_indices(q)
    packed = np.zeros((n_replicates, len(first)))
    for begin in range(0, len(design), TILE_PIECES):
        rows = design[begin : begin + TILE_PIECES]
        survival = _survival(rows @ psi)
        curve = survival * (1.0 - survival)
        curve *= work.by_firing[half_firing[begin : begin + TILE_PIECES]]
        packed += curve.T @ (rows[:, first] * rows[:, second])
    return unpack(packed, q=q) + sum_gaps(psi, work.grades)


def unpack(packed: FloatArray, *, q: int) -> FloatArray:
    """Return symmetric matrices (A, q, q) from their upper triangles."""
    first, second = np.triu_indices(q)
    whole = np.empty((len(packed), q, q))
    whole[:, first, second] = packed
    whole[:, second, first] = packed
    return whole


def sum_gaps(psi: FloatArray, grades: FloatArray) -> FloatArray:
    """Return the gaps' part of the information, (A, q, q), from each grade's weight (K, A)."""
    inner, q = len(grades) - 2, len(psi)
    gaps = np.diff(psi[: inner + 1], axis=0)
    coupling = grades[1:-1] * np.exp(-gaps) / np.expm1(-gaps) ** 2
    part = np.zeros((grades.shape[1], q, q))
    for k in range(inner):
        for row, column, sign in ((k, k, 1.0), (k + 1, k + 1, 1.0), (k, k + 1, -1.0)):
            part[:, row, column] += sign * coupling[k]
        part[:, k + 1, k] -= coupling[k]
    return part


def _survival(cut: FloatArray) -> FloatArray:
    """Return 1 - F(cut) of the logistic distribution, in place."""
    with np.errstate(over="ignore"):
        np.exp(cut, out=cut)
    cut += 1.0
    return np.reciprocal(cut, out=cut)
