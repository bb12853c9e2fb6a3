"""One outcome, from its pieces to its effects, ranks and tangles (verdicts come later).

Verdicts wait for all outcomes, because the false-discovery adjustment runs over settings x
outcomes.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design
from outcomes.design.matrix import build_design
from outcomes.doubts.check_fit import check_fit
from outcomes.doubts.check_tangled import find_tangles
from outcomes.doubts.skill import Skill
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Effect, RankedFactor, Tangle
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.effects.ranking import rank_settings
from outcomes.finding import Finding
from outcomes.log.codebook import Outcome, Role
from outcomes.log.firing_log import FiringLog
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitOptions, FitStatus, ManyFits
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.study.examine import examine_skill
from outcomes.study.record import StudyOptions
from outcomes.study.sampled import Sample, sample_firings

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Learnt:
    """One outcome before its verdicts; without a design, ``why_not`` says why."""

    outcome: Outcome
    why_not: str = ""
    design: Design | None = None
    fit: CumulativeFit | None = None
    redraws: ManyFits | None = None
    evidence: Evidence | None = None
    effects: tuple[Effect, ...] = ()
    ranking: tuple[RankedFactor, ...] = ()
    tangles: tuple[Tangle, ...] = ()
    skill: Skill | None = None
    sample: Sample | None = None
    findings: tuple[Finding, ...] = ()


def learn_outcome(
    log: FiringLog, outcome: Outcome, *, options: StudyOptions, workers: int, progress: Progress
) -> Learnt:
    """Return what one outcome's pieces say.

    Parameters
    ----------
    log
        With impossible values set aside.
    outcome
        One of the codebook's, present in the log.
    options, workers, progress
        As in `analysis.analyse`.
    """
    design = build_design(log, outcome)
    if isinstance(design, str):
        return Learnt(outcome=outcome, why_not=design)
    fit = fit_cumulative(
        design.X, design.y, len(design.grades), options=FitOptions(penalty=options.penalty)
    )
    if fit.status is FitStatus.FAILED:
        return Learnt(outcome=outcome, why_not=_failed(outcome, fit), design=design)
    redraws, jackknife = _refit(
        design,
        fit,
        options=options,
        workers=workers,
        progress=progress,
        key=stream_key(log, outcome),
    )
    evidence = build_evidence(design, log.codebook, fit=fit, redraws=redraws, jackknife=jackknife)
    sample = sample_firings(log, evidence)
    contrasts = choose_contrasts(design, log.codebook)
    effects = estimate_contrasts(evidence, contrasts, confidence=options.confidence)
    return Learnt(
        outcome=outcome,
        design=design,
        fit=fit,
        redraws=redraws,
        evidence=evidence,
        effects=effects,
        ranking=rank_settings(effects, evidence, confidence=options.confidence),
        tangles=find_tangles(design, log.codebook, fit=fit, effects=effects),
        skill=examine_skill(sample.evidence, options=options, key=stream_key(log, outcome)),
        sample=sample if sample.findings else None,
        findings=(
            *sample.findings,
            *design.findings,
            *check_fit(design, fit, redraws, log.codebook),
        ),
    )


def _refit(
    design: Design,
    fit: CumulativeFit,
    *,
    options: StudyOptions,
    workers: int,
    progress: Progress,
    key: int,
) -> tuple[ManyFits, ManyFits]:
    """Return the whole-firing redraws and the fits without one firing each."""
    n_firings = len(design.firing_names)
    # One stream per outcome, keyed by its place in the codebook: adding an outcome to a log
    # does not change the redraws of another.
    rng = np.random.default_rng(np.random.SeedSequence(options.seed, spawn_key=(key,)))
    weights = draw_firing_weights(n_firings, options.resamples, rng=rng)
    grades = len(design.grades)
    redraws = fit_many(
        design.X,
        design.y,
        grades,
        firing=design.firing,
        firing_weights=weights.astype(np.float64),
        start=fit,
        workers=workers,
        progress=progress,
    )
    jackknife = fit_many(
        design.X,
        design.y,
        grades,
        firing=design.firing,
        firing_weights=leave_one_out_weights(n_firings),
        start=fit,
        workers=workers,
    )
    return redraws, jackknife


def stream_key(log: FiringLog, outcome: Outcome) -> int:
    """Return the outcome's place in the codebook: the key of its streams of random numbers."""
    return [item.name for item in log.codebook.outcomes].index(outcome.name)


def _failed(outcome: Outcome, fit: CumulativeFit) -> str:
    return (
        f"The computation for {outcome.label.lower()} did not settle (largest gradient "
        f"{fit.largest_gradient:.1e} after {fit.iterations} steps), so nothing is said about it. "
        "Please keep the log and report this: it should not happen."
    )


def pick_effects(judged: Iterable[Effect], part: Learnt) -> tuple[Effect, ...]:
    """Return one outcome's: settings by rank, then other settings, conditions and groupings."""
    effects = [effect for effect in judged if effect.outcome == part.outcome.name]
    place = {ranked.factor: ranked.rank for ranked in part.ranking}
    role = {Role.SETTING: 0, Role.CONDITION: 1, Role.GROUPING: 2}
    return tuple(
        sorted(
            effects,
            key=lambda effect: (
                place.get(effect.contrast.factor, len(effects)),
                role[effect.contrast.role],
            ),
        )
    )
