"""Everything asked of the outcomes once their verdicts stand, all at once so that workers share it.

None of it waits for another's answer. The boosted trees are one piece of work for all outcomes: the
library that grows them takes longer to load than the trees of one outcome to grow.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from outcomes.doubts.explanations import Explanation
from outcomes.doubts.imputed_effects import ImputedStudy
from outcomes.doubts.outcome_doubts import Known
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.log.derived_swap import Swap
from outcomes.log.firing_log import FiringLog
from outcomes.study.conclude import Concluded, complete_outcome, conclude_outcome
from outcomes.study.examine import examine_explanations, examine_filled, examine_with_trees
from outcomes.study.one_outcome import Learnt, pick_effects, stream_key
from outcomes.study.record import OutcomeStudy, StudyOptions
from outcomes.study.sampled import Sample
from outcomes.workers import spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Answer:
    """The answer to one question; empty where nothing was learnt of the outcome."""

    opinions: tuple[SecondOpinion | None, ...] = ()
    concluded: Concluded | None = None
    imputed: ImputedStudy | None = None
    explanations: tuple[Explanation, ...] = ()


def ask_outcomes(
    learnt: Sequence[Learnt],
    judged: Sequence[Effect],
    log: FiringLog,
    *,
    swaps: Sequence[Swap],
    options: StudyOptions,
    workers: int,
) -> tuple[OutcomeStudy, ...]:
    """Return every outcome's record.

    Parameters
    ----------
    learnt, judged
        Every outcome and its effects with their verdicts.
    swaps
        Computed quantities to compare with what they are computed from.
    log, options, workers
        As in `analysis.analyse`.
    """
    asked: list[Callable[[], _Answer]] = [partial(_ask_trees, learnt, log, options)]
    asked += [partial(_conclude, part, judged, log, options) for part in learnt]
    asked += [partial(_fill, part, judged, log, options) for part in learnt]
    asked += [partial(_explain, part, swaps, log, options) for part in learnt]
    trees, *found = spread(lambda question, _: question(), asked, workers=workers)
    records, count = [], len(learnt)
    for at, (part, opinion) in enumerate(zip(learnt, trees.opinions, strict=True)):
        concluded, filled, explained = found[at::count]
        assert concluded.concluded is not None  # noqa: S101 - every outcome is concluded
        known = Known(skill=part.skill, opinion=opinion, imputed=filled.imputed)
        records.append(
            complete_outcome(
                concluded.concluded, known, explained.explanations, codebook=log.codebook
            )
        )
    return tuple(records)


def _ask_trees(learnt: Sequence[Learnt], log: FiringLog, options: StudyOptions) -> _Answer:
    """Return every outcome's second opinion."""
    return _Answer(
        opinions=tuple(
            None
            if part.evidence is None
            else examine_with_trees(
                _sample(part, part.evidence, log).evidence,
                options=options,
                key=stream_key(log, part.outcome),
            )
            for part in learnt
        )
    )


def _conclude(
    part: Learnt, judged: Sequence[Effect], log: FiringLog, options: StudyOptions
) -> _Answer:
    """Return one outcome's record but for the answers of the others here."""
    return _Answer(concluded=conclude_outcome(part, judged, log, options=options))


def _fill(part: Learnt, judged: Sequence[Effect], log: FiringLog, options: StudyOptions) -> _Answer:
    """Return one outcome's effects with the blanks filled."""
    if part.evidence is None:
        return _Answer()
    sample, key = _sample(part, part.evidence, log), stream_key(log, part.outcome)
    effects = sample.estimate(pick_effects(judged, part), confidence=options.confidence)
    imputed = examine_filled(sample.log, sample.evidence, effects, options=options, key=key)
    return _Answer(imputed=imputed)


def _explain(part: Learnt, swaps: Sequence[Swap], log: FiringLog, options: StudyOptions) -> _Answer:
    """Return one outcome's comparisons of explanations."""
    if part.design is None or part.evidence is None:
        return _Answer()
    sample, key = _sample(part, part.evidence, log), stream_key(log, part.outcome)
    thinned = [sample.thin(swap) for swap in swaps]
    explained = examine_explanations(thinned, part.design, part.outcome, options=options, key=key)
    return _Answer(explanations=explained)


def _sample(part: Learnt, evidence: Evidence, log: FiringLog) -> Sample:
    """Return what one outcome's doubts are asked of: of most logs, all."""
    return part.sample or Sample(log=log, evidence=evidence)
