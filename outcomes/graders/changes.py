"""What moved between gradings: a grader over time, and eyes that know the piece."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.graders.measured import Measured, measure
from outcomes.graders.pairs import differences_from_others
from outcomes.graders.ratings import BLIND, KNOWN, Ratings, number_clusters
from outcomes.log.codebook import Outcome
from outcomes.model.fit import FloatArray

SHORTEST_SPAN_DAYS = 14.0
FEWEST_DATES = 3
FEWEST_PIECES = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How a grader moved against the others, from the first to the last day of grading.

    ``change`` in grades over ``days``, positive for ever higher grades.
    """

    grader: str
    pieces: int
    days: float
    change: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Halo:
    """How much higher a grader grades a piece that is known than the same piece blind.

    ``difference`` in grades, known less blind; ``days`` is the median number of days from the
    known to the blind grading, None where dates are missing.
    """

    grader: str
    pieces: int
    difference: Measured
    days: float | None


def measure_drifts(
    entries: pd.DataFrame, ratings: Ratings, *, confidence: float
) -> tuple[Drift, ...]:
    """Return the drift of each grader with dates enough to tell.

    Parameters
    ----------
    entries
        Of `Gradings`.
    ratings
        The grades that are compared.
    confidence
        Of the intervals.

    Notes
    -----
    Least-squares slope of (own grade - mean of the others' on the piece) over the day of
    grading, times the span: free of how the pieces themselves changed over the year. It takes
    two weeks, three days of grading and ten shared pieces.
    """
    apart = differences_from_others(ratings.grades)
    days = _days_of(entries, ratings)
    told = []
    for place, grader in enumerate(ratings.graders):
        usable = ~np.isnan(apart[:, place]) & ~np.isnan(days[:, place])
        when = days[usable, place]
        if usable.sum() < FEWEST_PIECES or len(np.unique(when)) < FEWEST_DATES:
            continue
        span = float(np.ptp(when))
        if span >= SHORTEST_SPAN_DAYS:
            change = _slope(ratings, apart[:, place], days[:, place], span=span,
                            confidence=confidence)  # fmt: skip
            told.append(Drift(grader=grader, pieces=int(usable.sum()), days=span, change=change))
    return tuple(told)


def _slope(
    ratings: Ratings, apart: FloatArray, days: FloatArray, *, span: float, confidence: float
) -> Measured:
    """Return the slope times the span, as a function of sums of (1, t, d, tt, td)."""
    usable = ~np.isnan(apart) & ~np.isnan(days)
    t = np.where(usable, (days - days[usable].mean()) / span, 0.0)
    d = np.where(usable, apart, 0.0)
    parts = np.stack([usable.astype(np.float64), t, d, t * t, t * d], axis=1)
    return measure(ratings.sum_clusters(parts), slope_of_sums, confidence=confidence)


def slope_of_sums(sums: FloatArray) -> FloatArray:
    """Return the least-squares slope from sums (..., 5) of 1, t, d, tt and td.

    >>> t, d = np.array([0.0, 1.0, 2.0]), np.array([1.0, 3.0, 5.0])
    >>> float(slope_of_sums(np.array([3.0, t.sum(), d.sum(), (t * t).sum(), (t * d).sum()])))
    2.0
    """
    n, t, d, tt, td = np.moveaxis(sums, -1, 0)
    spread = n * tt - t * t
    return np.asarray(np.divide(n * td - t * d, spread, out=np.full(n.shape, np.nan),
                                where=spread > 1e-12))  # fmt: skip


def _days_of(entries: pd.DataFrame, ratings: Ratings) -> FloatArray:
    """Return the day of the grade that counts, (n, R), NaN where it is not written."""
    kept = entries.dropna(subset=[ratings.outcome.name])
    kept = kept.sort_values("blind", key=lambda told: told != BLIND, kind="stable")
    kept = kept.drop_duplicates(["piece", "grader"])
    first = entries["graded_on"].min()
    days = (kept["graded_on"] - first).dt.total_seconds() / 86400.0
    wide = kept.assign(days=days).pivot(index="piece", columns="grader", values="days")
    return wide.reindex(index=list(ratings.pieces), columns=list(ratings.graders)).to_numpy(
        dtype=np.float64
    )


def measure_halos(
    entries: pd.DataFrame, outcome: Outcome, *, confidence: float
) -> tuple[Halo, ...]:
    """Return known less blind for each grader who graded the same pieces both ways.

    Notes
    -----
    Only a grader's own two grades of one piece are compared: between two graders a halo cannot
    be told from their difference.
    """
    graded = entries.dropna(subset=[outcome.name])
    told = []
    for grader, own in graded.groupby("grader", sort=True):
        both = _known_and_blind(own, outcome.name)
        if len(both) < FEWEST_PIECES:
            continue
        cluster, _ = number_clusters(both["firing"].tolist())
        apart = (both["known"] - both["blind"]).to_numpy(dtype=np.float64)
        sums = np.zeros((int(cluster.max()) + 1, 2))
        np.add.at(sums, cluster, np.stack([apart, np.ones(len(apart))], axis=1))
        told.append(
            Halo(
                grader=str(grader),
                pieces=len(both),
                difference=measure(sums, lambda s: s[..., 0] / s[..., 1], confidence=confidence),
                days=None if both["days"].isna().any() else float(both["days"].median()),
            )
        )
    return tuple(told)


def _known_and_blind(own: pd.DataFrame, outcome: str) -> pd.DataFrame:
    """Return one row a piece graded both ways: known, blind, firing and days between."""
    first = {
        word: own[own["blind"] == word].drop_duplicates("piece").set_index("piece")
        for word in (KNOWN, BLIND)
    }
    pieces = sorted(set(first[KNOWN].index) & set(first[BLIND].index))
    known, blind = first[KNOWN].loc[pieces], first[BLIND].loc[pieces]
    return pd.DataFrame(
        {
            "known": known[outcome],
            "blind": blind[outcome],
            "firing": known["firing"],
            "days": (blind["graded_on"] - known["graded_on"]).dt.total_seconds() / 86400.0,
        }
    )
