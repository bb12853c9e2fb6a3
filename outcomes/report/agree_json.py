"""The agreement as one JSON document, every number finite and to seven significant digits."""

import json
from dataclasses import asdict

from outcomes.graders.agreement import Agreement, OutcomeAgreement
from outcomes.graders.changes import Drift, Halo
from outcomes.graders.measured import Measured
from outcomes.graders.pairs import PairAgreement
from outcomes.graders.shifts import shrinkage_factor
from outcomes.graders.told import find_limit
from outcomes.report.study_json import round_number
from outcomes.report.study_json_log import build_account, list_cells_aside

FORMAT = "outcomes-agreement/1"


def render_agreement_json(agreement: Agreement) -> str:
    """Return the document as text, ended by a line feed."""
    return json.dumps(agreement_document(agreement), indent=1, allow_nan=False) + "\n"


def agreement_document(agreement: Agreement) -> dict[str, object]:
    """Return the agreement as plain values; what cannot be assessed is null."""
    gradings = agreement.gradings
    return {
        "format": FORMAT,
        "version": agreement.version,
        "confidence": agreement.confidence,
        "account": build_account(gradings.account),
        "files": [
            {"name": file.name, "sha256": file.sha256, "graders_from": how}
            for file, how in zip(gradings.files, gradings.how, strict=True)
        ],
        "cells_set_aside": list_cells_aside(gradings.unusable),
        "findings": [
            {"code": f.code, "severity": str(f.severity), "message": f.message, "advice": f.advice}
            for f in gradings.findings
        ],
        "blind": agreement.blind,
        "not_compared": list(agreement.not_compared),
        "largest_p_told": round_number(find_limit(agreement)),
        "outcomes": [_outcome(compared) for compared in agreement.outcomes],
    }


def measured_entry(measured: Measured) -> dict[str, object]:
    """Return a number with its interval, or why it has none."""
    interval = measured.interval
    return {
        "value": round_number(measured.value),
        "low": None if interval is None else round_number(interval.low),
        "high": None if interval is None else round_number(interval.high),
        "method": None if interval is None else interval.method,
        "left_out": measured.clusters,
        "no_interval": str(measured.why_none) or None,
    }


def difference_entry(measured: Measured) -> dict[str, object]:
    """Return a difference with its two-sided probability, not adjusted."""
    return {**measured_entry(measured), "p_value": round_number(measured.p)}


def _outcome(compared: OutcomeAgreement) -> dict[str, object]:
    ratings, shifts = compared.ratings, compared.shifts
    rho = shifts.reliability
    return {
        "name": ratings.outcome.name,
        "levels": [level.name for level in ratings.outcome.levels],
        "graders": list(ratings.graders),
        "pieces": compared.pieces,
        "leaves_out": "firings" if ratings.by_firing else "pieces",
        "one_grader": compared.one_grader,
        "word": str(compared.band),
        "alpha": measured_entry(compared.alpha),
        "exact": measured_entry(compared.exact),
        "within_one": measured_entry(compared.near),
        "pairs": [_pair(pair) for pair in compared.pairs],
        "steps": [
            {
                "from": ratings.outcome.levels[boundary.upper - 1].name,
                "to": ratings.outcome.levels[boundary.upper].name,
                "split": measured_entry(boundary.split),
                "pairs": boundary.pairs,
            }
            for boundary in compared.boundaries
        ],
        "offsets": [
            {
                "grader": offset.grader,
                "pieces": offset.pieces,
                "grades": difference_entry(offset.difference),
                "log_odds": None if shifts.shifts is None else measured_entry(shifts.shifts[place]),
            }
            for place, offset in enumerate(compared.offsets)
        ],
        "drifts": [_drift(drift) for drift in compared.drifts],
        "halos": [_halo(halo) for halo in compared.halos],
        "reliability": measured_entry(rho),
        "rule_of_thumb_factor": round_number(shrinkage_factor(rho.value)),
        "intraclass_correlations": None
        if compared.correlations is None
        else {k: round_number(v) for k, v in asdict(compared.correlations).items()},
    }


def _pair(pair: PairAgreement) -> dict[str, object]:
    return {
        "one": pair.one,
        "other": pair.other,
        "pieces": pair.pieces,
        "counts": [[int(count) for count in row] for row in pair.counts],
        "exact": measured_entry(pair.exact),
        "within_one": measured_entry(pair.near),
        "kappa_quadratic": measured_entry(pair.quadratic),
        "kappa_linear": measured_entry(pair.linear),
    }


def _drift(drift: Drift) -> dict[str, object]:
    return {
        "grader": drift.grader,
        "pieces": drift.pieces,
        "days": round_number(drift.days),
        "grades_over_days": difference_entry(drift.change),
    }


def _halo(halo: Halo) -> dict[str, object]:
    return {
        "grader": halo.grader,
        "pieces": halo.pieces,
        "known_less_blind": difference_entry(halo.difference),
        "days_between": None if halo.days is None else round_number(halo.days),
    }
