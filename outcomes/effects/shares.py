"""How much is yours: shares of the variation of one outcome, on the latent scale.

The latent variance of a piece is V = V_fix + sd_u^2 + v: what settings, glaze, conditions and
groupings explain, firing luck, and piece luck (v = pi^2/3 for the logit). Shares describe *these*
firings: the range of settings tried decides them, and a habit that never varied has none.

References
----------
McKelvey & Zavoina (1975), Journal of Mathematical Sociology 4, 103-120. Nakagawa, Johnson &
Schielzeth (2017), J. R. Soc. Interface 14:20170213, doi:10.1098/rsif.2017.0213.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design
from outcomes.effects.share_bars import (
    AS_GOOD_AS_NOTHING,
    Bars,
    build_bars,
    correct_luck,
    count_between,
    luck_factor,
    luck_noise,
    share_limits,
)
from outcomes.effects.share_parts import (
    ColumnGroup,
    build_groups,
    column_covariance,
    split_variance,
)
from outcomes.effects.share_words import PART_WORDS, size_words
from outcomes.log.codebook import Codebook
from outcomes.model.fit import FitStatus
from outcomes.model.mixed import MixedFit
from outcomes.model.mixed_many import ManyMixedFits
from outcomes.model.mixed_task import PIECE_VARIANCE
from outcomes.resampling.firings import leave_one_out_weights


@dataclass(frozen=True, slots=True, kw_only=True)
class SharePart:
    """One part of the bar.

    Parameters
    ----------
    name
        "settings_firing", "settings_piece", "glaze", "conditions", "groupings",
        "firing_luck" or "piece_luck".
    words
        What it is, for the reader.
    share
        0..1; the parts add up to 1.
    low, high
        Interval; None with fewer than 12 firings, when only ``size`` is said.
    size
        How large in words: "small", "about a quarter", "about half", "most".
    yours
        True for what the maker sets, the choice of glaze included.
    shared
        True when its credit overlaps with another part's and was divided evenly.
    """

    name: str
    words: str
    share: float
    low: float | None
    high: float | None
    size: str
    yours: bool = False
    shared: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """How the variation of one outcome divides.

    Parameters
    ----------
    outcome
        Canonical name.
    parts
        In the order they are shown; those the design has, then firing luck and piece luck.
    yours
        Settings and glaze together (a part of its own, not one of ``parts``).
    tenths, tenths_low, tenths_high
        ``yours`` as "about x of every 10 parts"; the ends None with fewer than 12 firings.
    confidence, firings
        Of the intervals; G.
    fixed_variance, fixed_noise
        Raw variance of the linear predictor and the noise taken off it.
    firing_sd, firing_sd_upper
        Maximum-likelihood sd of the firing luck; its one-sided upper limit, corrected for the
        slopes fitted (inf: none).
    luck_factor
        G / (G - 1 - firing-level slopes): see `share_bars.correct_luck`.
    piece_variance
        v.
    at_boundary, status
        Of the mixed fit.
    """

    outcome: str
    parts: tuple[SharePart, ...]
    yours: SharePart
    tenths: int
    tenths_low: int | None
    tenths_high: int | None
    confidence: float
    firings: int
    fixed_variance: float
    fixed_noise: float
    firing_sd: float
    firing_sd_upper: float
    luck_factor: float
    piece_variance: float
    at_boundary: bool
    status: FitStatus


def variance_shares(  # noqa: PLR0913 - the fits it reads are separate records
    design: Design,
    codebook: Codebook,
    *,
    fit: MixedFit,
    jackknife: ManyMixedFits | None,
    sd_upper: float,
    confidence: float = 0.95,
) -> Shares:
    """Return the shares of one outcome's variation.

    Parameters
    ----------
    design, codebook
        Which columns are whose.
    fit
        The random-intercept fit of the design.
    jackknife
        The same without each firing; None, or one that did not converge, gives no intervals.
    sd_upper
        One-sided upper limit of the firing sd, corrected for the slopes fitted.
    confidence
        Of the intervals.

    Notes
    -----
    Intervals are estimate +- t(G-1) jackknife standard errors on the logit scale; where a
    share, or one of its leave-one-out values, is below 0.01 the plain scale takes over, ending
    at 0. Firing luck whose sd is 0 in the fit or without some firing runs from 0 to the upper
    limit of the profile likelihood: it is never reported as nothing.
    """
    groups = build_groups(design, codebook)
    full = _one(fit)
    some = jackknife is not None and bool(jackknife.converged.all())
    fits = _stacked(full, jackknife) if some and jackknife is not None else full
    n_firings = len(design.firing_names)
    weights = np.concatenate([np.ones((1, n_firings)), leave_one_out_weights(n_firings)])
    weights = weights[: len(fits.slopes)]
    split = split_variance(
        column_covariance(design, weights), fits.slopes, fits.slope_covariance, groups=groups
    )
    factor = luck_factor(weights.sum(axis=1), count_between(design))
    piece = float(PIECE_VARIANCE[fit.options.link])
    luck = correct_luck(fits.firing_sd**2, factor, luck_noise(design, fit))
    bars = build_bars(split, luck, piece)
    parts = _parts(bars, groups, split.shared, confidence=confidence)
    lowest_luck = float(bars.shares[:, -2].min())
    if parts[-2].high is not None and lowest_luck < AS_GOOD_AS_NOTHING:
        parts[-2] = _open_luck(parts[-2], sd_upper**2, float(bars.fixed[0]) + piece)
    yours = [group.yours for group in groups]
    together = _part("yours", bars, [*yours, False, False], confidence=confidence)
    return Shares(
        outcome=design.spec.outcome,
        parts=tuple(parts),
        yours=together,
        tenths=round(10.0 * together.share),
        tenths_low=None if together.low is None else round(10.0 * together.low),
        tenths_high=None if together.high is None else round(10.0 * together.high),
        confidence=confidence,
        firings=n_firings,
        fixed_variance=float(split.raw[0]),
        fixed_noise=float(split.noise[0]),
        firing_sd=fit.firing_sd,
        firing_sd_upper=sd_upper,
        luck_factor=float(factor[0]),
        piece_variance=piece,
        at_boundary=fit.at_boundary,
        status=fit.status,
    )


def _one(fit: MixedFit) -> ManyMixedFits:
    """Return the full fit as a replicate of its own."""
    first, last = len(fit.thresholds), len(fit.covariance) - 1
    return ManyMixedFits(
        slopes=fit.slopes[None],
        firing_sd=np.array([fit.firing_sd]),
        slope_covariance=fit.covariance[None, first:last, first:last],
        converged=np.array([fit.status is not FitStatus.FAILED]),
    )


def _stacked(first: ManyMixedFits, rest: ManyMixedFits) -> ManyMixedFits:
    return ManyMixedFits(
        slopes=np.concatenate([first.slopes, rest.slopes]),
        firing_sd=np.concatenate([first.firing_sd, rest.firing_sd]),
        slope_covariance=np.concatenate([first.slope_covariance, rest.slope_covariance]),
        converged=np.concatenate([first.converged, rest.converged]),
    )


def _parts(
    bars: Bars, groups: tuple[ColumnGroup, ...], shared: tuple[bool, ...], *, confidence: float
) -> list[SharePart]:
    """Return every part of the bar."""
    names = [group.name for group in groups] + ["firing_luck", "piece_luck"]
    places = np.eye(len(names), dtype=bool)
    overlaps = [*shared, False, False]
    return [
        _part(name, bars, list(places[j]), confidence=confidence, shared=overlaps[j])
        for j, name in enumerate(names)
    ]


def _part(
    name: str, bars: Bars, which: list[bool], *, confidence: float, shared: bool = False
) -> SharePart:
    """Return one part, or several taken together, with its interval."""
    picked = np.array(which)
    share, plain = bars.shares[:, picked].sum(axis=1), bars.plain[:, picked].sum(axis=1)
    low, high = share_limits(share, plain, confidence) if len(share) > 1 else (None, None)
    return SharePart(
        name=name,
        words=PART_WORDS[name],
        share=float(share[0]),
        low=low,
        high=high,
        size=size_words(float(share[0])),
        yours=name in {"settings_firing", "settings_piece", "glaze", "yours"},
        shared=shared,
    )


def _open_luck(part: SharePart, largest: float, rest: float) -> SharePart:
    """Return firing luck that may be nothing: from 0 to its upper limit."""
    high = 1.0 if np.isinf(largest) else largest / (largest + rest)
    return SharePart(
        name=part.name,
        words=part.words,
        share=part.share,
        low=0.0,
        high=max(high, part.share),
        size=part.size,
    )
