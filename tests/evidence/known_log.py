"""A year with known effects: what is found, what is found wrongly, what comes first.

Greywether's fourteen habits, with effects planted on some of them. Beside the analysis stands
the analyst who knows the true model, see `knower`.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from cells import Cell
from knower import Known, ask_knower
from tallies import Scores
from whole_log import WholeLog, is_claimed, learn_whole_log, true_change_of

from outcomes.effects.effect import Effect, RankedFactor
from outcomes.effects.multiplicity import adjust_p_values
from outcomes.log.codebook import Codebook
from outcomes.simulate.draw import draw_outcomes, draw_settings
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

PLANTED: Mapping[str, Mapping[str, EffectShape]] = {
    "luster": {
        "seconds_to_can": Straight(per_step=-0.25, centre=11.0),
        "combustible_g": Saturating(gain=6.0, scale=50.0),
        "lid_delay_s": Window(best=10.0, width=6.0, height=4.0),
    },
    "crackle_density": {
        "seconds_to_can": Straight(per_step=0.16, centre=11.0),
        "glaze_thickness_mm": Straight(per_step=0.45, step=0.1, centre=0.8),
    },
    "color_shift": {"quench": Steps(gains=(("dunk", 1.1),))},
    "cracked": {
        "wall_thickness_mm": Straight(per_step=0.8, centre=6.5),
        "quench": Steps(gains=(("dunk", 1.2),)),
    },
}

Key = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownLog:
    """A year, its truth, and what both analysts say of its planted effects.

    ``true`` holds the true change of every judged effect, ``known`` the knower's answer on
    every planted one, both by (outcome, factor).
    """

    whole: WholeLog
    true: Mapping[Key, float]
    known: Mapping[Key, Known]


def judge_known(
    cell: Cell, codebook: Codebook, *, redraws: int, rng: np.random.Generator
) -> Scores:
    """Return the scores of one year with known effects."""
    settings = draw_settings(greywether_habits(), firings=cell.firings, pieces=PIECES, rng=rng)
    truth = plant_truth(settings)
    whole = learn_whole_log(
        draw_outcomes(truth, settings, rng=rng), codebook, redraws=redraws, rng=rng
    )
    year = KnownLog(
        whole=whole,
        true={key_of(e): true_change_of(whole, e, truth) for e in whole.judged},
        known={key_of(e): ask_knower(whole, e, truth) for e in whole.judged if is_planted(e)},
    )
    return [
        *score_claims(whole.judged, year.true),
        *_score_power(year),
        *_score_ranks(year),
    ]


def plant_truth(settings: pd.DataFrame) -> Truth:
    """Return the planted truth, thresholds moved so that the grades stay spread out."""
    outcomes = []
    for outcome in greywether_truth().outcomes:
        effects = tuple(
            FactorEffect(factor=factor, shape=shape)
            for factor, shape in PLANTED[outcome.name].items()
        )
        parts = [shape_effect(e.shape, settings[e.factor].to_numpy()) for e in effects]
        middle = float(np.median(np.sum(parts, axis=0)))
        thresholds = tuple(value + middle for value in outcome.thresholds)
        outcomes.append(replace(outcome, effects=effects, thresholds=thresholds))
    return Truth(outcomes=tuple(outcomes))


def key_of(effect: Effect) -> Key:
    """Return (outcome, factor)."""
    return effect.outcome, effect.contrast.factor


def is_planted(effect: Effect) -> bool:
    """Return whether an effect was planted there."""
    return effect.contrast.factor in PLANTED[effect.outcome]


def score_claims(
    effects: Iterable[Effect], true: Mapping[Key, float]
) -> Iterator[tuple[str, float]]:
    """Return how many effects were claimed, falsely, with the wrong sign, and coverage.

    A claim is false when the true change is exactly 0.
    """
    judged = list(effects)
    claims = [e for e in judged if is_claimed(e)]
    false = [e for e in claims if true[key_of(e)] == 0.0]
    turned = [e for e in claims if e.change * true[key_of(e)] < 0.0]
    yield "claims", float(len(claims))
    yield "false claims", float(len(false))
    yield "claims of the wrong sign", float(len(turned))
    yield "false-discovery share", len(false) / max(1, len(claims))
    for effect in judged:
        if effect.interval is not None:
            truth = true[key_of(effect)]
            held = effect.interval.low <= truth <= effect.interval.high
            acting = "nothing planted" if truth == 0.0 else "planted"
            yield f"interval holds the truth, {acting}", float(held)


def _score_power(year: KnownLog) -> Iterator[tuple[str, float]]:
    """Return what was found of the effects worth finding, by both analysts."""
    judged = year.whole.judged
    own = [e.p_value if e.p_value is not None else 1.0 for e in judged]
    helped = [
        year.known[key_of(e)].p_value if key_of(e) in year.known else p
        for e, p in zip(judged, own, strict=True)
    ]
    for effect, adjusted in zip(judged, adjust_p_values(helped), strict=True):
        key = key_of(effect)
        delta = year.whole.delta(effect.outcome)
        if key not in year.known or abs(year.true[key]) < delta:
            continue
        known = year.known[key]
        right, known_right = (c * year.true[key] > 0.0 for c in (effect.change, known.change))
        big = known_right and abs(known.change) >= delta
        for where in ("all", f"{key[0]}: {key[1]}"):
            yield f"power|{where}", float(is_claimed(effect) and right)
            yield f"power of the knower|{where}", float(big and adjusted < SURE)
            yield f"power of the knower alone|{where}", float(big and known.p_value < SURE)


def _score_ranks(year: KnownLog) -> Iterator[tuple[str, float]]:
    """Return whether the truly largest effect came first, and rank intervals hold the truth."""
    for ranking in year.whole.ranking:
        outcome = ranking[0].outcome
        size = {r.factor: abs(year.true[outcome, r.factor]) for r in ranking}
        largest = max(size, key=lambda factor: size[factor])
        known = {f: abs(k.change) for (o, f), k in year.known.items() if o == outcome}
        if len(known) > 1:
            yield "largest ranked first", float(ranking[0].factor == largest)
            yield (
                "largest ranked first by the knower",
                float(max(known, key=lambda factor: known[factor]) == largest),
            )
        holds = [_holds_rank(r, size) for r in ranking]
        yield "rank intervals hold every true rank", float(all(holds))
        yield (
            "width of a rank interval",
            float(np.mean([1 + r.rank_high - r.rank_low for r in ranking])),
        )


def _holds_rank(ranked: RankedFactor, size: Mapping[str, float]) -> bool:
    """Return whether an interval spans every rank its factor could truly have, ties included."""
    mine = size[ranked.factor]
    larger = sum(value > mine for value in size.values())
    smaller = sum(value < mine for value in size.values())
    return ranked.rank_low <= 1 + larger and len(size) - smaller <= ranked.rank_high
