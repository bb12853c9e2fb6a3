"""A year with known effects: what is found, what is found wrongly, what comes first.

Greywether's fourteen habits, with effects planted on some. Beside the analysis stands an
analyst who knows the true model: which settings act on which outcome, the exact shape of each
effect, and which contrast of a window is truly the largest. She does not know how strong the
effects are nor the luck of the firings, and works with the same jackknife, the same t and the
same adjustment: her p values take the place of the analysis's own in the same family.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from whole_log import WholeLog, learn_whole_log, true_change_of

from outcomes.design.design import Design, FloatArray
from outcomes.effects.averages import Moved, change_gradient, predict_change
from outcomes.effects.effect import Contrast, Effect, Word
from outcomes.effects.multiplicity import adjust_p_values
from outcomes.log.codebook import Codebook
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import Link
from outcomes.model.likelihood import information_by_firing
from outcomes.resampling.firings import effective_firings, leave_one_out_weights
from outcomes.resampling.intervals import effective_df, jackknife_error, two_sided_p
from outcomes.simulate.draw import simulate_log
from outcomes.simulate.greywether import PIECES, greywether_habits, greywether_truth
from outcomes.simulate.truth import (
    EffectShape,
    FactorEffect,
    Saturating,
    Steps,
    Straight,
    Truth,
    Window,
    shape_effect,
)

SURE = 0.05

PLANTED: dict[str, dict[str, EffectShape]] = {
    "luster": {
        "seconds_to_can": Straight(per_step=-0.25, centre=11.0),
        "combustible_g": Saturating(gain=5.0, scale=40.0),
        "lid_delay_s": Window(best=10.0, width=6.0, height=4.0),
    },
    "crackle_density": {
        "seconds_to_can": Straight(per_step=0.20, centre=11.0),
        "glaze_thickness_mm": Straight(per_step=0.4, step=0.1, centre=0.8),
    },
    "color_shift": {"quench": Steps(gains=(("dunk", 1.2),))},
    "cracked": {
        "wall_thickness_mm": Straight(per_step=0.9, centre=6.5),
        "quench": Steps(gains=(("dunk", 1.6),)),
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Knower:
    """What the analyst who knows the model says of one contrast."""

    change: float
    p_value: float


def known_truth(settings: pd.DataFrame) -> Truth:
    """Return the planted truth, thresholds moved so that the grades stay spread out."""
    outcomes = []
    for outcome in greywether_truth().outcomes:
        effects = tuple(
            FactorEffect(factor=factor, shape=shape)
            for factor, shape in PLANTED[outcome.name].items()
        )
        score = sum(shape_effect(e.shape, settings[e.factor].to_numpy()) for e in effects)
        middle = float(np.median(score))
        outcomes.append(
            replace(
                outcome,
                effects=effects,
                thresholds=tuple(value + middle for value in outcome.thresholds),
            )
        )
    return Truth(outcomes=tuple(outcomes))


def judge_known_log(
    codebook: Codebook, *, firings: int, redraws: int, rng: np.random.Generator
) -> Iterator[tuple[str, float]]:
    """Return the scores of one year with known effects."""
    settings = simulate_log(
        greywether_truth(), greywether_habits(), firings=firings, pieces=PIECES, rng=rng
    )
    truth = known_truth(settings)
    frame = draw_outcomes(truth, settings, rng=rng)
    whole = learn_whole_log(frame, codebook, redraws=redraws, rng=rng)
    true = {key(effect): true_change_of(whole, effect, truth) for effect in whole.judged}
    knower = {
        key(effect): ask_knower(whole.design(effect.outcome), effect, truth)
        for effect in whole.judged
        if effect.contrast.factor in PLANTED[effect.outcome]
    }
    yield from _claims(whole, true)
    yield from _power(whole, true, knower)
    yield from _ranks(whole, true, knower)
