"""The part of study.json that says how settings run: best values, gains, bends, by glaze."""

from outcomes.effects.best_value import Optimum
from outcomes.effects.gain import Gain
from outcomes.effects.glaze_effects import GlazeEffect, GlazeEffects
from outcomes.effects.threshold import Threshold
from outcomes.study.record import OutcomeStudy


def build_shape_entries(study: OutcomeStudy) -> dict[str, object]:
    """Return optima, gains, thresholds and glaze differences of an outcome.

    Settings are in the codebook's base units, chances and changes in pieces per 100.
    """
    return {
        "optima": [_optimum(found) for found in study.optima],
        "gains": [_gain(found) for found in study.gains],
        "thresholds": [_threshold(found) for found in study.thresholds],
        "by_glaze": [_by_glaze(found) for found in study.by_glaze],
    }


def _optimum(found: Optimum) -> dict[str, object]:
    near = found.near
    return {
        "factor": found.factor,
        "kind": found.kind,
        "best": found.best,
        "low": found.low,
        "high": found.high,
        "tried_low": found.tried_low,
        "tried_high": found.tried_high,
        "confidence": found.confidence,
        "best_reach_per_100": 100 * near.best_reach,
        "near_low": near.low,
        "near_high": near.high,
        "near_sure_low": near.sure_low,
        "near_sure_high": near.sure_high,
        "near_possible_low": near.possible_low,
        "near_possible_high": near.possible_high,
        "sentence": found.sentence,
    }


def _gain(found: Gain) -> dict[str, object]:
    return {
        "factor": found.factor,
        "at": found.at,
        "low": found.low,
        "high": found.high,
        "levels_off": found.levels_off,
        "tried_low": found.tried_low,
        "tried_high": found.tried_high,
        "reach_low_per_100": 100 * found.reach_low,
        "reach_high_per_100": 100 * found.reach_high,
        "sentence": found.sentence,
    }


def _threshold(found: Threshold) -> dict[str, object]:
    return {
        "factor": found.factor,
        "found": found.found,
        "kind": found.kind,
        "at": found.at,
        "low": found.low,
        "high": found.high,
        "looked_low": found.looked_low,
        "looked_high": found.looked_high,
        "p_value": found.p_value,
        "sentence": found.reason,
    }


def _by_glaze(found: GlazeEffects) -> dict[str, object]:
    return {
        "factor": found.factor,
        "differs": found.differs,
        "omega": found.omega,
        "multiple": found.multiple,
        "chosen_by": found.chosen_by,
        "scores": [{"multiple": multiple, "score": score} for multiple, score in found.scores],
        "p_value": found.p_value,
        "effects": [_glaze(one) for one in found.effects],
        "sentence": found.sentence,
    }


def _glaze(one: GlazeEffect) -> dict[str, object]:
    limits = one.interval
    return {
        "glaze": one.glaze,
        "change_per_100": 100 * one.change,
        "low": None if limits is None else 100 * limits.low,
        "high": None if limits is None else 100 * limits.high,
        "confidence": None if limits is None else limits.confidence,
        "firings": one.firings,
        "pieces": one.pieces,
        "is_own": one.is_own,
    }
