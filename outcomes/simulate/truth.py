"""What really decides the grades of an invented log.

The latent score of a piece is the sum of its effects, its firing's luck u ~ normal(0, sd)
and its own luck e ~ logistic(0, 1); the grade is the number of thresholds it passes. So,
given the luck of the firing, P(grade <= k) = F(theta_k - eta - u) with F logistic: the
random-intercept cumulative logit model (Agresti 2010, *Analysis of Ordinal Categorical
Data*, ch. 10), written with the thresholds ascending.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import RequestError

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """The factor changes nothing: a planted nothing, said so on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """``per_step`` log-odds for every ``step`` of the factor, 0 at ``centre``."""

    per_step: float
    step: float = 1.0
    centre: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Best at ``best``, worse to either side.

    A bump loses ``height * (1 - exp(-d**2 / 2))``, d = (x - best) / width: never more than
    ``height``. A parabola (``parabola=True``) loses ``height * d**2`` without end.
    """

    best: float
    width: float
    height: float
    parabola: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Saturating:
    """``gain * (1 - exp(-x / scale))``: 95 % of the gain is reached at three scales."""

    gain: float
    scale: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """``gain / (1 + exp(-(x - at) / width))``: flat, a rise around ``at``, flat again."""

    at: float
    gain: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """Log-odds of each named level; a level that is not named has 0."""

    gains: tuple[tuple[str, float], ...]


EffectShape = Nothing | Straight | Window | Saturating | Threshold | Steps


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorEffect:
    """One factor's effect on one outcome; ``glazes`` limits it, () means all of them."""

    factor: str
    shape: EffectShape
    glazes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeTruth:
    """The truth about one outcome.

    Parameters
    ----------
    name
        Canonical outcome name.
    thresholds
        Ascending, length K - 1, log-odds.
    aim
        Grade that counts: P(grade >= aim) is what `true_change` contrasts; 1..K-1.
    effects
        Every effect, planted nothings included if one wishes to name them.
    firing_sd
        Standard deviation of the firing luck, log-odds.
    applies_to
        Glazes it is graded on; () means every glaze.
    """

    name: str
    thresholds: tuple[float, ...]
    aim: int
    effects: tuple[FactorEffect, ...] = ()
    firing_sd: float = 0.0
    applies_to: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.thresholds or any(np.diff(self.thresholds) <= 0):
            raise RequestError(
                f"{self.name}: thresholds must be at least one number, ascending; "
                f"got {self.thresholds!r}. List them from the lowest grade up."
            )
        if not 1 <= self.aim <= len(self.thresholds):
            raise RequestError(
                f"{self.name}: aim must be a grade from 1 to {len(self.thresholds)}, "
                f"got {self.aim!r}."
            )
        if self.firing_sd < 0:
            raise RequestError(
                f"{self.name}: firing_sd cannot be negative, got {self.firing_sd!r}."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """The truth about every outcome; ``glaze`` names the column that holds the glaze."""

    outcomes: tuple[OutcomeTruth, ...]
    glaze: str = "glaze"

    def outcome(self, name: str) -> OutcomeTruth:
        """Return the truth about one outcome.

        Raises
        ------
        RequestError
            If there is none of that name.
        """
        for outcome in self.outcomes:
            if outcome.name == name:
                return outcome
        known = ", ".join(outcome.name for outcome in self.outcomes)
        raise RequestError(f"this truth has no outcome {name!r}; it has {known}.")


def shape_effect(shape: EffectShape, values: Sequence[object] | np.ndarray) -> FloatArray:
    """Return the log-odds a shape adds at each value.

    >>> shape_effect(Straight(per_step=-0.5, step=5.0, centre=10.0), [10.0, 20.0]).tolist()
    [-0.0, -1.0]
    >>> shape_effect(Steps(gains=(("dunk", 1.4),)), ["none", "dunk"]).tolist()
    [0.0, 1.4]
    """
    match shape:
        case Nothing():
            return np.zeros(len(values))
        case Steps():
            gains = dict(shape.gains)
            return np.array([gains.get(str(value), 0.0) for value in values])
        case _:
            return _curve(shape, np.asarray(values, dtype=np.float64))


def _curve(shape: Straight | Window | Saturating | Threshold, x: FloatArray) -> FloatArray:
    """Return the log-odds of a numeric shape at each x."""
    match shape:
        case Straight():
            return shape.per_step * (x - shape.centre) / shape.step
        case Window():
            squared = ((x - shape.best) / shape.width) ** 2
            return -shape.height * (squared if shape.parabola else -np.expm1(-squared / 2))
        case Saturating():
            return -shape.gain * np.expm1(-x / shape.scale)
        case Threshold():
            return shape.gain / (1 + np.exp(-(x - shape.at) / shape.width))


def null_truth(truth: Truth) -> Truth:
    """Return the same outcomes and luck with every effect gone."""
    return replace(
        truth, outcomes=tuple(replace(outcome, effects=()) for outcome in truth.outcomes)
    )
