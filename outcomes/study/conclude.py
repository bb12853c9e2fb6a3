"""One outcome's record, once its verdicts stand."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from outcomes.design.design import Design
from outcomes.doubts.column_overlap import measure_overlap
from outcomes.doubts.explanations import Explanation
from outcomes.doubts.outcome_doubts import Known, Measured, raise_doubts
from outcomes.doubts.parallel_record import measure_parallel
from outcomes.effects.curves import build_curves, worth_drawing
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.not_learnt import build_not_learnt
from outcomes.effects.odds import measure_log_odds
from outcomes.effects.robust_errors import measure_robust_errors
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import NOT_COMPARED, outcome_account
from outcomes.study.examine import Examined, examine_outcome
from outcomes.study.one_outcome import Learnt, pick_effects, stream_key
from outcomes.study.record import OutcomeStudy, StudyOptions
from outcomes.study.sampled import Sample


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Concluded:
    """One outcome's record that still lacks the long answers and the doubts in words.

    ``doubts`` is None where nothing could be computed: the record is complete then.
    """

    record: OutcomeStudy
    doubts: Measured | None = None


def conclude_outcome(
    part: Learnt, judged: Iterable[Effect], log: FiringLog, *, options: StudyOptions
) -> Concluded:
    """Return one outcome's record, effects in the order a reader wants them.

    Parameters
    ----------
    part
        What was learnt of the outcome.
    judged
        Every outcome's effects with their verdicts.
    log, options
        As in `analysis.analyse`.
    """
    bare = _bare(part, log)
    if part.design is None or part.evidence is None:
        return Concluded(record=bare)
    effects = pick_effects(judged, part)
    sample = part.sample or Sample(log=log, evidence=part.evidence)
    examined = examine_outcome(
        sample,
        part.evidence,
        effects,
        options=options,
        key=stream_key(log, part.outcome),
    )
    record = _with_doubts(
        _with_design(bare, part.design, log),
        part,
        part.evidence,
        effects=effects,
        examined=examined,
        confidence=options.confidence,
    )
    robust = measure_robust_errors(part.evidence)
    record = replace(
        record,
        robust=robust,
        log_odds=measure_log_odds(part.evidence, effects, robust, confidence=options.confidence),
        overlap=measure_overlap(part.design),
        parallel=measure_parallel(sample.evidence.design),
    )
    return Concluded(record=record, doubts=examined.doubts)


def complete_outcome(
    concluded: Concluded,
    known: Known,
    explanations: tuple[Explanation, ...],
    codebook: Codebook,
) -> OutcomeStudy:
    """Return one outcome's record with the long answers and the doubts in words.

    Parameters
    ----------
    concluded
        From `conclude_outcome`.
    known, explanations
        What was asked at length.
    codebook
        Of the log.
    """
    if concluded.doubts is None:
        return concluded.record
    doubts = raise_doubts(concluded.doubts, known, codebook)
    return replace(
        concluded.record,
        findings=(*concluded.record.findings, *doubts.findings),
        second_opinion=doubts.opinion,
        imputed=doubts.imputed,
        explanations=explanations,
    )


def _bare(part: Learnt, log: FiringLog) -> OutcomeStudy:
    """Return the record of an outcome about which nothing could be computed."""
    grades = log.values[part.outcome.name].dropna().astype(int)
    left_out = {
        name: (*reasons, *(((NOT_COMPARED, graded),) if graded else ()))
        for name, graded, reasons in outcome_account(log)
    }
    return OutcomeStudy(
        outcome=part.outcome,
        usable=False,
        why_not=part.why_not,
        pieces=0,
        firings=0,
        grade_counts=tuple(int((grades == k).sum()) for k in range(len(part.outcome.levels))),
        left_out=left_out.get(part.outcome.name, ()),
        design=part.design,
        fit=None,
        redraws=None,
        effects=(),
        ranking=(),
        curves=(),
        tangles=(),
        not_learnt=(),
        findings=part.findings,
        unusual_replicates=0,
    )


def _with_design(bare: OutcomeStudy, design: Design, log: FiringLog) -> OutcomeStudy:
    return replace(
        bare,
        usable=True,
        pieces=len(design.y),
        firings=len(design.firing_names),
        left_out=design.left_out,
        not_learnt=build_not_learnt(design, log.codebook),
    )


def _with_doubts(
    record: OutcomeStudy,
    part: Learnt,
    evidence: Evidence,
    *,
    effects: tuple[Effect, ...],
    examined: Examined,
    confidence: float,
) -> OutcomeStudy:
    doubts, shapes = examined.doubts, examined.shapes
    return replace(
        record,
        fit=part.fit,
        redraws=part.redraws,
        effects=effects,
        ranking=part.ranking,
        curves=build_curves(
            evidence,
            worth_drawing(effects),
            by_glaze=shapes.by_glaze,
            confidence=confidence,
        ),
        tangles=part.tangles,
        findings=part.findings,
        unusual_replicates=0
        if part.redraws is None
        else int((part.redraws.unusual | ~part.redraws.converged).sum()),
        shares=examined.shares,
        split=examined.split,
        skill=part.skill,
        influences=doubts.influences,
        grade_effects=doubts.grade_effects,
        blanks=doubts.blanks,
        habit_changes=doubts.habit_changes,
        optima=shapes.optima,
        gains=shapes.gains,
        thresholds=shapes.thresholds,
        by_glaze=shapes.by_glaze,
    )
