"""Integrals over each firing's luck by adaptive Gauss-Hermite quadrature, many fits at once.

Notation
--------
Rows stand sorted by firing. psi (B, q+1) are B replicates' parameters: K-1 thresholds, p slopes,
then the firing sd s, which may carry either sign (the likelihood is even in it). Firing g has the
luck s v_g, v_g ~ normal(0, 1), so P(y <= k | v) = F(theta_{k+1} - x'beta - s v).

Each firing's nodes are v = mode + width z_k, z the Hermite nodes, mode and width those of the
firing's own posterior under that replicate's parameters.

References
----------
Pinheiro & Bates (1995), Journal of Computational and Graphical Statistics 4, 12-35.
Liu & Pierce (1994), Biometrika 81, 624-629.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.model.fit import FloatArray, IntArray, Link
from outcomes.model.link_terms import IntervalTerms
from outcomes.model.links import interval_terms

_MOST_MODE_STEPS: Final = 60
# Any centre near the mode serves as well: only the speed of convergence in the number of nodes
# depends on it.
_MODE_FOUND: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FiringRows:
    """A design sorted by firing.

    Parameters
    ----------
    X, y : array, shape (n, p) and (n,)
        Rows in the order of their firings; every grade 0..K-1 occurs.
    firing : array, shape (n,)
        0, 0, ..., G-1; every firing holds a row.
    starts : array, shape (G,)
        First row of each firing.
    n_grades, link
        K and F.
    """

    X: FloatArray
    y: IntArray
    firing: IntArray
    starts: IntArray
    n_grades: int
    link: Link

    def sums(self, values: FloatArray) -> FloatArray:
        """Return sums over each firing's rows, (n, ...) -> (G, ...)."""
        return np.asarray(np.add.reduceat(values, self.starts, axis=0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutPoints:
    """Both cut points of every row without luck, and their gap, all (n, B)."""

    lower: FloatArray
    upper: FloatArray
    gap: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Posterior:
    """Each firing's luck given its pieces.

    Parameters
    ----------
    mode, width : array, shape (G, B)
        Of v; width is one over the root of the curvature at the mode.
    nodes, chance : array, shape (G, B, N)
        Where v is looked at, and the posterior chance of each node; sums to 1 over N.
    log_likelihood : array, shape (G, B)
        Of the firing's pieces, luck integrated out.
    terms
        Rows' terms at the nodes, shape (n, B, N) (or broadcasting to it).
    """

    mode: FloatArray
    width: FloatArray
    nodes: FloatArray
    chance: FloatArray
    log_likelihood: FloatArray
    terms: IntervalTerms


def build_firing_rows(
    X: FloatArray, y: IntArray, n_grades: int, *, firing: IntArray, link: Link
) -> FiringRows:
    """Sort a design by firing; firing numbers may have gaps, the result has none."""
    order = np.argsort(firing, kind="stable")
    _, starts, number = np.unique(firing[order], return_index=True, return_inverse=True)
    return FiringRows(
        X=np.ascontiguousarray(X[order]),
        y=np.asarray(y)[order].astype(np.int64),
        firing=number.astype(np.int64),
        starts=starts.astype(np.int64),
        n_grades=n_grades,
        link=link,
    )


def hermite_nodes(points: int) -> tuple[FloatArray, FloatArray]:
    """Return nodes z and log(w exp(z^2/2)), so that an integral of f is sum exp(log w) f(z).

    >>> z, log_weight = hermite_nodes(11)
    >>> round(float(np.exp(log_weight - z**2 / 2).sum() / np.sqrt(2 * np.pi)), 12)
    1.0
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(points)
    return nodes, np.log(weights) + 0.5 * nodes**2


def cut_points(psi: FloatArray, rows: FiringRows) -> CutPoints:
    """Return both cut points of every row without luck."""
    last = rows.n_grades - 1
    end = np.full((1, len(psi)), np.inf)
    cuts = np.concatenate([-end, psi[:, :last].T, end])
    eta = rows.X @ psi[:, last:-1].T
    gap = np.diff(cuts, axis=0)
    return CutPoints(
        lower=cuts[rows.y] - eta, upper=cuts[rows.y + 1] - eta, gap=np.asarray(gap[rows.y])
    )


def integrate(
    psi: FloatArray, rows: FiringRows, *, points: int, start: FloatArray | None = None
) -> Posterior:
    """Return each firing's posterior and likelihood under each replicate's parameters.

    Parameters
    ----------
    psi : array, shape (B, q+1)
    rows
        The design.
    points
        N, nodes a firing.
    start : array, shape (G, B), optional
        Where to begin looking for the modes; default 0.
    """
    cuts, sd = cut_points(psi, rows), psi[:, -1]
    first = np.zeros((len(rows.starts), len(psi))) if start is None else start
    mode, width = _modes(cuts, sd, rows, start=first)
    z, log_weight = hermite_nodes(points)
    nodes = mode[..., None] + width[..., None] * z
    luck = (sd[:, None] * nodes)[rows.firing]
    terms = interval_terms(
        cuts.lower[..., None] - luck, cuts.upper[..., None] - luck, cuts.gap[..., None], rows.link
    )
    height = rows.sums(terms.log_probability) - 0.5 * nodes**2 + log_weight
    top = height.max(axis=-1, keepdims=True)
    weight = np.exp(height - top)
    total = weight.sum(axis=-1, keepdims=True)
    constant = np.log(width) - 0.5 * np.log(2.0 * np.pi)
    return Posterior(
        mode=mode,
        width=width,
        nodes=nodes,
        chance=weight / total,
        log_likelihood=(top + np.log(total))[..., 0] + constant,
        terms=terms,
    )


def _modes(
    cuts: CutPoints, sd: FloatArray, rows: FiringRows, *, start: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return posterior mode and width of every v, (G, B), by Newton kept within a bracket.

    The log posterior is concave (the links of `fit_mixed` have log-concave F differences), so
    the sign of its slope says on which side of v the mode lies.
    """
    v, low, high = start, np.full_like(start, -np.inf), np.full_like(start, np.inf)
    for _ in range(_MOST_MODE_STEPS):
        luck = (sd * v)[rows.firing]
        terms = interval_terms(cuts.lower - luck, cuts.upper - luck, cuts.gap, rows.link)
        slope = -sd * rows.sums(terms.lean) - v
        curve = 1.0 + sd**2 * rows.sums(terms.upper_curve + terms.lower_curve)
        low, high = np.where(slope > 0.0, v, low), np.where(slope < 0.0, v, high)
        # Steps of at most 1 (one standard deviation of luck) cannot jump over a steep mode
        # more than once: the bracket then halves.
        there = v + np.clip(slope / curve, -1.0, 1.0)
        outside = (there < low) | (there > high)
        middle = 0.5 * (low + high)
        there = np.where(outside & np.isfinite(middle), middle, there)
        done = np.max(np.abs(there - v) * np.sqrt(curve)) <= _MODE_FOUND
        v = np.where(slope == 0.0, v, there)
        if done:
            break
    return v, 1.0 / np.sqrt(curve)
