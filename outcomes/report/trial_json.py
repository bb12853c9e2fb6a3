"""A tested plan as one JSON document: ``outcomes-test/1``, numbers finite and rounded."""

import json
from collections.abc import Mapping, Sequence

from outcomes.finding import Finding
from outcomes.planning.plan import Plan
from outcomes.planning.trial import Answered, Equivalence, Trial
from outcomes.report.study_json import Json, round_number
from outcomes.report.study_json_log import build_account
from outcomes.resampling.interval import Interval

FORMAT = "outcomes-test/1"


def build_trial_json(trial: Trial) -> dict[str, Json]:
    """Return a trial as plain lists, dictionaries, texts and finite numbers.

    Changes are shares of pieces (-1..1); settings are in the codebook's base units.
    """
    document: dict[str, object] = {
        "format": FORMAT,
        "version": trial.version,
        "plan": _plan(trial.plan),
        "seal": str(trial.seal),
        "files": [{"name": file.name, "sha256": file.sha256} for file in trial.log.files],
        "account": build_account(trial.log.account),
        "pieces": trial.pieces,
        "firings": trial.firings,
        "resamples": trial.options.resamples,
        "exact_up_to": trial.options.exact_up_to,
        "drawn": trial.options.drawn,
        "answers": [_answer(answered) for answered in trial.answers],
        "deviations": [_finding(finding) for finding in trial.deviations],
    }
    return {name: _finite(item) for name, item in document.items()}


def render_trial_json(trial: Trial) -> str:
    """Return the document as text: indented, keys in a fixed order, ending in a line feed."""
    document = build_trial_json(trial)
    return json.dumps(document, allow_nan=False, ensure_ascii=False, indent=1) + "\n"


def _plan(plan: Plan) -> dict[str, object]:
    return {
        "title": plan.title,
        "declared_on": plan.declared_on.isoformat(),
        "counts_from": plan.counts_from.isoformat(),
        "level": plan.level,
        "firings": plan.firings,
        "pieces": plan.pieces,
        "randomised": plan.randomised,
        "adjust_for": plan.adjust_for,
        "blocks": dict(plan.blocks),
        "stopping": plan.stopping,
        "seed": plan.seed,
        "sha256": plan.seal,
        "factors": [
            {
                "name": factor.name,
                "values": factor.values,
                "assigned_to": str(factor.assigned_to),
                "blocks": factor.blocks,
            }
            for factor in plan.factors
        ],
    }


def _answer(answered: Answered) -> dict[str, object]:
    tested = answered.tested
    hypothesis, effect, found = tested.hypothesis, tested.effect, tested.permutation
    return {
        "name": hypothesis.name,
        "answer": str(answered.answer),
        "outcome": hypothesis.outcome,
        "factor": hypothesis.factor,
        "from": hypothesis.from_value,
        "to": hypothesis.to_value,
        "claim": str(hypothesis.claim),
        "direction": str(hypothesis.direction),
        "margin": hypothesis.margin,
        "margin_grade": hypothesis.margin_grade,
        "unit": str(tested.unit),
        "pieces_from": tested.pieces_from,
        "pieces_to": tested.pieces_to,
        "firings": tested.firings,
        "grades_from": tested.counts_from,
        "grades_to": tested.counts_to,
        "strata": tested.strata,
        "idle_strata": tested.idle_strata,
        "rate_from": None if effect is None else effect.rate_from,
        "rate_to": None if effect is None else effect.rate_to,
        "change": None if effect is None else effect.change,
        "interval": None if effect is None else _interval(effect.interval),
        "mean_grade_change": None if effect is None else effect.mean_grade_change,
        "mean_grade_interval": None if effect is None else _interval(effect.mean_grade_interval),
        "log_odds": None if effect is None else effect.log_odds,
        "standard_error": None if effect is None else effect.standard_error,
        "df": None if effect is None else effect.df,
        "pulled_toward_none": tested.pulled,
        "why_no_effect": tested.why_no_effect or None,
        "equivalence": _equivalence(tested.equivalence),
        "permuted": str(tested.statistic),
        "statistic": found.statistic,
        "arrangements": str(found.arrangements),
        "drawn": found.drawn,
        "p_either": found.p_either,
        "p_more": found.p_more,
        "p_fewer": found.p_fewer,
        "smallest_p": tested.smallest_p,
        "p": answered.p_value,
        "p_error": found.error(answered.p_value),
        "p_holm": answered.p_adjusted,
        "p_against_holm": answered.p_against,
        "p_equivalent_holm": answered.p_equivalent,
        "left_out": [{"reason": why, "pieces": number} for why, number in tested.left_out],
    }


def _interval(interval: Interval | None) -> dict[str, object] | None:
    if interval is None:
        return None
    return {
        "low": interval.low,
        "high": interval.high,
        "confidence": interval.confidence,
        "method": interval.method,
    }


def _equivalence(found: Equivalence | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {
        "interval": _interval(found.interval),
        "interval_grade": _interval(found.interval_grade),
        "p_inside": found.p_inside,
        "p_outside": found.p_outside,
    }


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "advice": finding.advice,
        "column": finding.column,
        "rows": finding.rows,
    }


def _finite(item: object) -> Json:
    """Return an item with every number finite and rounded, every sequence a list."""
    if item is None or isinstance(item, bool | str | int):
        return item
    if isinstance(item, float):
        return round_number(item)
    if isinstance(item, Mapping):
        return {str(name): _finite(part) for name, part in item.items()}
    if isinstance(item, Sequence):
        return [_finite(part) for part in item]
    raise TypeError(f"{type(item).__name__} has no place in test.json")
