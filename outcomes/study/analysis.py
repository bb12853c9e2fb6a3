"""The whole job, as a table of contents: check, design, fit, doubt, judge, explain."""

from collections.abc import Iterable

from threadpoolctl import threadpool_limits

from outcomes import __version__
from outcomes.doubts.check_groups import find_shared_habits
from outcomes.effects.curves import build_curves, worth_drawing
from outcomes.effects.effect import Effect
from outcomes.effects.not_learnt import build_not_learnt
from outcomes.effects.verdicts import judge_effects
from outcomes.errors import LogError
from outcomes.log.checks import check_log, refusal, set_impossible_aside
from outcomes.log.codebook import Codebook, Outcome, Role
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import cluster_column, pieces_per_firing
from outcomes.log.outcome_account import outcome_account
from outcomes.study.one_outcome import Learnt, Progress, learn_outcome
from outcomes.study.record import OutcomeStudy, Study, StudyOptions


def analyse(log: FiringLog, *, options: StudyOptions, workers: int, progress: Progress) -> Study:
    """Learn from a log.

    Parameters
    ----------
    log
        As read; values outside the possible range are set aside here.
    options
        Resamples, seed, confidence, kind of false-discovery adjustment.
    workers
        Threads for the redraws; no influence on the result.
    progress
        Called with the number of redraws just done, `count_redraws` in all.

    Raises
    ------
    LogError
        When nothing can be learnt; the message says what would make the log usable.
    """
    findings = check_log(log)
    refused = refusal(log, findings)
    if refused is not None:
        raise LogError(refused)
    usable = set_impossible_aside(log)
    # Small matrices: two BLAS threads are several times slower than one.
    with threadpool_limits(limits=1):
        learnt = [
            learn_outcome(usable, outcome, options=options, workers=workers, progress=progress)
            for outcome in graded_outcomes(usable)
        ]
        judged = _judge(learnt, usable.codebook, options)
        parts = tuple(_conclude(part, judged, usable, options) for part in learnt)
    return Study(
        log=usable,
        options=options,
        outcomes=parts,
        findings=(*log.findings, *findings, *find_shared_habits(usable)),
        firings=len(pieces_per_firing(usable)),
        cluster=cluster_column(usable),
        version=__version__,
    )


def graded_outcomes(log: FiringLog) -> tuple[Outcome, ...]:
    """Return the codebook's outcomes that the log has a column for."""
    return tuple(o for o in log.codebook.outcomes if o.name in log.values.columns)


def count_redraws(log: FiringLog, options: StudyOptions) -> int:
    """Return how many redraws a study of this log makes at most: what a progress bar needs."""
    return options.resamples * len(graded_outcomes(log))


def _judge(
    learnt: Iterable[Learnt], codebook: Codebook, options: StudyOptions
) -> tuple[Effect, ...]:
    """Return every outcome's effects with verdicts: they are one family."""
    parts = list(learnt)
    return judge_effects(
        [effect for part in parts for effect in part.effects],
        codebook,
        tangles=[tangle for part in parts for tangle in part.tangles],
        false_discovery=options.false_discovery,
    )


def _conclude(
    part: Learnt, judged: Iterable[Effect], log: FiringLog, options: StudyOptions
) -> OutcomeStudy:
    """Return one outcome's record, effects in the order a reader wants them."""
    mine = [effect for effect in judged if effect.outcome == part.outcome.name]
    effects = _in_reading_order(mine, part)
    design, evidence = part.design, part.evidence
    usable = evidence is not None
    grades = log.values[part.outcome.name].dropna().astype(int)
    return OutcomeStudy(
        outcome=part.outcome,
        usable=usable,
        why_not=part.why_not,
        pieces=0 if design is None else len(design.y),
        firings=0 if design is None else len(design.firing_names),
        grade_counts=tuple(int((grades == k).sum()) for k in range(len(part.outcome.levels))),
        left_out=_left_out(part, log),
        design=design,
        fit=part.fit,
        redraws=part.redraws,
        effects=effects,
        ranking=part.ranking,
        curves=()
        if evidence is None
        else build_curves(evidence, worth_drawing(effects), confidence=options.confidence),
        tangles=part.tangles,
        not_learnt=() if design is None else build_not_learnt(design, log.codebook),
        findings=part.findings,
        unusual_replicates=0
        if part.redraws is None
        else int((part.redraws.unusual | ~part.redraws.converged).sum()),
    )


def _in_reading_order(effects: list[Effect], part: Learnt) -> tuple[Effect, ...]:
    """Return settings by rank, then the other settings, conditions and groupings."""
    place = {ranked.factor: ranked.rank for ranked in part.ranking}
    role = {Role.SETTING: 0, Role.CONDITION: 1, Role.GROUPING: 2}
    return tuple(
        sorted(
            effects,
            key=lambda e: (
                place.get(e.contrast.factor, len(effects)),
                role[e.contrast.role],
            ),
        )
    )


def _left_out(part: Learnt, log: FiringLog) -> tuple[tuple[str, int], ...]:
    if part.design is not None:
        return part.design.left_out
    return next(
        (reasons for name, _, reasons in outcome_account(log) if name == part.outcome.name), ()
    )
