"""The whole job, as a table of contents: check, design, fit, doubt, judge, explain."""

from collections.abc import Iterable

from threadpoolctl import threadpool_limits

from outcomes import __version__
from outcomes.doubts.check_graders import check_graders
from outcomes.doubts.check_groups import find_shared_habits
from outcomes.doubts.skill import SkillWord
from outcomes.effects.demotion import demote_effects
from outcomes.effects.effect import Effect
from outcomes.effects.verdicts import judge_effects
from outcomes.errors import LogError
from outcomes.log.checks import check_log, set_impossible_aside
from outcomes.log.codebook import Codebook, Outcome
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import cluster_column, pieces_per_firing
from outcomes.log.refusal import refuse_log
from outcomes.study.computed_seen import ComputedSeen, see_computed
from outcomes.study.one_outcome import Learnt, Progress, learn_outcome
from outcomes.study.questions import ask_outcomes
from outcomes.study.record import Study, StudyOptions
from outcomes.workers import count_processes, spread


def analyse(log: FiringLog, *, options: StudyOptions, workers: int, progress: Progress) -> Study:
    """Learn from a log.

    Parameters
    ----------
    log
        As read; values outside the possible range are set aside here.
    options
        Resamples, seed, confidence, kind of false-discovery adjustment.
    workers
        Processes over the outcomes (`workers.spread`), threads where there are more of them;
        no influence on the result.
    progress
        Called with the number of redraws just done, `count_redraws` in all.

    Raises
    ------
    LogError
        When nothing can be learnt; the message says what would make the log usable.
    """
    findings = check_log(log)
    usable = set_impossible_aside(log)
    refused = refuse_log(usable, findings)
    if refused is not None:
        raise LogError(refused)
    # Small matrices: two BLAS threads are several times slower than one.
    with threadpool_limits(limits=1):
        learnt, computed = _learn(usable, options=options, workers=workers, progress=progress)
        judged = _judge(learnt, usable.codebook, options)
        parts = ask_outcomes(
            learnt, judged, usable, swaps=computed.swaps, options=options, workers=workers
        )
    return Study(
        log=usable,
        options=options,
        outcomes=parts,
        findings=(*log.findings, *findings, *find_shared_habits(usable), *check_graders(usable)),
        firings=len(pieces_per_firing(usable)),
        cluster=cluster_column(usable),
        version=__version__,
        computed=computed.quantities,
    )


def _learn(
    log: FiringLog, *, options: StudyOptions, workers: int, progress: Progress
) -> tuple[list[Learnt], ComputedSeen]:
    """Return every outcome before its verdicts, and the computed quantities."""
    outcomes = graded_outcomes(log)
    threads = max(1, workers // count_processes(len(outcomes), workers))

    def learn(outcome: Outcome | None, tell: Progress) -> Learnt | ComputedSeen:
        if outcome is None:
            return see_computed(log)
        return learn_outcome(log, outcome, options=options, workers=threads, progress=tell)

    found = spread(learn, [*outcomes, None], workers=workers, progress=progress)
    return (
        [part for part in found if isinstance(part, Learnt)],
        next(part for part in found if isinstance(part, ComputedSeen)),
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
    worse = {
        part.outcome.name
        for part in parts
        if part.skill is not None and part.skill.overall.word is SkillWord.WORSE
    }
    judged = judge_effects(
        [effect for part in parts for effect in part.effects],
        codebook,
        tangles=[tangle for part in parts for tangle in part.tangles],
        false_discovery=options.false_discovery,
    )
    return demote_effects(judged, worse)
