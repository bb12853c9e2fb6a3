"""Which factor explains how much: the Shapley decomposition of an outcome's R^2.

The second view of the ranking (Groemping 2006). Two measures: the latent R^2 of McKelvey &
Zavoina, V / (V + v), and McFadden's, 1 - logL / logL_0. Every subset of factors is refitted for
the decomposition itself; its intervals come from leaving out each firing with the quadratic
approximation of the refits. Measured on the made firings A (24 firings, 5 factors, every subset
refitted without every firing): jackknife errors of shares above 1 % agree within 2.5 % (latent)
and 8 % (McFadden), leave-one-out values correlate above 0.99. With 10 factors, 384 pieces and 48
firings the decomposition with intervals takes under a second.

References
----------
McKelvey & Zavoina (1975), Journal of Mathematical Sociology 4, 103-120. McFadden (1974), in
Zarembka (ed.), Frontiers in Econometrics, 105-142. Groemping (2006), J. Stat. Softw. 17(1).
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.effects.evidence import Evidence
from outcomes.effects.shapley import MOST_EXACT, columns_of, projected_variance, share_worth
from outcomes.effects.share_bars import share_limits
from outcomes.effects.share_parts import column_covariance
from outcomes.log.codebook import Role
from outcomes.model.fit import CumulativeFit
from outcomes.model.mixed_task import PIECE_VARIANCE
from outcomes.model.subsets import fit_column_subsets, log_likelihoods
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import FEW_FIRINGS


class Measure(StrEnum):
    """What is decomposed."""

    LATENT = "latent R² (McKelvey-Zavoina)"
    MCFADDEN = "McFadden R²"


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorShare:
    """What one factor explains.

    ``share`` is its part of the R^2 (they add up to ``Decomposition.total``), ``relative`` the
    same over the total; ``low``, ``high`` its interval, None with fewer than 12 firings or when
    a fit without one firing failed.
    """

    factor: str
    role: Role
    share: float
    relative: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decomposition:
    """The R^2 of one outcome in parts.

    ``orders`` is 0 when every subset of factors was fitted, else the number of orders sampled.
    R^2 counts noise as explained: a factor that does nothing has a small share, never 0.
    """

    outcome: str
    measure: Measure
    total: float
    shares: tuple[FactorShare, ...]
    orders: int
    confidence: float


def decompose_variation(
    evidence: Evidence,
    *,
    measure: Measure = Measure.LATENT,
    confidence: float = 0.95,
    orders: int = 100,
    seed: int = 1,
) -> Decomposition:
    """Return the decomposition over the factors of one outcome, largest share first.

    Parameters
    ----------
    evidence
        The design, its fit and the fits without each firing.
    measure
        What is decomposed.
    confidence
        Of the intervals, jackknife t(G-1) on the logit scale.
    orders, seed
        Orders sampled when there are more than 12 factors, and their luck.
    """
    design, fit = evidence.design, evidence.fit
    terms = design.spec.terms
    groups = tuple(tuple(term.slots) for term in terms)

    def worth(subsets: IntArray) -> FloatArray:
        exact = subset_r_squared(design, fit, groups, subsets=subsets, measure=measure)
        if evidence.n_firings < FEW_FIRINGS or not evidence.jackknife_ok:
            return exact[None]
        near = _near_worth(evidence, groups, subsets=subsets, measure=measure)
        return np.concatenate([exact[None], near])

    rng = np.random.default_rng(seed)
    values = share_worth(worth, len(groups), n_orders=orders, rng=rng)
    total = float(values[0].sum())
    found = [
        _factor_share(values[:, j], total, factor=term.factor, role=term.role, level=confidence)
        for j, term in enumerate(terms)
    ]
    return Decomposition(
        outcome=design.spec.outcome,
        measure=measure,
        total=total,
        shares=tuple(sorted(found, key=lambda one: -one.share)),
        orders=0 if len(groups) <= MOST_EXACT else orders,
        confidence=confidence,
    )


def subset_r_squared(
    design: Design,
    fit: CumulativeFit,
    groups: tuple[tuple[int, ...], ...],
    *,
    subsets: IntArray,
    measure: Measure,
) -> FloatArray:
    """Return the R^2 of the model refitted with each subset of groups, shape (m,)."""
    chosen = np.zeros((len(subsets), design.X.shape[1]), dtype=bool)
    for position, subset in enumerate(subsets):
        chosen[position, columns_of(int(subset), groups)] = True
    n_grades = len(design.grades)
    fits = fit_column_subsets(design.X, design.y, n_grades, chosen=chosen, start=fit)
    if measure is Measure.LATENT:
        eta = fits.values[:, n_grades - 1 :] @ (design.X - design.X.mean(axis=0)).T
        variance = np.mean(eta**2, axis=1)
        return np.asarray(variance / (variance + PIECE_VARIANCE[fit.options.link]))
    level = log_likelihoods(design.X, design.y, n_grades, values=fits.values, options=fit.options)
    counts = np.bincount(design.y, minlength=n_grades)
    null = float(counts @ np.log(counts / counts.sum()))
    return np.asarray(1.0 - level / null)


def _near_worth(
    evidence: Evidence,
    groups: tuple[tuple[int, ...], ...],
    *,
    subsets: IntArray,
    measure: Measure,
) -> FloatArray:
    """Return the approximate R^2 of subsets without each firing, shape (G, m).

    Latent: the variance of eta that the subset's columns tell, over V + v. McFadden: the
    log-likelihood is a parabola about the full fit, its information as metric.
    """
    design, last = evidence.design, evidence.n_grades - 1
    weights = leave_one_out_weights(evidence.n_firings)
    slopes = evidence.without[:, last:]
    if measure is Measure.LATENT:
        spread = column_covariance(design, weights)
        told = projected_variance(spread, slopes, groups, subsets=subsets)
        whole = np.einsum("bi,bij,bj->b", slopes, spread, slopes)
        return np.asarray(told / (whole + PIECE_VARIANCE[evidence.link])[:, None])
    information = np.tensordot(weights, evidence.information, axes=1)
    across = information[:, :last, last:]
    profiled = information[:, last:, last:] - np.swapaxes(across, 1, 2) @ np.linalg.solve(
        information[:, :last, :last], across
    )
    told = 0.5 * projected_variance(profiled, slopes, groups, subsets=subsets)
    counts = np.zeros((evidence.n_firings, evidence.n_grades))
    np.add.at(counts, (design.firing, design.y), 1.0)
    left = counts.sum(axis=0) - counts
    share = left / left.sum(axis=1, keepdims=True)
    null = np.sum(left * np.log(np.maximum(share, 1e-300)), axis=1)
    return np.asarray(told / -null[:, None])


def _factor_share(
    values: FloatArray, total: float, *, factor: str, role: Role, level: float
) -> FactorShare:
    """Return one factor's part; element 0 of ``values`` is exact, the rest without a firing."""
    low, high = share_limits(values, values, level) if len(values) > 1 else (None, None)
    return FactorShare(
        factor=factor,
        role=role,
        share=float(values[0]),
        relative=float(values[0]) / total if total > 0.0 else 0.0,
        low=low,
        high=high,
    )
