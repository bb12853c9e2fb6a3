"""The questions that take longest, asked of all outcomes at once so that workers share them.

None waits for another's answer. The boosted trees are one piece of work for all outcomes: the
library that grows them takes longer to load than the trees of one outcome to grow.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from outcomes.doubts.explanations import Explanation
from outcomes.doubts.imputed_effects import ImputedStudy
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.log.derived_swap import Swap
from outcomes.log.firing_log import FiringLog
from outcomes.study.examine import examine_explanations, examine_filled, examine_with_trees
from outcomes.study.one_outcome import Learnt, pick_effects, stream_key
from outcomes.study.record import StudyOptions
from outcomes.study.sampled import Sample
from outcomes.workers import spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answered:
    """What one outcome was asked at length; empty where nothing was learnt of it."""

    opinion: SecondOpinion | None = None
    imputed: ImputedStudy | None = None
    explanations: tuple[Explanation, ...] = ()


def ask_at_length(
    learnt: Sequence[Learnt],
    judged: Sequence[Effect],
    log: FiringLog,
    *,
    swaps: Sequence[Swap],
    options: StudyOptions,
    workers: int,
) -> list[Answered]:
    """Return the long answers of every outcome.

    Parameters
    ----------
    learnt, judged
        Every outcome and its effects with their verdicts.
    swaps
        Computed quantities to compare with what they are computed from.
    log, options, workers
        As in `analysis.analyse`.
    """
    asked: list[Callable[[], list[Answered]]] = [partial(_ask_trees, learnt, log, options)]
    asked += [partial(_fill, part, judged, log, options) for part in learnt]
    asked += [partial(_explain, part, swaps, log, options) for part in learnt]
    found = spread(lambda question, _: question(), asked, workers=workers)
    trees, count = found[0], len(learnt)
    return [
        Answered(
            opinion=trees[at].opinion,
            imputed=found[1 + at][0].imputed,
            explanations=found[1 + count + at][0].explanations,
        )
        for at in range(count)
    ]


def _ask_trees(learnt: Sequence[Learnt], log: FiringLog, options: StudyOptions) -> list[Answered]:
    """Return every outcome's second opinion."""
    return [
        Answered()
        if part.evidence is None
        else Answered(
            opinion=examine_with_trees(
                _sample(part, part.evidence, log).evidence,
                options=options,
                key=stream_key(log, part.outcome),
            )
        )
        for part in learnt
    ]


def _fill(
    part: Learnt, judged: Sequence[Effect], log: FiringLog, options: StudyOptions
) -> list[Answered]:
    """Return one outcome's effects with the blanks filled."""
    if part.evidence is None:
        return [Answered()]
    sample, key = _sample(part, part.evidence, log), stream_key(log, part.outcome)
    effects = sample.estimate(pick_effects(judged, part), confidence=options.confidence)
    imputed = examine_filled(sample.log, sample.evidence, effects, options=options, key=key)
    return [Answered(imputed=imputed)]


def _explain(
    part: Learnt, swaps: Sequence[Swap], log: FiringLog, options: StudyOptions
) -> list[Answered]:
    """Return one outcome's comparisons of explanations."""
    if part.design is None or part.evidence is None:
        return [Answered()]
    sample, key = _sample(part, part.evidence, log), stream_key(log, part.outcome)
    thinned = [sample.thin(swap) for swap in swaps]
    explained = examine_explanations(thinned, part.design, part.outcome, options=options, key=key)
    return [Answered(explanations=explained)]


def _sample(part: Learnt, evidence: Evidence, log: FiringLog) -> Sample:
    """Return what one outcome's doubts are asked of: of most logs, all."""
    return part.sample or Sample(log=log, evidence=evidence)
