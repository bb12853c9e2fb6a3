"""The demo log fitted, without redraws and doubts: all that the panel reads."""

from pathlib import Path

from outcomes.api import read_log
from outcomes.design.matrix import build_design
from outcomes.effects.effect import Contrast, Effect, Verdict, Word
from outcomes.log.checks import set_impossible_aside
from outcomes.log.codebook import Role
from outcomes.log.firing_log import FiringLog
from outcomes.model.cumulative import fit_cumulative
from outcomes.report.document import Document
from outcomes.report.maker_panel import build_try
from outcomes.report.teller import build_teller
from outcomes.resampling.interval import Interval
from outcomes.study.record import OutcomeStudy, Study, StudyOptions

DEMO = Path(__file__).parents[2] / "data_demo"
LABELS = ("skip", "contents", "legend", "caution", "cautions", "paper")


def build_panel_study(log: FiringLog | None = None) -> Study:
    """Return a study with the designs and fits of a log, the demo's by default."""
    if log is None:
        log = read_log([DEMO / "hollowmere_yard.csv"], codebook=DEMO / "hollowmere_codebook.toml")
    usable = set_impossible_aside(log)
    return Study(
        log=usable,
        options=StudyOptions(),
        outcomes=tuple(
            _fit(usable, outcome.name)
            for outcome in usable.codebook.outcomes
            if outcome.name in usable.values
        ),
        findings=(),
        firings=0,
        cluster="firing_id",
        version="1",
    )


def build_panel_document(study: Study) -> Document:
    """Return a page that holds nothing but the panel."""
    teller = build_teller(study)
    return Document(
        language="en",
        title="Try",
        subtitle="demo",
        facts=(),
        sections=build_try(teller),
        legend=(),
        labels=tuple((name, name) for name in LABELS),
        footer=(),
    )


def _fit(log: FiringLog, name: str) -> OutcomeStudy:
    outcome = log.codebook.outcome(name)
    design = build_design(log, outcome)
    assert not isinstance(design, str), design
    return OutcomeStudy(
        outcome=outcome,
        usable=True,
        why_not="",
        pieces=len(design.y),
        firings=len(design.firing_names),
        grade_counts=(),
        left_out=(),
        design=design,
        fit=fit_cumulative(design.X, design.y, len(design.grades)),
        redraws=None,
        effects=tuple(
            _effect(name, term.factor)
            for term in design.spec.terms
            if term.role is Role.SETTING and term.factor != log.codebook.glaze
        ),
        ranking=(),
        curves=(),
        tangles=(),
        not_learnt=(),
        findings=(),
        unusual_replicates=0,
    )


def _effect(outcome: str, factor: str) -> Effect:
    """An effect with a verdict and an interval; its numbers are not shown by the panel."""
    return Effect(
        outcome=outcome,
        contrast=Contrast(factor=factor, role=Role.SETTING, from_value=0.0, to_value=1.0,
                          unit="", chosen="asked for"),
        rate_from=0.4,
        rate_to=0.5,
        change=0.1,
        interval=Interval(low=-0.1, high=0.3, confidence=0.95, method="firing-score t"),
        effective_firings=20.0,
        mean_grade_change=0.3,
        log_odds=0.5,
        pieces_supported=100,
        pieces=100,
        far_share=0.0,
        firings_from=10,
        firings_to=10,
        verdict=Verdict(word=Word.CANNOT_TELL, reason="invented"),
    )  # fmt: skip
