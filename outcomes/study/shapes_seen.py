"""What the settings that matter look like along their range, and on each glaze.

Asked only of settings whose verdict says they change the outcome or lean that way: a best
value of something that makes no difference is noise with a name. Thresholds are looked for in
every straight setting, because a line through a threshold may look like nothing at all; their
error rate is held over all of them together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.matrix import find_term
from outcomes.effects.best_value import Optimum
from outcomes.effects.by_glaze import find_glaze_effects
from outcomes.effects.curves import worth_drawing
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.gain import Gain, find_gain
from outcomes.effects.glaze_effects import GlazeEffects
from outcomes.effects.optimum import find_optimum
from outcomes.effects.threshold import Threshold, find_thresholds
from outcomes.log.codebook import Role, Shape


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShapesSeen:
    """Best values, gains, thresholds and glaze differences of one outcome's settings."""

    optima: tuple[Optimum, ...]
    gains: tuple[Gain, ...]
    thresholds: tuple[Threshold, ...]
    by_glaze: tuple[GlazeEffects, ...]


def see_shapes(
    evidence: Evidence,
    effects: Sequence[Effect],
    *,
    rng: np.random.Generator,
    confidence: float,
) -> ShapesSeen:
    """Return what is known about the shapes of one outcome's settings.

    Parameters
    ----------
    evidence
        The outcome's.
    effects
        Of that outcome, with verdicts.
    rng
        For the sign changes of firings; each question gets a stream of its own.
    confidence
        Of intervals and sets.
    """
    worth = [e for e in worth_drawing(effects) if e.contrast.role is Role.SETTING]
    shapes = {e.contrast.factor: _shape(evidence, e) for e in worth}
    for_thresholds, *for_glazes = rng.spawn(1 + len(worth))
    optima = [
        find_optimum(evidence, factor, confidence=confidence)
        for factor, shape in shapes.items()
        if shape is Shape.WINDOW
    ]
    gains = [
        find_gain(evidence, factor, confidence=confidence)
        for factor, shape in shapes.items()
        if shape is Shape.SATURATING
    ]
    glazes = [
        find_glaze_effects(evidence, effect, rng=own, confidence=confidence)
        for effect, own in zip(worth, for_glazes, strict=True)
    ]
    return ShapesSeen(
        optima=tuple(found for found in optima if found is not None),
        gains=tuple(found for found in gains if found is not None),
        thresholds=find_thresholds(evidence, rng=for_thresholds, confidence=confidence),
        by_glaze=tuple(found for found in glazes if found is not None),
    )


def _shape(evidence: Evidence, effect: Effect) -> Shape:
    return find_term(evidence.design.spec, effect.contrast.factor).shape
