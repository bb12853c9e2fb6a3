"""A study as one JSON document: the face other programs build on.

The format is ``outcomes-study/1``; its schema ships as ``study.schema.json``. Within a format
number only additions are made. Numbers are finite, rounded to seven significant digits and ten
decimals (beyond what any interval carries, and the same on every machine); what is not known is
null.
"""

import json
import math
from collections.abc import Mapping, Sequence
from importlib import resources
from typing import TypeAlias

import numpy as np

from outcomes.effects.effect import Curve, Effect, RankedFactor
from outcomes.finding import Finding
from outcomes.report.parameters import find_grades, name_columns
from outcomes.report.study_json_doubts import build_trust_entries
from outcomes.report.study_json_log import build_account, build_log_entries
from outcomes.report.study_json_research import build_computed, build_research_entries
from outcomes.report.study_json_shapes import build_shape_entries
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import expanded_percentile
from outcomes.study.record import NotLearnt, OutcomeStudy, Study, Tangle

Json: TypeAlias = None | bool | int | float | str | list["Json"] | dict[str, "Json"]

FORMAT = "outcomes-study/1"
# Beyond them processors differ, and no interval is that sharp.
DIGITS, DECIMALS = 7, 10
ROUNDING = 1e-8  # a gradient below it is rounding


def build_study_json(study: Study) -> dict[str, Json]:
    """Return the study as plain lists, dictionaries, texts and finite numbers.

    Row numbers are those of the maker's own sheet, its header standing in row 1.
    """
    options = study.options
    document: dict[str, object] = {
        "format": FORMAT,
        "version": study.version,
        "seed": options.seed,
        "resamples": options.resamples,
        "confidence": options.confidence,
        "false_discovery": options.false_discovery,
        "codebook": study.log.codebook.title,
        "cluster": study.cluster,
        "firings": study.firings,
        **build_log_entries(study.log),
        "account": build_account(study.log.account),
        "findings": [_finding(f) for f in study.findings],
        "computed": build_computed(study),
        "outcomes": [_outcome(outcome, options.confidence) for outcome in study.outcomes],
    }
    return {name: _plain(item) for name, item in document.items()}


def render_study_json(study: Study) -> str:
    """Return the document as text: indented, keys in a fixed order, ending in a line feed."""
    document = build_study_json(study)
    return json.dumps(document, allow_nan=False, ensure_ascii=False, indent=1) + "\n"


def read_schema() -> dict[str, Json]:
    """Return the JSON Schema that every study.json obeys."""
    file = resources.files("outcomes.report").joinpath("study.schema.json")
    schema: dict[str, Json] = json.loads(file.read_text(encoding="utf-8"))
    return schema


def round_number(value: float) -> float | None:
    """Return the number to seven significant digits; None for what is not finite.

    What is below ten decimals is what is left of a difference of equal numbers, and becomes 0.

    >>> round_number(0.12345678901234), round_number(float("nan")), round_number(1e-17)
    (0.1234568, None, 0.0)
    """
    if not math.isfinite(value):
        return None
    return float(f"{round(value, DECIMALS):.{DIGITS}g}") + 0.0  # + 0.0 turns -0.0 into 0.0


def bound_gradient(gradient: float) -> float:
    """Return a gradient, or 1e-8 for any smaller one: these differ between processors.

    >>> bound_gradient(3e-12), bound_gradient(2e-5)
    (1e-08, 2e-05)
    """
    return max(gradient, ROUNDING)


def _plain(item: object) -> Json:
    """Return an item with every number finite and rounded, every sequence a list."""
    if item is None or isinstance(item, bool | str):
        return str(item) if isinstance(item, str) else item
    if isinstance(item, int | np.integer):
        return int(item)
    if isinstance(item, float | np.floating):
        return round_number(float(item))
    if isinstance(item, Mapping):
        return {str(name): _plain(part) for name, part in item.items()}
    if isinstance(item, np.ndarray):
        return [_plain(part) for part in item.tolist()]
    if isinstance(item, Sequence):
        return [_plain(part) for part in item]
    raise TypeError(f"{type(item).__name__} has no place in study.json")


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "advice": finding.advice,
        "column": finding.column,
        "file": finding.file,
        "rows": finding.rows,
    }


def _outcome(study: OutcomeStudy, confidence: float) -> dict[str, object]:
    outcome = study.outcome
    ranks = {ranked.factor: ranked for ranked in study.ranking}
    return {
        "name": outcome.name,
        "label": outcome.label,
        "levels": [{"name": level.name, "wording": level.wording} for level in outcome.levels],
        "aim": outcome.aim,
        "wanted": outcome.wanted,
        "smallest_difference": outcome.smallest_difference,
        "usable": study.usable,
        "why_not": study.why_not or None,
        "pieces": study.pieces,
        "firings": study.firings,
        "grade_counts": study.grade_counts,
        "left_out": [{"reason": reason, "pieces": n} for reason, n in study.left_out],
        "fit": _fit(study, confidence),
        "effects": [_effect(e, ranks.get(e.contrast.factor)) for e in study.effects],
        "curves": [_curve(curve) for curve in study.curves],
        "tangles": [_tangle(tangle) for tangle in study.tangles],
        "not_learnt": [_not_learnt(item) for item in study.not_learnt],
        "findings": [_finding(finding) for finding in study.findings],
        "unusual_replicates": study.unusual_replicates,
        **build_trust_entries(study),
        **build_shape_entries(study),
        **build_research_entries(study, confidence),
    }


