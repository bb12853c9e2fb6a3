"""Everything a tested plan leaves in its folder, as names and bytes."""

import pandas as pd

from outcomes.planning.trial import Answered, Trial
from outcomes.report.html import render_page
from outcomes.report.tables import neutralise_table, render_csv
from outcomes.report.trial_document import build_trial_document
from outcomes.report.trial_json import render_trial_json

PAGE = "test.html"


def build_trial_results(trial: Trial, *, plan_file: str = "") -> dict[str, bytes]:
    """Return the page, test.json and the tables, by file name."""
    files = {
        PAGE: render_page(build_trial_document(trial, plan_file=plan_file)),
        "test.json": render_trial_json(trial),
    }
    for name, table in build_trial_tables(trial).items():
        files[f"tables/{name}.csv"] = render_csv(neutralise_table(table))
    return {name: text.encode("utf-8") for name, text in files.items()}


def build_trial_tables(trial: Trial) -> dict[str, pd.DataFrame]:
    """Return the tables by file name stem; changes in pieces per 100."""
    return {
        "answers": pd.DataFrame([_answer(answered) for answered in trial.answers]),
        "deviations": pd.DataFrame(
            [
                {
                    "code": finding.code,
                    "severity": str(finding.severity),
                    "rows": " ".join(str(row) for row in finding.rows),
                    "message": finding.message,
                    "advice": finding.advice,
                }
                for finding in trial.deviations
            ],
            columns=["code", "severity", "rows", "message", "advice"],
        ),
        "grades": pd.DataFrame(
            [row for answered in trial.answers for row in _grades(answered, trial)]
        ),
    }


def _answer(answered: Answered) -> dict[str, object]:
    tested = answered.tested
    hypothesis, effect, equivalence = tested.hypothesis, tested.effect, tested.equivalence
    interval = None if effect is None else effect.interval
    grade = None if effect is None else effect.mean_grade_interval
    small = None if equivalence is None else equivalence.interval
    return {
        "hypothesis": hypothesis.name,
        "outcome": hypothesis.outcome,
        "factor": hypothesis.factor,
        "from": hypothesis.from_value,
        "to": hypothesis.to_value,
        "claim": str(hypothesis.claim),
        "direction": str(hypothesis.direction),
        "margin": hypothesis.margin,
        "margin_grade": hypothesis.margin_grade,
        "answer": str(answered.answer),
        "change_per_100": None if effect is None else 100 * effect.change,
        "low": None if interval is None else 100 * interval.low,
        "high": None if interval is None else 100 * interval.high,
        "low_margin": None if small is None else 100 * small.low,
        "high_margin": None if small is None else 100 * small.high,
        "mean_grade_change": None if effect is None else effect.mean_grade_change,
        "mean_grade_low": None if grade is None else grade.low,
        "mean_grade_high": None if grade is None else grade.high,
        "p": answered.p_value,
        "p_holm": answered.p_adjusted,
        "p_against_holm": answered.p_against,
        "p_equivalent_holm": answered.p_equivalent,
        "arrangements": str(tested.permutation.arrangements),
        "drawn": tested.permutation.drawn,
        "pieces_from": tested.pieces_from,
        "pieces_to": tested.pieces_to,
        "firings": tested.firings,
    }


def _grades(answered: Answered, trial: Trial) -> list[dict[str, object]]:
    tested = answered.tested
    hypothesis = tested.hypothesis
    levels = trial.log.codebook.outcome(hypothesis.outcome).levels
    return [
        {
            "hypothesis": hypothesis.name,
            "value": value,
            "grade": level.name,
            "pieces": counts[place],
        }
        for value, counts in (
            (hypothesis.from_value, tested.counts_from),
            (hypothesis.to_value, tested.counts_to),
        )
        for place, level in enumerate(levels)
    ]
