"""Best values, gains, bends and glaze differences for the invented study."""

from dataclasses import replace

import numpy as np

from outcomes.effects.best_value import BestKind, Optimum
from outcomes.effects.gain import Gain
from outcomes.effects.glaze_effects import GlazeEffect, GlazeEffects, GlazeModel
from outcomes.effects.near_best import NearBest
from outcomes.effects.threshold import BendKind, Threshold
from outcomes.resampling.interval import Interval
from outcomes.resampling.leverage import Pull
from outcomes.study.record import Study


def build_optimum(
    kind: BestKind = BestKind.INSIDE, *, outcome: str = "luster", factor: str = "pull_temp_c"
) -> Optimum:
    return Optimum(
        outcome=outcome, factor=factor, kind=kind, best=977.1234567, low=952.0, high=1006.0,
        tried_low=925.0, tried_high=1027.0, confidence=0.95,
        near=NearBest(low=969.0, high=986.0, best_reach=0.55, sure_low=975.0, sure_high=979.0,
                      possible_low=960.0, possible_high=995.0),
        sentence="Best near 977 °C.",
    )  # fmt: skip


def build_gain(**changed: object) -> Gain:
    gain = Gain(
        outcome="luster", factor="combustible_g", at=134.0, low=90.0, high=170.0, levels_off=True,
        tried_low=30.0, tried_high=190.0, reach_low=0.17, reach_high=0.66,
        sentence="Nine tenths.",
    )  # fmt: skip
    return replace(gain, **changed)


def build_bend(kind: BendKind = BendKind.NONE, *, factor: str = "seconds_to_can") -> Threshold:
    bare = Threshold(
        outcome="luster", factor=factor, found=kind is BendKind.STARTS, reason="Base unit.",
        looked_low=5.0, looked_high=19.0, kind=kind, p_value=0.4,
    )  # fmt: skip
    return bare if kind is BendKind.NONE else replace(bare, at=9.0, low=7.0, high=12.0)


def flat_model() -> GlazeModel:
    """A model of six parameters and two firings in which nothing matters."""
    nothing = np.zeros((2, 6, 6))
    pull = Pull(root=np.zeros((6, 6)), share=nothing, stretch=nothing, scores=np.zeros((2, 6)))
    return GlazeModel(parameters=np.zeros(6), pull=pull)


def build_by_glaze(*, differs: bool, factor: str = "seconds_to_can") -> GlazeEffects:
    def own(glaze: str, change: float, low: float, high: float) -> GlazeEffect:
        limits = Interval(low=low, high=high, confidence=0.95, method="firing-score t")
        return GlazeEffect(
            glaze=glaze, change=change, interval=limits, firings=12, pieces=19, is_own=True
        )

    thin = GlazeEffect(
        glaze="Fennel Ash", change=-0.3, interval=None, firings=3, pieces=4, is_own=False
    )
    return GlazeEffects(
        outcome="luster", factor=factor, omega=0.2 if differs else 0.0,
        multiple=0.5 if differs else 0.0, chosen_by="rule", scores=((0.0, 0.5), (0.5, 0.48)),
        p_value=0.02 if differs else 0.6,
        effects=(own("Tarn Lantern", -0.42, -0.55, -0.28), own("Moth Ledger", 0.04, -0.1, 0.2),
                 thin),
        differs=differs, models=(("Tarn Lantern", flat_model()),) if differs else (),
        sentence="Leans.",
    )  # fmt: skip


def add_shapes(study: Study) -> Study:
    """Return the study with shapes for luster: combustible stops paying, no glaze differs."""
    luster, *others = study.outcomes
    told = replace(
        luster,
        optima=(build_optimum(),),
        gains=(build_gain(),),
        thresholds=(build_bend(),),
        by_glaze=(build_by_glaze(differs=False),),
    )
    return replace(study, outcomes=(told, *others))
