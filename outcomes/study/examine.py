"""What is asked of an outcome's model besides its effects: how much is yours, what to doubt.

Nothing here changes an estimate. The skill is learnt before the verdicts, because a model
that foretells left-out firings worse than the usual shares lowers them; everything else is
asked once they stand.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design
from outcomes.doubts.explanations import Explanation, compare_explanations
from outcomes.doubts.imputed_effects import ImputedStudy
from outcomes.doubts.outcome_doubts import (
    Measured,
    ask_trees,
    fill_blanks_in,
    measure_doubts,
)
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.doubts.skill import Skill, learn_skill
from outcomes.effects.decomposition import Decomposition, decompose_variation
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.share_fits import fit_shares
from outcomes.effects.shares import Shares
from outcomes.log.codebook import Outcome
from outcomes.log.derived_swap import Swap
from outcomes.log.firing_log import FiringLog
from outcomes.model.fit import FitOptions
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.study.record import StudyOptions
from outcomes.study.sampled import Sample
from outcomes.study.shapes_seen import ShapesSeen, see_shapes

# Streams of their own, so that a new question changes the answer to no other.
_SKILL, _DOUBTS, _SHAPES, _EXPLANATIONS = 1, 2, 3, 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Examined:
    """Answers beside the effects; see `OutcomeStudy` for the fields."""

    shares: Shares | str
    split: Decomposition | None
    doubts: Measured
    shapes: ShapesSeen


def examine_skill(evidence: Evidence, *, options: StudyOptions, key: int) -> Skill | None:
    """Return how well left-out firings are foretold; None with too few firings to say."""
    if not _is_enough(evidence):
        return None
    rng = _stream(options, key, _SKILL)
    return learn_skill(evidence, rng=rng, confidence=options.confidence)


def examine_outcome(
    sample: Sample,
    evidence: Evidence,
    effects: Sequence[Effect],
    *,
    options: StudyOptions,
    key: int,
) -> Examined:
    """Return what is asked of one outcome once its verdicts stand, the longest questions apart.

    Parameters
    ----------
    sample
        Whose firings the doubts are asked of.
    evidence, effects
        Of the whole log.
    options, key
        The study's; the outcome's stream.
    """
    confidence, asked = options.confidence, sample.evidence
    return Examined(
        shares=fit_shares(
            asked.design, asked.codebook, options=asked.fit.options, confidence=confidence
        ),
        split=decompose_variation(asked, confidence=confidence) if _is_enough(asked) else None,
        doubts=measure_doubts(
            sample.log,
            asked,
            sample.estimate(effects, confidence=confidence),
            whole=(evidence, effects),
            rng=_stream(options, key, _DOUBTS),
        ),
        shapes=see_shapes(
            evidence, effects, rng=_stream(options, key, _SHAPES), confidence=confidence
        ),
    )


def examine_with_trees(
    evidence: Evidence, *, options: StudyOptions, key: int
) -> SecondOpinion | None:
    """Return the boosted trees' opinion of one outcome."""
    return ask_trees(evidence, rng=_stream(options, key, _DOUBTS))


def examine_filled(
    log: FiringLog,
    evidence: Evidence,
    effects: Sequence[Effect],
    *,
    options: StudyOptions,
    key: int,
) -> ImputedStudy | None:
    """Return one outcome's effects with the blanks filled."""
    return fill_blanks_in(log, evidence, effects, rng=_stream(options, key, _DOUBTS))


def examine_explanations(
    swaps: Sequence[Swap], design: Design, outcome: Outcome, *, options: StudyOptions, key: int
) -> tuple[Explanation, ...]:
    """Return each computed quantity against what it is computed from, for one outcome."""
    return tuple(
        compare_explanations(
            swap,
            design,
            outcome,
            options=FitOptions(penalty=options.penalty),
            seed=_seed(options, key, _EXPLANATIONS),
            confidence=options.confidence,
        )
        for swap in swaps
    )


def _is_enough(evidence: Evidence) -> bool:
    return evidence.jackknife_ok and evidence.n_firings >= FEWEST_FIRINGS


def _stream(options: StudyOptions, key: int, question: int) -> np.random.Generator:
    return np.random.default_rng(_seed(options, key, question))


def _seed(options: StudyOptions, key: int, question: int) -> np.random.SeedSequence:
    return np.random.SeedSequence(options.seed, spawn_key=(key, question))
