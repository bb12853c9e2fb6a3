"""What a contrast does to an outcome: the change, its intervals and what it rests on.

The printed interval follows method.md §2: the expanded percentile interval of the redraws,
unless its width differs by more than a quarter from the jackknife's or the effect rests on
fewer than half of the firings; then the jackknife's, with ``min(G-1, max(1, G_eff-1))``
degrees of freedom. Differences of probabilities are cut at -1 and 1. The p value is the
jackknife's. A window's candidates share one Bonferroni correction, see `contrasts`.
"""

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.effects.averages import predict_mean_change
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.effects.measured import (
    Measured,
    is_fragile,
    measure_contrast,
    predict_changes,
    strength,
)
from outcomes.effects.support import count_arm_firings, far_share, find_supported
from outcomes.log.codebook import Codebook
from outcomes.model.fit import CumulativeFit, ManyFits
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import (
    choose_interval,
    expanded_percentile,
    jackknife_error,
    jackknife_interval,
    two_sided_p,
)

CONFIDENCE_SMALL = 0.90  # two one-sided tests at 5 % (method.md §9)


def estimate_effects(
    design: Design,
    codebook: Codebook,
    *,
    fit: CumulativeFit,
    redraws: ManyFits,
    jackknife: ManyFits,
    confidence: float = 0.95,
) -> tuple[Effect, ...]:
    """Return one effect a factor, in the order of the design's terms.

    Parameters
    ----------
    design, codebook
        The outcome's analysis table and what its columns mean.
    fit, redraws, jackknife
        The fit, its B whole-firing redraws, and its G fits without one firing each.
    confidence
        Of the printed intervals.

    Returns
    -------
    tuple of Effect
        ``p_adjusted`` and ``verdict`` are None: `verdicts.judge_effects` gives them.
    """
    evidence = build_evidence(design, codebook, fit=fit, redraws=redraws, jackknife=jackknife)
    return estimate_contrasts(evidence, choose_contrasts(design, codebook), confidence=confidence)


def estimate_contrasts(
    evidence: Evidence, contrasts: Iterable[Contrast], *, confidence: float = 0.95
) -> tuple[Effect, ...]:
    """Return one effect for every run of contrasts of the same factor.

    Notes
    -----
    Of several candidates the one with the largest |t| is reported. ``interval_90`` then
    spans the 90 % intervals of all candidates: a window is too small to matter only if each
    of its contrasts is, and such a claim needs no correction (intersection-union,
    Berger 1982, doi:10.1080/00401706.1982.10487790).
    """
    effects: list[Effect] = []
    for _, same in groupby(contrasts, key=lambda contrast: contrast.factor):
        candidates = [measure_contrast(evidence, contrast) for contrast in same]
        draws = [predict_changes(evidence, one.moved, evidence.redraws) for one in candidates]
        best = max(range(len(candidates)), key=lambda i: strength(candidates[i]))
        effect = _finish(evidence, candidates[best], draws[best], confidence)
        spans = [
            _small_interval(evidence, candidate, its_draws)
            for candidate, its_draws in zip(candidates, draws, strict=True)
        ]
        effects.append(replace(effect, interval_90=_hull(spans)))
    return tuple(effects)


def _finish(evidence: Evidence, best: Measured, draws: FloatArray, confidence: float) -> Effect:
    """Return the effect of the candidate that is reported, without its 90 % interval."""
    resample, jack = _both_intervals(evidence, best, draws, confidence)
    mean_change, mean_interval = _mean_grade(evidence, best, confidence)
    interval = None
    if resample is not None and jack is not None:
        interval = choose_interval(
            resample, jack, n_firings=evidence.n_firings, effective_firings=best.effective
        )
    return replace(
        _point_effect(evidence, best, mean_change),
        interval=interval,
        resample_interval=resample,
        jackknife_interval=jack,
        p_value=_p_value(best),
        standard_error=best.error,
        df=best.df,
        mean_grade_interval=mean_interval,
    )


