"""The part of study.json for the researcher: odds, robust errors, tests, computed quantities."""

import math

from outcomes.doubts.explanations import Explanation
from outcomes.doubts.imputed_effects import ImputedEffect, ImputedStudy
from outcomes.doubts.parallel_tests import ChiSquare
from outcomes.doubts.skill import SkillValue
from outcomes.effects.effect import Effect
from outcomes.effects.odds import LogOdds
from outcomes.log.computed import COMPUTED_NOTE
from outcomes.log.derived import Derived, describe_computed
from outcomes.report.parameters import name_columns, name_parameters
from outcomes.report.slopes import slope_p, standard_errors
from outcomes.resampling.intervals import jackknife_interval
from outcomes.study.record import OutcomeStudy, Study


def build_research_entries(study: OutcomeStudy, confidence: float) -> dict[str, object]:
    """Return what an outcome's numbers rest on; empty lists and null where not computed.

    Errors and limits of thresholds, slopes and log-odds are on the scale of the link; shares,
    skills and p values 0..1.
    """
    parallel = study.parallel
    return {
        "odds": _odds(study),
        "parameters": build_parameters(study, confidence),
        "collinearity": build_collinearity(study),
        "overlap": []
        if study.overlap is None
        else [
            {"factor": one.factor, "explained": one.explained, "adjusted": one.adjusted}
            for one in study.overlap.factors
        ],
        "condition_indexes": () if study.overlap is None else study.overlap.condition_indexes,
        "parallel_tests": [] if parallel is None else build_parallel(study),
        "parallel_separated": None if parallel is None else parallel.separated,
        "imputed": None if study.imputed is None else _imputed(study.imputed),
        "blanks": [
            {"column": b.column, "blank": b.blank, "pieces": b.pieces, "firings": b.firings}
            for b in study.blanks
        ],
        "habit_changes": [
            {
                "factor": one.factor,
                "changes": one.changes,
                "after_bad": one.after_bad,
                "correlation": one.correlation,
                "p_value": one.p_value,
            }
            for one in study.habit_changes
        ],
        "explanations": [build_explanation(one) for one in study.explanations],
    }


def build_computed(study: Study) -> list[dict[str, object]]:
    """Return the computed quantities of a log; their values a piece stand in computed.csv."""
    return [_computed(study, made) for made in study.computed]


def _computed(study: Study, made: Derived) -> dict[str, object]:
    factor, column = made.quantity.factor, made.column
    return {
        "name": factor.name,
        "label": factor.label,
        "unit": factor.unit,
        "note": COMPUTED_NOTE,
        "pieces": sum(math.isfinite(value) for value in column.values.tolist()),
        "pieces_assumed": int(column.assumed.sum()),
        "message": describe_computed(study.log, made).message,
    }


def _odds(study: OutcomeStudy) -> list[dict[str, object]]:
    pairs = zip(study.effects, study.log_odds, strict=False)
    return [build_odds(effect, one) for effect, one in pairs]


def build_odds(effect: Effect, one: LogOdds) -> dict[str, object]:
    """Return an effect on the scales of log-odds and of mean grade."""
    limits, mean = one.interval, effect.mean_grade_interval
    return {
        "factor": one.factor,
        "log_odds": one.value,
        "standard_error": one.error,
        "df": one.df,
        "low": None if limits is None else limits.low,
        "high": None if limits is None else limits.high,
        "odds_ratio": one.ratio,
        "odds_low": None if limits is None else _exp(limits.low),
        "odds_high": None if limits is None else _exp(limits.high),
        "interval_method": None if limits is None else limits.method,
        "mean_grade_change": effect.mean_grade_change,
        "mean_grade_low": None if mean is None else mean.low,
        "mean_grade_high": None if mean is None else mean.high,
    }


