"""Two graders compared, every grader with the others, and each step of the scale."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from outcomes.graders.alpha import count_coincidences, krippendorff_alpha
from outcomes.graders.kappa import (
    LINEAR,
    QUADRATIC,
    disagreement_weights,
    share_of,
    share_split,
    share_within,
    weighted_kappa,
)
from outcomes.graders.measured import Measured, Scale, measure
from outcomes.graders.ratings import Ratings
from outcomes.model.fit import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PairAgreement:
    """How two graders agree on the pieces both graded.

    ``counts`` (K, K): the first's grade down, the second's across. ``exact`` and ``near`` are
    the shares given one grade, or grades at most one apart.
    """

    one: str
    other: str
    pieces: int
    counts: FloatArray
    exact: Measured
    near: Measured
    quadratic: Measured
    linear: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary:
    """One step of the scale: from the grade below ``upper`` to ``upper``.

    ``split`` is the share of all pairs of grades that lie on its two sides; ``pairs`` counts
    them.
    """

    upper: int
    split: Measured
    pairs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """How a grader's grades differ from the mean of the others' on the same pieces.

    ``difference`` in grades, positive for higher; ``pieces`` graded by others too.
    """

    grader: str
    pieces: int
    difference: Measured


def compare_pairs(ratings: Ratings, *, confidence: float) -> tuple[PairAgreement, ...]:
    """Return every two graders who share a piece, in the order of their names."""
    places = range(len(ratings.graders))
    compared = (
        _compare(ratings, i, j, confidence=confidence) for i in places for j in places if i < j
    )
    return tuple(pair for pair in compared if pair.pieces)


def _compare(ratings: Ratings, i: int, j: int, *, confidence: float) -> PairAgreement:
    pairs = ratings.count_pairs(i, j)
    parts, k = ratings.sum_clusters(pairs), ratings.n_grades
    told = {
        name: measure(
            parts,
            partial(weighted_kappa, weights=disagreement_weights(k, power)),
            confidence=confidence,
            scale=Scale.CORRELATION,
        )
        for name, power in (("quadratic", QUADRATIC), ("linear", LINEAR))
    }
    return PairAgreement(
        one=ratings.graders[i],
        other=ratings.graders[j],
        pieces=int(pairs.sum()),
        counts=pairs.sum(axis=0),
        exact=measure_share(parts, 0, confidence=confidence),
        near=measure_share(parts, 1, confidence=confidence),
        quadratic=told["quadratic"],
        linear=told["linear"],
    )


def measure_share(parts: FloatArray, apart: int, *, confidence: float) -> Measured:
    """Return the share of pairs at most ``apart`` grades apart, from counts (G, K, K)."""
    return measure(
        parts, partial(share_within, apart=apart), confidence=confidence, scale=Scale.SHARE
    )


def measure_alpha(ratings: Ratings, *, confidence: float) -> Measured:
    """Return Krippendorff's alpha for ordered grades, with its interval."""
    pairs = count_coincidences(ratings.grades, ratings.n_grades)
    return measure(
        ratings.sum_clusters(pairs), krippendorff_alpha, confidence=confidence,
        scale=Scale.CORRELATION,
    )  # fmt: skip


def measure_boundaries(ratings: Ratings, *, confidence: float) -> tuple[Boundary, ...]:
    """Return how often each step of the scale parts two grades of one piece."""
    every = ratings.count_all_pairs()
    parts, total = ratings.sum_clusters(every), every.sum(axis=0)
    return tuple(
        Boundary(
            upper=upper,
            split=measure(
                parts, partial(share_split, boundary=upper), confidence=confidence,
                scale=Scale.SHARE,
            ),
            pairs=round(float(share_split(total, upper)) * float(total.sum())),
        )
        for upper in range(1, ratings.n_grades)
    )  # fmt: skip


def measure_offsets(ratings: Ratings, *, confidence: float) -> tuple[Offset, ...]:
    """Return each grader's difference from the mean of the others, in grades."""
    apart = differences_from_others(ratings.grades)
    return tuple(
        Offset(
            grader=grader,
            pieces=int((~np.isnan(apart[:, place])).sum()),
            difference=measure_mean(ratings, apart[:, place], confidence=confidence),
        )
        for place, grader in enumerate(ratings.graders)
    )


def differences_from_others(grades: FloatArray) -> FloatArray:
    """Return each grade less the mean of the piece's other grades, NaN without one.

    >>> differences_from_others(np.array([[3.0, 1.0, 2.0], [1.0, np.nan, np.nan]])).tolist()
    [[1.5, -1.5, 0.0], [nan, nan, nan]]
    """
    given = ~np.isnan(grades)
    filled = np.where(given, grades, 0.0)
    others = given.sum(axis=1, keepdims=True) - given
    mean = share_of(filled.sum(axis=1, keepdims=True) - filled, others.astype(np.float64))
    return np.asarray(grades - mean)


def measure_mean(ratings: Ratings, values: FloatArray, *, confidence: float) -> Measured:
    """Return the mean of one value a piece (n,), NaN for none, with its interval."""
    told = ~np.isnan(values)
    parts = np.stack([np.where(told, values, 0.0), told.astype(np.float64)], axis=1)
    return measure(
        ratings.sum_clusters(parts),
        lambda sums: share_of(sums[..., 0], sums[..., 1]),
        confidence=confidence,
    )
