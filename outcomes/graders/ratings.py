"""One outcome's grades, pieces down and graders across, and what is left out in turn."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.codebook import Outcome
from outcomes.model.fit import FloatArray, IntArray
from outcomes.resampling.intervals import FEWEST_FIRINGS

BLIND, KNOWN = "yes", "no"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ratings:
    """The grades that are compared, one a piece and grader.

    Parameters
    ----------
    outcome
        Its levels are the grades 0..K-1.
    graders
        R names.
    grades : array, shape (n, R)
        NaN for a gap.
    pieces
        n names.
    cluster : int array, shape (n,)
        What is left out with each piece: its firing's number, or its own.
    by_firing
        True when ``cluster`` numbers firings.
    """

    outcome: Outcome
    graders: tuple[str, ...]
    grades: FloatArray
    pieces: tuple[str, ...]
    cluster: IntArray
    by_firing: bool

    @property
    def n_grades(self) -> int:
        """Return K."""
        return len(self.outcome.levels)

    def shared(self) -> NDArray[np.bool_]:
        """Return which pieces have at least two grades, shape (n,)."""
        return np.asarray((~np.isnan(self.grades)).sum(axis=1) >= 2)

    def sum_clusters(self, parts: FloatArray) -> FloatArray:
        """Return parts of pieces (n, ...) summed by what is left out, (G, ...)."""
        sums = np.zeros((int(self.cluster.max(initial=-1)) + 1, *parts.shape[1:]))
        np.add.at(sums, self.cluster, parts)
        return sums

    def count_pairs(self, one: int, other: int) -> FloatArray:
        """Return what two graders gave each piece, shape (n, K, K), zeros at a gap."""
        pairs = np.zeros((len(self.grades), self.n_grades, self.n_grades))
        both = ~np.isnan(self.grades[:, [one, other]]).any(axis=1)
        first, second = self.grades[both][:, [one, other]].astype(np.int64).T
        pairs[np.flatnonzero(both), first, second] = 1.0
        return pairs

    def count_all_pairs(self) -> FloatArray:
        """Return every pair of grades of each piece, each pair once, shape (n, K, K)."""
        every = range(len(self.graders))
        return np.asarray(
            sum(
                (self.count_pairs(i, j) for i in every for j in every if i < j),
                np.zeros((len(self.grades), self.n_grades, self.n_grades)),
            )
        )


def build_ratings(entries: pd.DataFrame, outcome: Outcome) -> Ratings | None:
    """Return the grades of one outcome that are compared, or None when nobody gave two.

    Parameters
    ----------
    entries
        Of `Gradings`.
    outcome
        One of the codebook's.

    Notes
    -----
    Where a grader graded a piece more than once, the grade given blind counts, and of equal
    ones the first. With one grader only, the reading with and the one without knowing the piece
    are compared, or the first and the second.
    """
    graded = entries.dropna(subset=[outcome.name])
    if graded["grader"].nunique() == 1:
        graded = graded.assign(grader=_name_readings(graded))
    graded = graded.sort_values("blind", key=lambda told: told != BLIND, kind="stable")
    graded = graded.drop_duplicates(["piece", "grader"])
    names = sorted(graded["grader"].unique())
    wide = graded.pivot(index="piece", columns="grader", values=outcome.name).reindex(columns=names)
    wide = wide[wide.notna().any(axis=1)].sort_index()
    grades = wide.to_numpy(dtype=np.float64)
    if not len(grades) or ((~np.isnan(grades)).sum(axis=1) >= 2).sum() == 0:
        return None
    firings = graded.groupby("piece")["firing"].first().reindex(wide.index)
    cluster, by_firing = number_clusters(firings.tolist())
    return Ratings(
        outcome=outcome,
        graders=tuple(names),
        grades=grades,
        pieces=tuple(wide.index),
        cluster=cluster,
        by_firing=by_firing,
    )


def number_clusters(firings: Sequence[str | None]) -> tuple[IntArray, bool]:
    """Return what is left out with each piece, and whether that is its firing.

    Notes
    -----
    Firings are left out when at least six are named, and a piece without one then stands for
    itself; otherwise each piece does.

    Examples
    --------
    >>> number_clusters(["a", "a", None])[0].tolist()
    [0, 1, 2]
    """
    named = pd.Series(list(firings), dtype=object)
    if named.nunique() < FEWEST_FIRINGS:
        return np.arange(len(named), dtype=np.int64), False
    alone = pd.Series([f"\0{place}" for place in range(len(named))], dtype=object)
    codes, _ = pd.factorize(named.where(named.notna(), alone), sort=True)
    return codes.astype(np.int64), True


def _name_readings(graded: pd.DataFrame) -> "pd.Series[str]":
    """Return whose reading each grade of a single grader is: blind or not, else first, second."""
    told = graded["blind"].fillna("")
    if {BLIND, KNOWN} <= set(told):
        words = {BLIND: ", blind", KNOWN: ", knowing"}
        return graded["grader"] + told.map(lambda word: words.get(word, ""))
    order = graded.groupby("piece").cumcount()
    return graded["grader"] + order.map(lambda n: f", reading {n + 1}")
