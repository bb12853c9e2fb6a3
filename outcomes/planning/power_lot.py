"""Test many simulated trials by their lot, as `outcomes test` tests one.

Without anything to allow for, the residual of a piece of grade k is P(y <= k) + P(y < k) - 1
over the pieces of its trial, and what is permuted is that (pieces), or its mean over each firing
(firings). The statistic is `resampling.permutation.clustered_t`, for all trials at once: with
z, r centred within strata and s_g a cluster's sum of z r, t = sum s_g / sqrt(sum s_g^2). Trials
of one layout share their arrangements. Blocks of the pieces of one firing are left out here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import FloatArray, IntArray
from outcomes.planning.plan import Unit
from outcomes.planning.power_layout import Layout
from outcomes.resampling.permutation import (
    EXACT_UP_TO,
    count_arrangements,
    draw_arrangements,
    enumerate_arrangements,
)

DRAWS: Final = 999  # of the arrangements, where there are too many: enough to count trials by
_MOST_CELLS: Final = 2_000_000  # statistics held at once: 16 MB
_TIE: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LotAnswers:
    """The p values of B trials, each array of shape (B,), as in `Permutation`."""

    p_more: FloatArray
    p_fewer: FloatArray
    p_either: FloatArray


def permute_trials(counts: IntArray, layout: Layout, *, rng: np.random.Generator) -> LotAnswers:
    """Return the permutation p values of every trial.

    Parameters
    ----------
    counts : array, shape (B, G, 2, K)
        From `power_draw.draw_trials`.
    layout
        That they were drawn for.
    rng
        Draws arrangements where they are too many to enumerate.
    """
    residuals = _residuals(counts)
    if layout.assigned is Unit.PIECE:
        seen, others = _piece_statistics(counts, residuals, rng=rng)
        return _p_values(seen, others, extra=1)
    arms, stratum, values = _firing_units(counts, residuals, layout)
    exact = count_arrangements(arms, stratum) <= EXACT_UP_TO
    drawn = (
        enumerate_arrangements(arms, stratum)
        if exact
        else draw_arrangements(arms.astype(np.float64), stratum, DRAWS, rng=rng)
    )
    step = max(1, _MOST_CELLS // len(drawn))
    parts = []
    for first in range(0, len(values), step):
        some = values[first : first + step]
        others = _firing_statistics(drawn, some, stratum)
        seen = _firing_statistics(arms[None, :].astype(np.float64), some, stratum)[0]
        parts.append(_p_values(seen, others, extra=0 if exact else 1))
    return LotAnswers(
        p_more=np.concatenate([part.p_more for part in parts]),
        p_fewer=np.concatenate([part.p_fewer for part in parts]),
        p_either=np.concatenate([part.p_either for part in parts]),
    )


def _residuals(counts: IntArray) -> FloatArray:
    """Return the residual of a piece of each grade in each trial, (B, K)."""
    shares = counts.sum(axis=(1, 2)) / counts.sum(axis=(1, 2, 3))[:, None]
    upto = np.cumsum(shares, axis=1)
    return np.asarray(2.0 * upto - shares - 1.0)


def _firing_units(
    counts: IntArray, residuals: FloatArray, layout: Layout
) -> tuple[NDArray[np.bool_], IntArray, FloatArray]:
    """Return the side and stratum of the firings compared, (G',), and their values, (B, G')."""
    number = np.arange(layout.firings)
    kept = number[number % layout.values < 2]
    pieces = counts[:, kept].sum(axis=2)
    values = np.einsum("bgk,bk->bg", pieces, residuals) / pieces.sum(axis=2)
    stratum = kept * layout.blocks // layout.firings
    return kept % layout.values == 1, stratum, values


def _firing_statistics(arranged: FloatArray, values: FloatArray, stratum: IntArray) -> FloatArray:
    """Return the statistic of every arrangement in every trial, (E, B)."""
    z, r = _centred(arranged, stratum), _centred(values, stratum)
    return _studentised(z @ r.T, (z**2) @ (r**2).T)


def _piece_statistics(
    counts: IntArray, residuals: FloatArray, *, rng: np.random.Generator
) -> tuple[FloatArray, FloatArray]:
    """Return the statistic seen in every trial, (B,), and under the draws, (E, B).

    Every firing is a stratum and a cluster: its sums under the draws are those of its own
    pieces, shuffled apart from all other firings.
    """
    total, squares = np.zeros((2, DRAWS + 1, len(counts)))
    for members, firing in _like_firings(counts):
        values = _piece_values(counts[members, firing], residuals[members])
        sides = counts[members[0], firing].sum(axis=1)
        arms = np.repeat([0.0, 1.0], sides)
        drawn = rng.permuted(np.tile(arms, (DRAWS, 1)), axis=1)
        z = np.vstack([arms, drawn]) - arms.mean()
        scores = z @ (values - values.mean(axis=1, keepdims=True)).T
        total[:, members] += scores
        squares[:, members] += scores**2
    statistics = _studentised(total, squares)
    return statistics[0], statistics[1:]


def _like_firings(counts: IntArray) -> Iterator[tuple[IntArray, int]]:
    """Yield the trials in which a firing has the same number of pieces on either side."""
    sides = counts.sum(axis=3)
    for firing in range(counts.shape[1]):
        _, alike = np.unique(sides[:, firing], axis=0, return_inverse=True)
        for group in range(int(alike.max()) + 1):
            yield np.flatnonzero(alike.ravel() == group), firing


def _piece_values(counts: IntArray, residuals: FloatArray) -> FloatArray:
    """Return each piece's residual, first side first, (members, pieces)."""
    n_trials, _, n_grades = counts.shape
    grades = np.tile(np.arange(n_grades), 2 * n_trials)
    grade = np.repeat(grades, counts.ravel()).reshape(n_trials, -1)
    return np.take_along_axis(residuals, grade, axis=1)


def _centred(values: FloatArray, stratum: IntArray) -> FloatArray:
    """Return values (..., n) less their stratum's mean."""
    member = (stratum == np.unique(stratum)[:, None]).astype(np.float64)
    means = values @ member.T / member.sum(axis=1)
    return np.asarray(values - means @ member)


def _studentised(total: FloatArray, squares: FloatArray) -> FloatArray:
    size = np.sqrt(np.maximum(squares, 0.0))
    return np.asarray(total / np.where(size > 0.0, size, 1.0))


def _p_values(seen: FloatArray, others: FloatArray, *, extra: int) -> LotAnswers:
    """Return the shares of arrangements at least as extreme, (b + 1)/(m + 1) where drawn."""
    slack = _TIE * np.maximum(1.0, np.abs(seen))
    of = len(others) + extra
    return LotAnswers(
        p_more=((others >= seen - slack).sum(axis=0) + extra) / of,
        p_fewer=((others <= seen + slack).sum(axis=0) + extra) / of,
        p_either=((np.abs(others) >= np.abs(seen) - slack).sum(axis=0) + extra) / of,
    )
