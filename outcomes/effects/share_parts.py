"""Splitting the variation that a fit explains into the parts of its groups of columns.

Notation: B replicates, G firings, p columns; beta (B, p) slopes, V (B, p, p) their covariance,
S (B, p, p) covariance of the columns over the replicate's pieces (divisor: their number).
``raw`` variance is beta'S beta; its ``noise`` trace(S V) is what slopes of nothing would explain
on average.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.effects.shapley import projected_variance, shapley_values
from outcomes.log.codebook import Codebook, Role

_TOGETHER: Final = 0.7  # method_in_depth.md §7


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnGroup:
    """Columns that are one part of the bar; ``yours`` when the maker sets them."""

    name: str
    columns: tuple[int, ...]
    yours: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Split:
    """The variance of the linear predictor in parts.

    Parameters
    ----------
    raw, noise : array, shape (B,)
    parts : array, shape (B, k)
        Noise taken off, may be negative; sums to ``raw - noise``.
    shared : tuple of bool, length k
        Parts that overlap with another: their credit is the average over all orders.
    """

    raw: FloatArray
    noise: FloatArray
    parts: FloatArray
    shared: tuple[bool, ...]

    def explained(self) -> FloatArray:
        """Return raw minus noise, never below 0, shape (B,)."""
        return np.maximum(self.raw - self.noise, 0.0)

    def floored(self) -> FloatArray:
        """Return the parts, none below 0, scaled to add up to `explained`, shape (B, k)."""
        positive = np.maximum(self.parts, 0.0)
        total = positive.sum(axis=1, keepdims=True)
        return positive * self.explained()[:, None] / np.where(total > 0.0, total, 1.0)


def build_groups(design: Design, codebook: Codebook) -> tuple[ColumnGroup, ...]:
    """Return the parts that this design can have, in the order they are shown."""
    names = ("settings_firing", "settings_piece", "glaze", "conditions", "groupings")
    columns: dict[str, list[int]] = {name: [] for name in names}
    for term in design.spec.terms:
        if term.factor == codebook.glaze:
            name = "glaze"
        elif term.role is Role.SETTING:
            name = "settings_firing" if term.between else "settings_piece"
        else:
            name = "conditions" if term.role is Role.CONDITION else "groupings"
        columns[name].extend(term.slots)
    ours = {"settings_firing", "settings_piece", "glaze"}
    return tuple(
        ColumnGroup(name=name, columns=tuple(found), yours=name in ours)
        for name, found in columns.items()
        if found
    )


def column_covariance(design: Design, weights: FloatArray) -> FloatArray:
    """Return S under weights of firings (B, G), shape (B, p, p)."""
    X = design.X - design.X.mean(axis=0)
    n_firings = weights.shape[1]
    sizes = np.bincount(design.firing, minlength=n_firings)
    order = np.argsort(design.firing, kind="stable")
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    sums = np.add.reduceat(X[order], starts, axis=0)
    products = np.stack(
        [X[order][s : s + m].T @ X[order][s : s + m] for s, m in zip(starts, sizes, strict=True)]
    )
    total = weights @ sizes
    mean = weights @ sums / total[:, None]
    square = np.tensordot(weights, products, axes=1) / total[:, None, None]
    return np.asarray(square - mean[:, :, None] * mean[:, None, :])


def split_variance(
    covariance: FloatArray,
    slopes: FloatArray,
    slope_covariance: FloatArray,
    *,
    groups: Sequence[ColumnGroup],
) -> Split:
    """Return the variance of the linear predictor in parts, one a group.

    Parameters
    ----------
    covariance, slopes, slope_covariance
        S, beta and V; replicate 0 is the full fit and decides what is shared.
    groups
        Every column belongs to one.

    Notes
    -----
    A part is cov(x_g beta_g, eta), which adds up exactly; where some part is negative or two
    groups' contributions correlate above 0.7, parts are Shapley values of the variance that
    subsets of groups can tell of eta.
    """
    along = slopes * np.einsum("bij,bj->bi", covariance, slopes)
    noise = np.einsum("bij,bij->bi", covariance, slope_covariance)
    shared = _overlapping(covariance[0], slopes[0], groups)
    columns = [list(group.columns) for group in groups]
    if any(shared):
        worth = projected_variance(
            covariance,
            slopes,
            columns,
            subsets=np.arange(1 << len(groups)),
            noise=slope_covariance,
        )
        parts = shapley_values(worth)
    else:
        parts = np.stack([(along - noise)[:, mine].sum(axis=1) for mine in columns], axis=1)
    return Split(raw=along.sum(axis=1), noise=noise.sum(axis=1), parts=parts, shared=shared)


def _overlapping(
    covariance: FloatArray, slopes: FloatArray, groups: Sequence[ColumnGroup]
) -> tuple[bool, ...]:
    """Say of each group whether its contribution cannot be told apart from another's."""
    weights = np.zeros((len(groups), len(slopes)))
    for position, group in enumerate(groups):
        weights[position, list(group.columns)] = slopes[list(group.columns)]
    between = weights @ covariance @ weights.T
    size = np.sqrt(np.diag(between))
    together = between / np.where(size > 0.0, size, 1.0)[:, None]
    together /= np.where(size > 0.0, size, 1.0)[None, :]
    strong = np.abs(together) > _TOGETHER
    np.fill_diagonal(strong, val=False)
    negative = between.sum(axis=1) < 0.0
    # A negative part is one group taking back what another gave: both are concerned.
    takes_back = negative[:, None] & (between < 0.0)
    np.fill_diagonal(takes_back, val=False)
    return tuple(
        bool(strong[j].any() or negative[j] or takes_back[:, j].any()) for j in range(len(groups))
    )
