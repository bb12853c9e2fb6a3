"""What a contrast does to an outcome: the change, its intervals and what it rests on.

The printed interval, the 90 % interval and the p value come from one standard error with its
degrees of freedom, read from the firings' scores (`resampling.leverage`); reports/evidence
holds it beside the rules it was chosen from. Differences of probabilities are cut at -1 and 1.
The redraws' and the jackknife's intervals stand beside it as second opinions. A window's
candidates share one joint correction, see `contrasts`; its p value also asks the whole curve,
see `window_looks`.
"""

from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.effects.averages import mean_change_gradient, predict_mean_change
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
from outcomes.effects.support import count_arm_firings, far_share
from outcomes.effects.window_looks import effect_p, window_p
from outcomes.log.codebook import Codebook
from outcomes.model.fit import CumulativeFit, ManyFits
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import (
    effective_df,
    expanded_percentile,
    jackknife_error,
    jackknife_interval,
    two_sided_p,
)
from outcomes.resampling.joint import correlate, joint_confidence, joint_p
from outcomes.resampling.leverage import corrected_error, score_interval

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
        best = max(candidates, key=strength)
        shared = correlate([one.gradient for one in candidates], evidence.fit.covariance)
        effects.append(
            replace(
                _finish(evidence, best, shared, confidence=confidence),
                interval_90=_hull([_interval(one, CONFIDENCE_SMALL) for one in candidates]),
                p_value=_p_value(evidence, best, candidates, shared),
            )
        )
    return tuple(effects)


def _finish(evidence: Evidence, best: Measured, shared: FloatArray, *, confidence: float) -> Effect:
    """Return the effect of the candidate that is reported, without 90 % interval and p value.

    All its intervals are corrected for the candidates it was chosen from; ``shared`` is the
    correlation of their errors.
    """
    each = joint_confidence(shared, best.df or 1.0, confidence)
    mean_change, mean_interval = _mean_grade(evidence, best, each)
    resample, jack = _second_opinions(evidence, best, each)
    return replace(
        _point_effect(evidence, best, mean_change),
        interval=_named(_interval(best, each), confidence),
        resample_interval=_named(resample, confidence),
        jackknife_interval=_named(jack, confidence),
        standard_error=best.error,
        df=best.df,
        mean_grade_interval=_named(mean_interval, confidence),
    )


def _point_effect(evidence: Evidence, best: Measured, mean_change: float) -> Effect:
    """Return an effect's estimate and what it rests on."""
    design, contrast = evidence.design, best.contrast
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
        pieces_supported=int(best.supported.sum()),
        pieces=len(design.y),
        far_share=far_share(design, contrast, evidence.reach, supported=best.supported),
        firings_from=arms[0],
        firings_to=arms[1],
        firings=evidence.n_firings,
        pivot_firing=design.firing_names[pivot] if best.error is not None else "",
        pivot_change=float(best.without[pivot]) if best.error is not None else None,
        fragile=is_fragile(evidence, best),
    )


def _p_value(
    evidence: Evidence, best: Measured, candidates: list[Measured], shared: FloatArray
) -> float | None:
    """Return an effect's p value; a window's also asks the whole curve."""
    if best.error is None or best.df is None:
        return None
    if len(candidates) == 1 or best.error <= 0.0:
        return two_sided_p(best.change, best.error, best.df)
    own = joint_p(best.change / best.error, shared, best.df)
    return effect_p(own, window_p(evidence, candidates))


def _interval(measured: Measured, confidence: float) -> Interval | None:
    """Return a candidate's own interval; None under the floors."""
    if measured.error is None or measured.df is None:
        return None
    interval = score_interval(measured.change, measured.error, measured.df, confidence)
    return interval.cut(-1.0, 1.0)


def _second_opinions(
    evidence: Evidence, measured: Measured, confidence: float
) -> tuple[Interval | None, Interval | None]:
    """Return the redraws' and the jackknife's interval; None under the floors."""
    if measured.error is None:
        return None, None
    error = float(jackknife_error(measured.without))
    df = effective_df(evidence.n_firings, measured.effective)
    jack = jackknife_interval(measured.change, error, df, confidence).cut(-1.0, 1.0)
    draws = predict_changes(evidence, measured.moved, evidence.redraws)
    if len(draws) == 0:
        return None, jack
    return expanded_percentile(draws, evidence.n_firings, confidence), jack


def _named(interval: Interval | None, confidence: float) -> Interval | None:
    """Return an interval under the confidence it has after its correction."""
    return None if interval is None else replace(interval, confidence=confidence)


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
    """Return the change of the mean grade and its interval."""
    grades, parameters = evidence.design.grades, evidence.fit.parameters()
    change = float(
        predict_mean_change(measured.moved, parameters[None, :], grades=grades, link=evidence.link)[
            0
        ]
    )
    if measured.error is None:
        return change, None
    gradient = mean_change_gradient(measured.moved, parameters, grades=grades, link=evidence.link)
    error, df = corrected_error(gradient, evidence.pull)
    return change, score_interval(change, error, df, confidence)
