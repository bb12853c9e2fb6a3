"""What a researcher asks of the invented study, with numbers that can be foretold."""

from dataclasses import replace

import numpy as np

from outcomes.doubts.column_overlap import ColumnOverlap, FactorOverlap
from outcomes.doubts.explanations import Explanation
from outcomes.doubts.parallel_record import FactorTest, ParallelTests
from outcomes.doubts.parallel_tests import ChiSquare
from outcomes.doubts.skill import SkillValue
from outcomes.effects.odds import LogOdds
from outcomes.effects.robust_errors import RobustErrors
from outcomes.log.derived import compute_quantities
from outcomes.resampling.interval import Interval
from outcomes.study.record import OutcomeStudy, Study

SOFTWARE = (("Python", "3.99.1"), ("numpy", "9.8.7"))
SKIN = "Skin temperature at the can (computed)"


def build_odds(part: OutcomeStudy) -> tuple[LogOdds, ...]:
    return tuple(
        LogOdds(
            factor=effect.contrast.factor, value=effect.log_odds, error=0.4, df=18.0,
            interval=Interval(low=effect.log_odds - 0.84, high=effect.log_odds + 0.84,
                              confidence=0.95, method="jackknife t"),
        )
        for effect in part.effects
    )  # fmt: skip


def build_robust(size: int) -> RobustErrors:
    return RobustErrors(sandwich=np.full((size, size), 0.01) + 0.03 * np.eye(size),
                        jackknife=np.full((size, size), 0.01) + 0.08 * np.eye(size),
                        df=23)  # fmt: skip


def build_parallel(outcome: str) -> ParallelTests:
    return ParallelTests(
        outcome=outcome,
        score=ChiSquare(value=12.5, df=8, p=0.13, rank=7),
        brant=None,
        factors=(
            FactorTest(
                factor="seconds_to_can",
                likelihood_ratio=ChiSquare(value=4.11, df=3, p=0.25, rank=3),
                brant=None,
            ),
            FactorTest(factor="seal", likelihood_ratio=None, brant=None),
        ),
    )


def build_explanation(outcome: str, value: float, reach: float) -> Explanation:
    """Return a comparison whose difference is ``value``, give or take ``reach``."""
    return Explanation(
        outcome=outcome, quantity="skin_at_can_c", label=SKIN,
        replaced=("pull_temp_c", "seconds_to_can"), sentence="The comparison in words.",
        pieces=36, firings=23, columns_logged=9, columns_computed=8,
        logged=SkillValue(value=0.3, low=0.1, high=0.5),
        computed=SkillValue(value=0.3 + value, low=0.1, high=0.5),
        difference=SkillValue(value=value, low=value - reach, high=value + reach),
        gain=SkillValue(value=1.4 * value, low=1.4 * (value - reach), high=1.4 * (value + reach)),
    )  # fmt: skip


def add_research(study: Study) -> Study:
    """Return the study with everything the research page shows beside the maker's page."""
    luster, cracked, *others = study.outcomes
    luster = replace(
        luster,
        log_odds=build_odds(luster),
        robust=build_robust(6),
        overlap=ColumnOverlap(
            outcome="luster", inflation=(1.25, None), condition_indexes=np.array([1.0, 2.5, 41.0]),
            factors=(FactorOverlap(factor="seal", explained=0.62, adjusted=0.31),),
        ),
        parallel=build_parallel("luster"),
        explanations=(build_explanation("luster", 0.12, 0.05),),
    )  # fmt: skip
    cracked = replace(
        cracked,
        log_odds=build_odds(cracked),
        explanations=(build_explanation("cracked", 0.005, 0.004),),
    )
    return replace(
        study,
        outcomes=(luster, cracked, *others),
        computed=compute_quantities(study.log),
        software=SOFTWARE,
    )
