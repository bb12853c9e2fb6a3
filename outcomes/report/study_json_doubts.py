"""The part of study.json that says how far an outcome is to be trusted, and how it divides."""

from outcomes.doubts.calibration import Calibration
from outcomes.doubts.grade_effects import GradeEffect
from outcomes.doubts.influence import Influence
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.doubts.skill import Skill, SkillValue
from outcomes.effects.decomposition import Decomposition
from outcomes.effects.shares import SharePart, Shares
from outcomes.study.record import OutcomeStudy


def build_trust_entries(study: OutcomeStudy) -> dict[str, object]:
    """Return shares, split, skill, influences, grade effects and second opinion of an outcome.

    Shares, skill and errors are 0..1; changes are in pieces per 100.
    """
    shares = study.shares
    numbers = shares if isinstance(shares, Shares) else None
    return {
        "shares": None if numbers is None else [_part(part) for part in numbers.parts],
        "shares_summary": None if numbers is None else _summary(numbers),
        "shares_why_not": shares if isinstance(shares, str) else None,
        "split": None if study.split is None else _split(study.split),
        "skill": None if study.skill is None else _skill(study.skill),
        "second_opinion": None
        if study.second_opinion is None
        else _second_opinion(study.second_opinion),
        "firing_names": find_firing_names(study),
        "influences": [_influence(one) for one in study.influences],
        "grade_effects": [_grade_effect(one) for one in study.grade_effects],
    }


def find_firing_names(study: OutcomeStudy) -> tuple[str, ...]:
    """Return the firings of an outcome in the order of its influences; () when not known."""
    return () if study.design is None else study.design.firing_names


def _part(part: SharePart) -> dict[str, object]:
    return {
        "name": part.name,
        "words": part.words,
        "share": part.share,
        "low": part.low,
        "high": part.high,
        "size": part.size,
        "yours": part.yours,
        "shared": part.shared,
    }


def _summary(shares: Shares) -> dict[str, object]:
    return {
        "yours": _part(shares.yours),
        "tenths": shares.tenths,
        "tenths_low": shares.tenths_low,
        "tenths_high": shares.tenths_high,
        "confidence": shares.confidence,
        "firings": shares.firings,
        "fixed_variance": shares.fixed_variance,
        "fixed_noise": shares.fixed_noise,
        "firing_sd": shares.firing_sd,
        "firing_sd_upper": shares.firing_sd_upper,
        "luck_factor": shares.luck_factor,
        "piece_variance": shares.piece_variance,
        "at_boundary": shares.at_boundary,
        "status": shares.status,
    }


def _split(split: Decomposition) -> dict[str, object]:
    return {
        "measure": split.measure,
        "total": split.total,
        "orders": split.orders,
        "confidence": split.confidence,
        "shares": [
            {
                "factor": one.factor,
                "role": one.role,
                "share": one.share,
                "relative": one.relative,
                "low": one.low,
                "high": one.high,
            }
            for one in split.shares
        ],
    }


def _value(value: SkillValue) -> dict[str, object]:
    return {"value": value.value, "low": value.low, "high": value.high, "word": value.word}


def _skill(skill: Skill) -> dict[str, object]:
    return {
        **_value(skill.overall),
        "beyond_glaze": _value(skill.beyond_glaze),
        "calibration": _calibration(skill.calibration),
        "strangers": skill.strangers,
        "one_by_one": skill.one_by_one,
        "confidence": skill.confidence,
        "scores": skill.scores,
        "usual": skill.usual,
        "usual_of_glaze": skill.usual_of_glaze,
    }


def _calibration(calibration: Calibration) -> dict[str, object]:
    limits = calibration.slope_interval
    return {
        "slope": calibration.slope,
        "slope_low": None if limits is None else limits.low,
        "slope_high": None if limits is None else limits.high,
        "in_the_large": calibration.in_the_large,
        "groups": [
            {
                "foretold": group.foretold,
                "seen": group.seen,
                "pieces": group.pieces,
                "firings": group.firings,
            }
            for group in calibration.groups
        ],
    }


def _second_opinion(opinion: SecondOpinion) -> dict[str, object]:
    return {
        **_value(opinion.gain),
        "beyond_usual": _value(opinion.beyond_usual),
        "model": opinion.model,
        "trees": opinion.trees,
    }


def _influence(one: Influence) -> dict[str, object]:
    return {
        "factor": one.factor,
        "change_per_100": 100 * one.change,
        "without_per_100": 100 * one.without,
        "errors_per_100": 100 * one.errors,
    }


def _grade_effect(one: GradeEffect) -> dict[str, object]:
    return {
        "factor": one.contrast.factor,
        "from": one.contrast.from_value,
        "to": one.contrast.to_value,
        "on_border": one.on_border,
        "f_value": one.f_value,
        "f_df": one.f_df,
        "p_value": one.p_value,
        "trend_p": one.trend_p,
        "cuts": [
            {
                "level": cut.level,
                "tied_per_100": 100 * cut.tied,
                "free_per_100": 100 * cut.free,
                "tied_error_per_100": 100 * cut.tied_error,
                "free_error_per_100": 100 * cut.free_error,
            }
            for cut in one.cuts
        ],
    }
