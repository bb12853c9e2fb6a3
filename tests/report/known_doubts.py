"""Shares and doubts for the invented study: numbers chosen so that each sentence is foretold."""

from dataclasses import replace

import numpy as np

from outcomes.doubts.calibration import Calibration, CalibrationGroup
from outcomes.doubts.grade_effects import CutChange, GradeEffect
from outcomes.doubts.influence import Influence
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.doubts.skill import Skill, SkillValue
from outcomes.effects.decomposition import Decomposition, FactorShare, Measure
from outcomes.effects.shares import SharePart, Shares
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Role
from outcomes.model.fit import FitStatus
from outcomes.resampling.interval import Interval
from outcomes.study.record import OutcomeStudy, Study

HANGS = Finding(
    code="hangs_on_one_firing",
    severity=Severity.WARNING,
    column="pull_temp_c",
    message="Pull temperature and luster: without the firing of 12 May 2024 (F07) 'leans' would "
    "not stand.",
    advice="Look at what was special about that firing.",
)
UNEVEN = Finding(
    code="differs_by_grade",
    severity=Severity.WARNING,
    column="combustible_g",
    message="Combustible amount does not act alike on every grade of luster.",
    advice="Read these numbers grade by grade.",
)
NOT_FORETOLD = Finding(
    code="does_not_predict",
    severity=Severity.WARNING,
    column="cracked",
    message="Cracked: what this log says is not shown to foretell a firing it has not seen.",
    advice="Read the effects as leads to try.",
)
FILLED = Finding(
    code="blanks_filled",
    severity=Severity.NOTE,
    column="humidity_pct",
    message="Humidity is blank on 2 of 38 pieces.",
    advice="Fill it in where you know it.",
)


def part(name: str, share: float, limits: tuple[float, float] | None, **more: object) -> SharePart:
    low, high = limits or (None, None)
    size = "small" if share < 0.15 else "about half"
    yours = name in ("settings_firing", "settings_piece", "glaze", "yours")
    return SharePart(name=name, words=name, share=share, low=low, high=high, size=size,
                     yours=yours, **more)  # fmt: skip


def build_shares(outcome: str, *, few: bool = False, unseen: bool = False) -> Shares:
    """Return 44 of 100 parts as the maker's, luck of the firing 12 or not seen."""

    def limits(low: float, high: float) -> tuple[float, float] | None:
        return None if few else (low, high)

    luck = 0.0 if unseen else 0.12
    return Shares(
        outcome=outcome,
        parts=(
            part("settings_firing", 0.21, limits(0.1, 0.34), shared=True),
            part("settings_piece", 0.2, limits(0.09, 0.33), shared=True),
            part("glaze", 0.03, limits(0.004, 0.08)),
            part("conditions", 0.002, limits(0.0, 0.04)),
            part("firing_luck", luck, limits(0.0, 0.22)),
            part("piece_luck", 1 - 0.442 - luck, limits(0.3, 0.6)),
        ),
        yours=part("yours", 0.44, limits(0.32, 0.57)),
        tenths=4, tenths_low=None if few else 3, tenths_high=None if few else 6,
        confidence=0.95, firings=9 if few else 24, fixed_variance=1.5, fixed_noise=0.3,
        firing_sd=0.0 if unseen else 0.6, firing_sd_upper=1.1, luck_factor=1.2,
        piece_variance=3.29, at_boundary=unseen, status=FitStatus.CONVERGED,
    )  # fmt: skip


def build_split(outcome: str) -> Decomposition:
    rows = (
        ("pull_temp_c", Role.SETTING, 0.2, (0.1, 0.33)),
        ("seconds_to_can", Role.SETTING, 0.15, (0.08, 0.3)),
        ("humidity_pct", Role.CONDITION, 0.02, (0.001, 0.05)),
        ("maker", Role.GROUPING, 0.001, None),
    )
    return Decomposition(
        outcome=outcome,
        measure=Measure.LATENT,
        total=0.371,
        shares=tuple(
            FactorShare(factor=factor, role=role, share=share, relative=share / 0.371,
                        low=limits and limits[0], high=limits and limits[1])
            for factor, role, share, limits in rows
        ),
        orders=0,
        confidence=0.95,
    )  # fmt: skip


def build_skill(outcome: str, value: float, low: float, high: float) -> Skill:
    scores = np.linspace(0.5, 0.7, 24)
    return Skill(
        outcome=outcome,
        overall=SkillValue(value=value, low=low, high=high),
        beyond_glaze=SkillValue(value=value - 0.02, low=low - 0.02, high=high - 0.02),
        scores=scores, usual=scores * 1.2, usual_of_glaze=scores * 1.1,
        calibration=Calibration(
            slope=0.76,
            slope_interval=Interval(low=0.5, high=1.02, confidence=0.95, method="jackknife t"),
            in_the_large=(0.01, -0.02, 0.0, 0.01),
            groups=(
                CalibrationGroup(foretold=0.004, seen=0.03, pieces=19, firings=15),
                CalibrationGroup(foretold=0.61, seen=0.57, pieces=19, firings=17),
            ),
        ),
        strangers=1, one_by_one=True, confidence=0.95,
    )  # fmt: skip


def build_influence(outcome: str, factor: str, change: float) -> Influence:
    without = np.full(24, change)
    without[6] = 0.02
    return Influence(outcome=outcome, factor=factor, change=change, without=without,
                     errors=np.full(24, 0.05))  # fmt: skip


def build_grade_effect(study: OutcomeStudy, factor: str) -> GradeEffect:
    effect = next(e for e in study.effects if e.contrast.factor == factor)
    free = (0.02, 0.3, 0.22, 0.05)
    return GradeEffect(
        outcome=study.outcome.name,
        contrast=effect.contrast,
        cuts=tuple(
            CutChange(level=str(k + 1), tied=0.2, free=free[k], tied_error=0.05, free_error=0.06)
            for k in range(4)
        ),
        on_border=False, f_value=3.1, f_df=(3, 21), p_value=0.004, trend_p=0.3,
    )  # fmt: skip


def add_doubts(study: Study) -> Study:
    """Return the invented study with shares, skill and doubts for luster and cracked."""
    luster, cracked, *others = study.outcomes
    told = replace(
        luster,
        shares=build_shares("luster"),
        split=build_split("luster"),
        skill=build_skill("luster", 0.234, 0.1, 0.36),
        influences=(build_influence("luster", "pull_temp_c", 0.14),),
        grade_effects=(build_grade_effect(luster, "combustible_g"),),
        second_opinion=SecondOpinion(
            outcome="luster", model=np.full(24, 0.6), trees=np.full(24, 0.62),
            gain=SkillValue(value=-0.03, low=-0.1, high=0.04),
            beyond_usual=SkillValue(value=0.2, low=0.1, high=0.3),
        ),
        findings=(*luster.findings, HANGS, UNEVEN, FILLED),
    )  # fmt: skip
    doubtful = replace(
        cracked,
        shares=build_shares("cracked", unseen=True),
        skill=build_skill("cracked", -0.05, -0.12, 0.02),
        findings=(NOT_FORETOLD,),
    )
    return replace(study, outcomes=(told, doubtful, *others))