def _fit(study: OutcomeStudy, confidence: float) -> dict[str, object] | None:
    fit = study.fit
    if fit is None:
        return None
    return {
        "link": fit.options.link,
        "penalty": fit.options.penalty,
        "strength": fit.options.strength,
        "grades": find_grades(study),
        "thresholds": fit.thresholds,
        "slopes": _slopes(study, confidence),
        "log_likelihood": fit.log_likelihood,
        "penalised_log_likelihood": fit.penalised_log_likelihood,
        "largest_gradient": bound_gradient(fit.largest_gradient),
        "condition_number": fit.condition_number,
        "iterations": fit.iterations,
        "status": fit.status,
    }


def _slopes(study: OutcomeStudy, confidence: float) -> list[dict[str, object]]:
    """Return one entry a column, with the interval of its redraws (null without redraws)."""
    assert study.fit is not None  # noqa: S101
    first = len(study.fit.thresholds)
    entries: list[dict[str, object]] = []
    for slot, slope in enumerate(study.fit.slopes):
        low, high = _slope_limits(study, slot=first + slot, confidence=confidence)
        term = name_columns(study)[slot]
        entries.append({"term": term, "value": slope, "low": low, "high": high})
    return entries


def _slope_limits(
    study: OutcomeStudy, *, slot: int, confidence: float
) -> tuple[float | None, float | None]:
    if study.redraws is None or all(effect.interval is None for effect in study.effects):
        return None, None
    limits = expanded_percentile(study.redraws.values[:, slot], study.firings, confidence)
    return limits.low, limits.high


def _effect(effect: Effect, ranked: RankedFactor | None) -> dict[str, object]:
    contrast, verdict = effect.contrast, effect.verdict
    return {
        "factor": contrast.factor,
        "role": contrast.role,
        "from": contrast.from_value,
        "to": contrast.to_value,
        "unit": contrast.unit,
        "chosen": contrast.chosen,
        "comparisons": contrast.comparisons,
        "rate_from_per_100": 100 * effect.rate_from,
        "rate_to_per_100": 100 * effect.rate_to,
        "change_per_100": 100 * effect.change,
        **_limits(effect.interval, ""),
        **_limits(effect.interval_90, "_90"),
        **_limits(effect.resample_interval, "_resample"),
        **_limits(effect.jackknife_interval, "_jackknife"),
        "interval_method": None if effect.interval is None else effect.interval.method,
        "standard_error_per_100": _times_100(effect.standard_error),
        "df": effect.df,
        "p_value": effect.p_value,
        "p_adjusted": effect.p_adjusted,
        "effective_firings": effect.effective_firings,
        "firings": effect.firings,
        "pivot_firing": effect.pivot_firing or None,
        "pivot_change_per_100": _times_100(effect.pivot_change),
        "fragile": effect.fragile,
        "mean_grade_change": effect.mean_grade_change,
        "log_odds": effect.log_odds,
        "pieces": effect.pieces,
        "pieces_supported": effect.pieces_supported,
        "far_share": effect.far_share,
        "firings_from": effect.firings_from,
        "firings_to": effect.firings_to,
        "verdict": None if verdict is None else verdict.word,
        "verdict_reason": None if verdict is None else verdict.reason,
        "tangled_with": () if verdict is None else verdict.tangled_with,
        "further_firings": None if verdict is None else verdict.further_firings,
        "rank": None if ranked is None else ranked.rank,
        "rank_low": None if ranked is None else ranked.rank_low,
        "rank_high": None if ranked is None else ranked.rank_high,
        "share_first": None if ranked is None else ranked.share_first,
    }


def _limits(interval: Interval | None, name: str) -> dict[str, float | None]:
    """Return the two limits in pieces per 100."""
    return {
        f"low{name}": None if interval is None else 100 * interval.low,
        f"high{name}": None if interval is None else 100 * interval.high,
    }


def _times_100(value: float | None) -> float | None:
    return None if value is None else 100 * value


def _curve(curve: Curve) -> dict[str, object]:
    return {
        "factor": curve.factor,
        "glaze": curve.glaze or None,
        "at": curve.at,
        "chance": curve.chance,
        "reach": curve.reach,
        "reach_low": curve.reach_low,
        "reach_high": curve.reach_high,
    }


def _tangle(tangle: Tangle) -> dict[str, object]:
    return {
        "factor": tangle.factor,
        "with": tangle.with_factors,
        "explained": tangle.explained,
        "deviance_change": tangle.deviance_change,
        "alone_per_100": _times_100(tangle.alone),
        "twin_alone_per_100": _times_100(tangle.twin_alone),
        "joint_per_100": _times_100(tangle.joint),
    }


def _not_learnt(item: NotLearnt) -> dict[str, object]:
    return {
        "factor": item.factor,
        "role": item.role,
        "code": item.code,
        "reason": item.reason,
        "verdict": None if item.verdict is None else item.verdict.word,
    }
