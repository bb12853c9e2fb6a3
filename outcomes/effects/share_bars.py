"""The bar of every replicate, and the intervals read from the bars without each firing.

Notation as in `share_parts`; a bar is k groups, then firing luck, then piece luck.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import special

from outcomes.design.design import Design, FloatArray
from outcomes.effects.share_parts import Split
from outcomes.model.likelihood import Pieces, piece_terms
from outcomes.model.mixed import MixedFit
from outcomes.resampling.intervals import jackknife_error

# Below it a share is as good as nothing and its logit means nothing.
AS_GOOD_AS_NOTHING: Final = 0.01


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bars:
    """The bar of every replicate (B, k + 2): groups, firing luck, piece luck.

    ``shares`` add up to 1 with nothing below 0; ``plain`` are the same with negative parts left
    standing, for standard errors.
    """

    shares: FloatArray
    plain: FloatArray
    fixed: FloatArray


def build_bars(split: Split, luck: FloatArray, piece: float) -> Bars:
    """Return the bar of every replicate."""
    fixed = split.explained()
    total = fixed + luck + piece
    rest = np.stack([luck, np.full_like(luck, piece)], axis=1)
    return Bars(
        shares=np.concatenate([split.floored(), rest], axis=1) / total[:, None],
        plain=np.concatenate([split.parts, rest], axis=1) / total[:, None],
        fixed=fixed,
    )


def count_between(design: Design) -> int:
    """Return L, the slopes of columns that are constant within every firing."""
    return sum(len(term.columns) for term in design.spec.terms if term.between)


def luck_factor(n_firings: FloatArray, n_between: int) -> FloatArray:
    """Return G / (G - 1 - L), what maximum likelihood makes variance between firings too small by.

    It does not know that L slopes and a level were fitted to G firings; at least two degrees of
    freedom are left to it.

    >>> luck_factor(np.array([24.0]), 3).tolist()
    [1.2]
    """
    return np.asarray(n_firings / np.maximum(n_firings - 1.0 - n_between, 2.0))


def luck_noise(design: Design, fit: MixedFit) -> float:
    """Return the variance with which one firing's pieces alone would tell its luck."""
    pieces = Pieces(
        X=design.X, y=design.y, weights=np.ones(len(design.y)), n_grades=len(fit.thresholds) + 1
    )
    terms = piece_terms(fit.parameters()[:-1], pieces, fit.options)
    told = float(np.sum(terms.upper_curve + terms.lower_curve))
    return len(design.firing_names) / told


def correct_luck(luck: FloatArray, factor: FloatArray, noise: float) -> FloatArray:
    """Return the luck's variance, corrected for the slopes fitted.

    Notes
    -----
    What the factor shrinks is the variance *between* firings, luck + noise: undone this gives
    ``factor (luck + noise) - noise = factor luck + (factor - 1) noise``. The second part is
    faded out by luck/(luck + noise), so that no luck seen stays no luck seen. Median sd for a
    true 0.8 (8 pieces a firing, 3 firing-level slopes, 300 logs each): 0.67 at 12 firings and
    0.80 at 24, where the fit itself says 0.50 and 0.70 and the factor alone 0.61 and 0.77.

    >>> correct_luck(np.array([0.0]), np.array([1.5]), 0.5).tolist()
    [0.0]
    """
    return np.asarray(factor * luck + (factor - 1.0) * noise * luck / (luck + noise))


def share_limits(share: FloatArray, plain: FloatArray, confidence: float) -> tuple[float, float]:
    """Return a jackknife interval; element 0 is the full fit."""
    t = float(-special.stdtrit(len(share) - 2.0, 0.5 * (1.0 - confidence)))
    if share.min() >= AS_GOOD_AS_NOTHING and share.max() <= 1.0 - AS_GOOD_AS_NOTHING:
        turned = special.logit(share)
        reach = t * float(jackknife_error(turned[1:]))
        ends = special.expit(np.array([turned[0] - reach, turned[0] + reach]))
        return float(ends[0]), float(ends[1])
    reach = t * float(jackknife_error(plain[1:]))
    return max(0.0, float(share[0]) - reach), min(1.0, float(share[0]) + reach)