def build_parameters(study: OutcomeStudy, confidence: float) -> list[dict[str, object]]:
    """Return thresholds and slopes with their three standard errors, interval and p value."""
    if study.fit is None:
        return []
    n_thresholds = len(study.fit.thresholds)
    errors = standard_errors(study)
    rows: list[dict[str, object]] = []
    for slot, (name, value) in enumerate(
        zip(name_parameters(study), study.fit.parameters().tolist(), strict=True)
    ):
        robust = errors.jackknife[slot] if errors.jackknife is not None else None
        limits = (
            None if robust is None else jackknife_interval(value, robust, errors.df, confidence)
        )
        rows.append(
            {
                "name": name,
                "kind": "threshold" if slot < n_thresholds else "slope",
                "value": value,
                "model_error": errors.model[slot],
                "sandwich_error": None if errors.sandwich is None else errors.sandwich[slot],
                "jackknife_error": robust,
                "df": errors.df or None,
                "low": None if limits is None else limits.low,
                "high": None if limits is None else limits.high,
                "p_value": slope_p(value, robust, errors.df) if slot >= n_thresholds else None,
            }
        )
    return rows


def build_collinearity(study: OutcomeStudy) -> list[dict[str, object]]:
    """Return the variance inflation factor of every column; null where it is repeated exactly."""
    if study.overlap is None or study.fit is None:
        return []
    pairs = zip(name_columns(study), study.overlap.inflation, strict=True)
    return [{"column": name, "inflation": inflation} for name, inflation in pairs]


def build_parallel(study: OutcomeStudy) -> list[dict[str, object]]:
    """Return the published tests of proportional odds: all slopes together, then each factor."""
    parallel = study.parallel
    if parallel is None or parallel.separated:
        return []
    found = [("", "score", parallel.score), ("", "Brant", parallel.brant)]
    for one in parallel.factors:
        found.append((one.factor, "likelihood ratio", one.likelihood_ratio))
        if parallel.brant is not None:
            found.append((one.factor, "Brant", one.brant))
    return [
        {"factor": factor or None, "test": test, **_chi_square(result)}
        for factor, test, result in found
    ]


def _chi_square(result: ChiSquare | None) -> dict[str, object]:
    if result is None:
        return {"statistic": None, "df": None, "rank": None, "p_value": None}
    return {
        "statistic": result.value,
        "df": result.df,
        "rank": result.rank,
        "p_value": result.honest_p,
    }


def _imputed(study: ImputedStudy) -> dict[str, object]:
    return {
        "pieces": study.pieces,
        "complete": study.complete,
        "imputations": study.imputations,
        "effects": [build_imputed(one) for one in study.effects],
    }


def build_imputed(one: ImputedEffect) -> dict[str, object]:
    """Return an effect from complete pieces and with blanks filled in, in pieces per 100."""
    return {
        "factor": one.contrast.factor,
        "complete_per_100": 100 * one.complete,
        "complete_error_per_100": 100 * one.complete_error,
        "pooled_per_100": 100 * one.pooled.value,
        "pooled_error_per_100": 100 * one.pooled.error,
        "gap_error_per_100": 100 * one.gap_error,
        "gap_df": one.gap_df,
    }


def build_explanation(one: Explanation) -> dict[str, object]:
    """Return a computed quantity against what it is computed from; null without a comparison."""
    return {
        "quantity": one.quantity,
        "label": one.label,
        "replaced": one.replaced,
        "sentence": one.sentence,
        "pieces": one.pieces,
        "firings": one.firings,
        "columns_logged": one.columns_logged,
        "columns_computed": one.columns_computed,
        "also_differ": one.also_differ,
        "skill_logged": _skill(one.logged),
        "skill_computed": _skill(one.computed),
        "difference": _skill(one.difference),
        "gain": _skill(one.gain),
    }


def _skill(value: SkillValue | None) -> dict[str, float] | None:
    return None if value is None else {"value": value.value, "low": value.low, "high": value.high}


def _exp(value: float) -> float:
    """Return e to a power; infinity where a float cannot hold it."""
    return math.exp(value) if value < math.log(1e300) else math.inf