def _point_effect(evidence: Evidence, best: Measured, mean_change: float) -> Effect:
    """Return an effect's estimate and what it rests on."""
    design, contrast = evidence.design, best.contrast
    supported = find_supported(design, contrast, evidence.codebook)
    arms = count_arm_firings(design, contrast)
    pivot = int(np.argmax(np.abs(best.without - best.change)))
    return Effect(
        outcome=design.spec.outcome,
        contrast=contrast,
        rate_from=best.rate_from,
        rate_to=best.rate_to,
        change=best.change,
        mean_grade_change=mean_change,
        log_odds=float(evidence.fit.slopes @ best.moved.shift),
        effective_firings=best.effective,
        pieces_supported=best.pieces,
        pieces=len(design.y),
        far_share=far_share(design, contrast, evidence.reach, supported=supported),
        firings_from=arms[0],
        firings_to=arms[1],
        firings=evidence.n_firings,
        pivot_firing=design.firing_names[pivot] if best.error is not None else "",
        pivot_change=float(best.without[pivot]) if best.error is not None else None,
        fragile=is_fragile(evidence, best),
    )


def _p_value(measured: Measured) -> float | None:
    if measured.error is None or measured.df is None:
        return None
    p = two_sided_p(measured.change, measured.error, measured.df)
    return min(1.0, p * measured.contrast.comparisons)


def _both_intervals(
    evidence: Evidence, measured: Measured, draws: FloatArray, confidence: float
) -> tuple[Interval | None, Interval | None]:
    """Return the resample and the jackknife interval, corrected for the candidates."""
    if measured.error is None or measured.df is None or len(draws) == 0:
        return None, None
    each = 1.0 - (1.0 - confidence) / measured.contrast.comparisons
    resample = expanded_percentile(draws, evidence.n_firings, each)
    jack = _jackknife(measured.change, measured.error, measured.df, each)
    return (
        replace(resample, confidence=confidence),
        replace(jack, confidence=confidence),
    )


def _small_interval(evidence: Evidence, measured: Measured, draws: FloatArray) -> Interval | None:
    """Return a candidate's own 90 % interval, by the rule of the printed one."""
    if measured.error is None or measured.df is None or len(draws) == 0:
        return None
    return choose_interval(
        expanded_percentile(draws, evidence.n_firings, CONFIDENCE_SMALL),
        _jackknife(measured.change, measured.error, measured.df, CONFIDENCE_SMALL),
        n_firings=evidence.n_firings,
        effective_firings=measured.effective,
    )


def _jackknife(change: float, error: float, df: float, confidence: float) -> Interval:
    """Return the jackknife interval of a difference of probabilities, cut at -1 and 1."""
    interval = jackknife_interval(change, error, df, confidence)
    return replace(interval, low=max(-1.0, interval.low), high=min(1.0, interval.high))


def _hull(intervals: list[Interval | None]) -> Interval | None:
    """Return the interval that spans several; None if one is missing."""
    known = [interval for interval in intervals if interval is not None]
    if len(known) < len(intervals) or not known:
        return None
    widest = max(known, key=lambda interval: interval.width())
    return replace(widest, low=min(one.low for one in known), high=max(one.high for one in known))


def _mean_grade(
    evidence: Evidence, measured: Measured, confidence: float
) -> tuple[float, Interval | None]:
    """Return the change of the mean grade and its jackknife interval."""
    parameters = np.vstack([evidence.fit.parameters(), evidence.without])
    values = predict_mean_change(
        measured.moved, parameters, grades=evidence.design.grades, link=evidence.link
    )
    if measured.error is None or measured.df is None:
        return float(values[0]), None
    each = 1.0 - (1.0 - confidence) / measured.contrast.comparisons
    error = float(jackknife_error(values[1:]))
    interval = jackknife_interval(float(values[0]), error, measured.df, each)
    return float(values[0]), replace(interval, confidence=confidence)
