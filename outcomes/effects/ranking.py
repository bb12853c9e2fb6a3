"""The order of the settings of one outcome, with its own uncertainty.

*Place.* Settings are ranked on |change| after empirical-Bayes shrinkage toward 0 (normal
prior, normal noise): ``shrunk_j = tau² / (tau² + SE_j²) |change_j|`` with
``tau² = max(0, mean(change²) - mean(SE²))``. Without it noisy settings rise by their noise
alone.

*Rank intervals.* For every pair the difference of the unshrunken |change| is compared with a
simultaneous max-t limit over the redraws (Klein, Wright & Wieczorek 2020,
doi:10.1111/rssa.12548; Mogstad, Romano, Shaikh & Wilhelm 2024, doi:10.1093/restud/rdad006)::

    rank_j runs from 1 + #{surely larger than j} to J - #{surely smaller than j}

The "alone" interval uses only the J-1 comparisons that involve j. Whole-firing redraws are
too narrow by sqrt((G-1)/G) and by normal tails, so the limit is expanded as Hesterberg's
intervals are. Plain draw quantiles of ranks are not offered: they cover 68-77 %.
"""

from collections.abc import Sequence

import numpy as np
from scipy import special

from outcomes.design.design import FloatArray
from outcomes.effects.contrasts import is_judged
from outcomes.effects.effect import Effect, RankedFactor
from outcomes.effects.evidence import Evidence
from outcomes.effects.measured import draw_changes


def rank_settings(
    effects: Sequence[Effect], evidence: Evidence, *, confidence: float = 0.95
) -> tuple[RankedFactor, ...]:
    """Return the settings of one outcome, best rank first.

    Parameters
    ----------
    effects
        Of that outcome; conditions, groupings and the glaze are passed over.
    evidence
        What they were read from.
    confidence
        Of the rank intervals.
    """
    ours = [effect for effect in effects if is_judged(effect.contrast, evidence.codebook)]
    if not ours:
        return ()
    draws = draw_changes(evidence, [effect.contrast for effect in ours])
    return rank_changes(ours, draws, n_firings=evidence.n_firings, confidence=confidence)


def rank_changes(
    effects: Sequence[Effect], draws: FloatArray, *, n_firings: int, confidence: float = 0.95
) -> tuple[RankedFactor, ...]:
    """Return some effects in order, best rank first.

    Parameters
    ----------
    effects
        J effects of one outcome.
    draws : array, shape (B, J)
        The change of each in every redraw.
    n_firings
        G.
    confidence
        Of the rank intervals.

    Notes
    -----
    Without standard errors (under the floors) nothing is shrunk and every rank interval is
    the whole list.
    """
    size = np.array([abs(effect.change) for effect in effects])
    weight = shrinkage_weights(effects)
    shrunk = weight * size
    order = np.lexsort((-size, -shrunk))
    rank = np.empty(len(size), dtype=np.int64)
    rank[order] = np.arange(1, len(size) + 1)
    knows = all(effect.standard_error is not None for effect in effects) and len(draws) > 1
    if knows:
        larger, larger_alone = _surely_larger(size, np.abs(draws), n_firings, confidence)
        first = _share_first(weight * np.abs(draws))
    else:
        larger = larger_alone = np.zeros((len(size), len(size)), dtype=bool)
        first = np.full(len(size), 1.0 / len(size))
    low, high = _rank_range(larger, rank)
    alone_low, alone_high = _rank_range(larger_alone, rank)
    return tuple(
        RankedFactor(
            outcome=effects[j].outcome,
            factor=effects[j].contrast.factor,
            rank=int(rank[j]),
            rank_low=int(low[j]),
            rank_high=int(high[j]),
            alone_low=int(alone_low[j]),
            alone_high=int(alone_high[j]),
            share_first=float(first[j]),
            shrunk=float(shrunk[j]),
        )
        for j in order
    )


def shrinkage_weights(effects: Sequence[Effect]) -> FloatArray:
    """Return tau² / (tau² + SE²) of each effect, shape (J,); ones without standard errors.

    A standard error of 0 (nothing to shrink) keeps its whole weight.
    """
    errors = [effect.standard_error for effect in effects]
    if any(error is None for error in errors):
        return np.ones(len(effects))
    variance = np.array(errors, dtype=float) ** 2
    change = np.array([effect.change for effect in effects])
    between = max(0.0, float(np.mean(change**2) - np.mean(variance)))
    total = between + variance
    return np.where(total > 0.0, between / np.where(total > 0.0, total, 1.0), 1.0)


def _surely_larger(
    size: FloatArray, draws: FloatArray, n_firings: int, confidence: float
) -> tuple[np.ndarray, np.ndarray]:
    """Return [i, j]: i surely larger than j, over all pairs, and over the pairs of j alone."""
    n = len(size)
    gap = size[:, None] - size[None, :]
    draws_gap = draws[:, :, None] - draws[:, None, :]
    error = draws_gap.std(axis=0, ddof=1)
    error = np.where(error > 0.0, error, np.inf)
    excess = np.abs(draws_gap - gap) / error
    stretch = _stretch(n_firings, confidence)
    if n < 2:
        nothing = np.zeros((n, n), dtype=bool)
        return nothing, nothing
    limit = np.quantile(excess.max(axis=(1, 2)), confidence) * stretch
    alone = np.quantile(excess.max(axis=1), confidence, axis=0) * stretch
    return gap > limit * error, gap > alone[None, :] * error


def _stretch(n_firings: int, confidence: float) -> float:
    """Return by how much a limit of whole-firing redraws is too short."""
    df = max(1, n_firings - 1)
    tail = 0.5 * (1.0 - confidence)
    t = special.stdtrit(df, 1.0 - tail) / special.ndtri(1.0 - tail)
    return float(t * np.sqrt(n_firings / df))


def _share_first(shrunk_draws: FloatArray) -> FloatArray:
    """Return the share of redraws in which each comes first; ties share their redraw."""
    top = shrunk_draws == shrunk_draws.max(axis=1, keepdims=True)
    return np.asarray((top / top.sum(axis=1, keepdims=True)).mean(axis=0))


def _rank_range(larger: np.ndarray, rank: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return lowest and highest rank; the place itself is always inside."""
    n = len(rank)
    low = 1 + larger.sum(axis=0)
    high = n - larger.sum(axis=1)
    return np.minimum(low, rank), np.maximum(high, rank)
