"""All reasons to doubt one outcome, in the order a reader should meet them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.doubts.blanks import ColumnBlanks
from outcomes.doubts.check_imputation import check_imputation
from outcomes.doubts.check_influence import check_influence
from outcomes.doubts.check_missing import check_missing, measure_blanks
from outcomes.doubts.check_proportional_odds import check_proportional_odds
from outcomes.doubts.check_regression_to_mean import check_regression_to_mean
from outcomes.doubts.check_second_opinion import check_second_opinion
from outcomes.doubts.check_skill import check_skill
from outcomes.doubts.grade_effects import GradeEffect, measure_grade_effects
from outcomes.doubts.habit_changes import HabitChange, measure_habit_changes
from outcomes.doubts.imputed_effects import ImputedStudy, impute_effects
from outcomes.doubts.influence import Influence, measure_influence
from outcomes.doubts.second_opinion import SecondOpinion, ask_second_opinion
from outcomes.doubts.skill import Skill
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.finding import Finding
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.resampling.intervals import FEWEST_FIRINGS

_STREAMS = 4  # of random numbers: opinion, blanks, fills, habits


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Doubts:
    """What was found when one outcome was doubted.

    ``opinion`` and ``imputed`` are None under the floor of six firings, or (for
    ``imputed``) where hardly a piece was lost to blanks.
    """

    outcome: str
    opinion: SecondOpinion | None
    influences: tuple[Influence, ...]
    grade_effects: tuple[GradeEffect, ...]
    blanks: tuple[ColumnBlanks, ...]
    imputed: ImputedStudy | None
    habit_changes: tuple[HabitChange, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Known:
    """What was asked before: the skill, which the verdicts need, and the two longest questions.

    ``skill`` is from `learn_skill`, the others are as in `Doubts`.
    """

    skill: Skill | None
    opinion: SecondOpinion | None
    imputed: ImputedStudy | None


def ask_trees(evidence: Evidence, *, rng: np.random.Generator) -> SecondOpinion | None:
    """Return the boosted trees' opinion; ``rng`` is a fresh one, as for `measure_doubts`."""
    if not _is_enough(evidence):
        return None
    return ask_second_opinion(evidence, rng=rng.spawn(_STREAMS)[0])


def fill_blanks_in(
    log: FiringLog, evidence: Evidence, effects: Sequence[Effect], *, rng: np.random.Generator
) -> ImputedStudy | None:
    """Return the effects with blanks filled; ``rng`` is a fresh one, as for `measure_doubts`."""
    if not _is_enough(evidence):
        return None
    return impute_effects(log, evidence, effects, rng=rng.spawn(_STREAMS)[2])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """What is found in doubting an outcome without waiting for what is `Known`.

    ``influential`` and ``missing`` are the findings of `check_influence` and `check_missing`, the
    rest is as in `Doubts`.
    """

    outcome: str
    influences: tuple[Influence, ...]
    influential: tuple[Finding, ...]
    grade_effects: tuple[GradeEffect, ...]
    blanks: tuple[ColumnBlanks, ...]
    missing: tuple[Finding, ...]
    habit_changes: tuple[HabitChange, ...]


def measure_doubts(
    log: FiringLog,
    evidence: Evidence,
    effects: Sequence[Effect],
    *,
    rng: np.random.Generator,
    whole: tuple[Evidence, Sequence[Effect]] | None = None,
) -> Measured:
    """Return what doubting one outcome takes most of its time for.

    Parameters
    ----------
    log
        As analysed.
    evidence
        The outcome's.
    effects
        Of that outcome, with verdicts.
    rng
        Each check that needs chance gets a stream of its own, so none disturbs another.
    whole
        Evidence and effects of the whole log, for what single firings do, where the others are
        those of a part of it.
    """
    outcome = log.codebook.outcome(evidence.design.spec.outcome)
    _, for_blanks, _, for_habits = rng.spawn(_STREAMS)
    everything, all_effects = whole or (evidence, effects)
    influences = measure_influence(everything, all_effects)
    return Measured(
        outcome=outcome.name,
        influences=influences,
        influential=check_influence(everything, all_effects, influences),
        grade_effects=measure_grade_effects(evidence, effects),
        blanks=measure_blanks(log, outcome),
        missing=check_missing(log, outcome, rng=for_blanks),
        habit_changes=measure_habit_changes(evidence, rng=for_habits),
    )


def raise_doubts(measured: Measured, known: Known, codebook: Codebook) -> Doubts:
    """Return every reason to doubt one outcome.

    Parameters
    ----------
    measured
        From `measure_doubts`.
    known
        From `learn_skill`, `ask_trees` and `fill_blanks_in`; None under the floor.
    codebook
        Of the log.
    """
    skill, opinion, imputed = known.skill, known.opinion, known.imputed
    findings = (
        *(check_skill(skill, codebook) if skill else ()),
        *(check_second_opinion(opinion, codebook) if opinion else ()),
        *measured.influential,
        *check_proportional_odds(measured.grade_effects, codebook),
        *measured.missing,
        *check_imputation(imputed, codebook),
        *check_regression_to_mean(measured.habit_changes, codebook),
    )
    return Doubts(
        outcome=measured.outcome,
        opinion=opinion,
        influences=measured.influences,
        grade_effects=measured.grade_effects,
        blanks=measured.blanks,
        imputed=imputed,
        habit_changes=measured.habit_changes,
        findings=findings,
    )


def _is_enough(evidence: Evidence) -> bool:
    return evidence.n_firings >= FEWEST_FIRINGS and evidence.jackknife_ok
