"""The firing-score standard error in place of the jackknife's, for the whole analysis."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from leverage import Pull, build_pull, corrected_error

from outcomes.effects.averages import build_moved, change_gradient
from outcomes.effects.change import CONFIDENCE_SMALL
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.support import find_supported
from outcomes.model.likelihood import Pieces, gradient_by_firing
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import jackknife_interval, two_sided_p


def correct_effects(effects: Iterable[Effect], evidence: Evidence) -> tuple[Effect, ...]:
    """Return the effects of one outcome with the corrected error, df, p value and intervals.

    The contrast reported of a window stays the one the jackknife chose.
    """
    pull = pull_of(evidence)
    return tuple(_correct(effect, evidence, pull) for effect in effects)


def pull_of(evidence: Evidence) -> Pull:
    """Return how much each firing pulls the fit of one outcome."""
    design = evidence.design
    pieces = Pieces(
        X=design.X, y=design.y, weights=np.ones(len(design.y)), n_grades=len(design.grades)
    )
    scores = gradient_by_firing(pieces, firing=design.firing, fit=evidence.fit)
    return build_pull(evidence.fit.covariance, evidence.information, scores)


def _correct(effect: Effect, evidence: Evidence, pull: Pull) -> Effect:
    """Return one effect, unchanged under the floors."""
    if effect.p_value is None:
        return effect
    error, df = _error_of(effect.contrast, evidence, pull)
    df = min(evidence.n_firings - 1.0, df)
    looks = effect.contrast.comparisons
    return replace(
        effect,
        standard_error=error,
        df=df,
        p_value=min(1.0, looks * two_sided_p(effect.change, error, df)),
        interval=_interval(effect, error, df, 1.0 - 0.05 / looks),
        interval_90=_interval(effect, error, df, CONFIDENCE_SMALL),
    )


def _error_of(contrast: Contrast, evidence: Evidence, pull: Pull) -> tuple[float, float]:
    design = evidence.design
    supported = find_supported(design, contrast, evidence.codebook)
    gradient = change_gradient(
        build_moved(design, contrast, supported),
        evidence.fit.parameters(),
        n_grades=evidence.n_grades,
        grade=design.aim,
        link=evidence.link,
    )
    return corrected_error(gradient, pull)


def _interval(effect: Effect, error: float, df: float, confidence: float) -> Interval:
    interval = jackknife_interval(effect.change, error, df, confidence)
    return replace(interval, low=max(-1.0, interval.low), high=min(1.0, interval.high))
