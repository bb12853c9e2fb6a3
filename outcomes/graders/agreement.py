"""The whole comparison of gradings, outcome by outcome."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import pandas as pd

from outcomes.card import describe_line, render_card
from outcomes.errors import LogError
from outcomes.graders.alpha import count_coincidences
from outcomes.graders.changes import FEWEST_PIECES, Drift, Halo, measure_drifts, measure_halos
from outcomes.graders.gradings import Gradings
from outcomes.graders.icc import IntraclassCorrelations, intraclass_correlations
from outcomes.graders.measured import Measured
from outcomes.graders.pairs import (
    Boundary,
    Offset,
    PairAgreement,
    compare_pairs,
    measure_alpha,
    measure_boundaries,
    measure_offsets,
    measure_share,
)
from outcomes.graders.ratings import Ratings, build_ratings
from outcomes.graders.shifts import Shifts, fit_shifts

GOOD_FROM = 0.8
USABLE_FROM = 0.67


class Band(StrEnum):
    """Fixed words for alpha, by fixed rules (Krippendorff 2019, chapter 12)."""

    GOOD = "good"
    USABLE = "usable"
    FIX = "fix the scale first"
    UNKNOWN = "cannot be assessed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutcomeAgreement:
    """How one outcome's gradings agree.

    Parameters
    ----------
    ratings
        What was compared.
    pieces
        Pieces with at least two grades.
    one_grader
        True when one grader's own readings are compared.
    alpha, exact, near
        Over all graders.
    pairs, boundaries, offsets, drifts, halos, shifts, correlations
        See their records; ``correlations`` is None unless two pieces were graded by all.
    """

    ratings: Ratings
    pieces: int
    one_grader: bool
    alpha: Measured
    exact: Measured
    near: Measured
    pairs: tuple[PairAgreement, ...]
    boundaries: tuple[Boundary, ...]
    offsets: tuple[Offset, ...]
    drifts: tuple[Drift, ...]
    halos: tuple[Halo, ...]
    shifts: Shifts
    correlations: IntraclassCorrelations | None

    @property
    def band(self) -> Band:
        """Return the word for alpha; none under ten pieces."""
        return band_of(self.alpha.value) if self.pieces >= FEWEST_PIECES else Band.UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Agreement:
    """The comparison of several gradings.

    ``outcomes`` in the codebook's order, of those with two grades on any piece;
    ``not_compared`` are the names of outcomes graded once only; ``blind`` is "all", "some",
    "none" or "unknown".
    """

    gradings: Gradings
    outcomes: tuple[OutcomeAgreement, ...]
    not_compared: tuple[str, ...]
    blind: str
    confidence: float
    version: str

    def _facts(self) -> tuple[tuple[str, object], ...]:
        entries = self.gradings.entries
        return (
            ("gradings", len(entries)),
            (f"{self.gradings.codebook.piece_word}s", entries["piece"].nunique()),
            ("graders", entries["grader"].nunique()),
        )

    def __repr__(self) -> str:
        return describe_line("Agreement", self._facts())

    def _repr_html_(self) -> str:
        columns = ("outcome", "compared twice", "word", "alpha", "low", "high")
        rows = [
            (one.ratings.outcome.label, one.pieces, one.band, *_show_measured(one.alpha))
            for one in self.outcomes
        ]
        return render_card("Agreement", self._facts(), columns, rows)


def _show_measured(one: Measured) -> tuple[str | None, str | None, str | None]:
    """Return a number and its interval to two places, None where there is none."""
    value = None if np.isnan(one.value) else f"{one.value:.2f}"
    if one.interval is None:
        return (value, None, None)
    return (value, f"{one.interval.low:.2f}", f"{one.interval.high:.2f}")


def band_of(alpha: float) -> Band:
    """Return the word for an alpha.

    >>> band_of(0.8), band_of(0.67), band_of(0.66)
    (<Band.GOOD: 'good'>, <Band.USABLE: 'usable'>, <Band.FIX: 'fix the scale first'>)
    """
    if np.isnan(alpha):
        return Band.UNKNOWN
    if alpha >= GOOD_FROM:
        return Band.GOOD
    return Band.USABLE if alpha >= USABLE_FROM else Band.FIX


def compare_gradings(gradings: Gradings, *, confidence: float, version: str) -> Agreement:
    """Return how the gradings agree.

    Parameters
    ----------
    gradings
        From `read_gradings`.
    confidence
        Of every interval.
    version
        Of the package, for the record.

    Raises
    ------
    LogError
        When no piece has two grades of one outcome.
    """
    compared, alone = [], []
    for outcome in gradings.codebook.outcomes:
        if gradings.entries[outcome.name].notna().any():
            ratings = build_ratings(gradings.entries, outcome)
            if ratings is None:
                alone.append(outcome.name)
            else:
                compared.append(_compare(gradings.entries, ratings, confidence=confidence))
    if not compared:
        raise LogError(_nothing_shared(gradings))
    return Agreement(
        gradings=gradings,
        outcomes=tuple(compared),
        not_compared=tuple(alone),
        blind=_tell_blind(gradings.entries["blind"]),
        confidence=confidence,
        version=version,
    )


def _compare(entries: pd.DataFrame, ratings: Ratings, *, confidence: float) -> OutcomeAgreement:
    every = ratings.sum_clusters(ratings.count_all_pairs())
    own = entries.loc[entries[ratings.outcome.name].notna(), "grader"].nunique() == 1
    whole = ratings.grades[~np.isnan(ratings.grades).any(axis=1)]
    return OutcomeAgreement(
        ratings=ratings,
        pieces=int(ratings.shared().sum()),
        one_grader=own,
        alpha=measure_alpha(ratings, confidence=confidence),
        exact=measure_share(every, 0, confidence=confidence),
        near=measure_share(every, 1, confidence=confidence),
        pairs=compare_pairs(ratings, confidence=confidence),
        boundaries=measure_boundaries(ratings, confidence=confidence),
        offsets=measure_offsets(ratings, confidence=confidence),
        drifts=measure_drifts(entries, ratings, confidence=confidence),
        halos=measure_halos(entries, ratings.outcome, confidence=confidence),
        shifts=fit_shifts(ratings, confidence=confidence),
        correlations=intraclass_correlations(whole) if len(whole) else None,
    )


def grades_used(ratings: Ratings) -> tuple[int, ...]:
    """Return which grades occur among the pieces with two grades."""
    pairs = count_coincidences(ratings.grades, ratings.n_grades).sum(axis=(0, 1))
    return tuple(int(grade) for grade in np.flatnonzero(pairs))


def largest_share(ratings: Ratings) -> float:
    """Return the share of the commonest grade among the pieces with two grades."""
    given = count_coincidences(ratings.grades, ratings.n_grades).sum(axis=(0, 1))
    return float(given.max() / given.sum())


def _tell_blind(blind: "pd.Series[str]") -> str:
    told = set(blind.dropna())
    if not told:
        return "unknown"
    if told == {"yes"}:
        return "all" if blind.notna().all() else "some"
    return "some" if "yes" in told else "none"


def _nothing_shared(gradings: Gradings) -> str:
    graders = sorted(gradings.entries["grader"].unique())
    pieces = gradings.entries["piece"].nunique()
    names = ", ".join(graders[:6])
    return (
        f"No piece has two grades of one outcome: found {len(gradings.entries)} gradings of "
        f"{pieces} pieces by {names}. Expected the same piece ids in at least two of them. "
        "Look whether the gradings name the pieces alike, and the graders differently."
    )
