"""Which values do nearly as well as the best: how exact a maker needs to be.

The near-best range holds the values whose average chance of the aim lies within five pieces
per 100 of the best one. ``sure_*`` holds the values that belong to it in nine of ten redraws,
``possible_*`` those that do in one of ten.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outcomes.design.design import FloatArray
from outcomes.effects.along import Path, build_path, predict_along
from outcomes.effects.evidence import Evidence
from outcomes.log.codebook import Codebook, Direction
from outcomes.log.expectations import unit_sign
from outcomes.resampling.intervals import FEWEST_FIRINGS

POINTS = 31
ALMOST = 0.05  # five pieces per 100
# A share of redraws is known to +-3 in 100 with 300; more would not move a limit by a step.
MOST_REDRAWS = 300
FEWEST_REDRAWS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class NearBest:
    """The values that do nearly as well as the best, base unit.

    ``best_reach`` is the chance of the aim at the best value. ``sure_low``..``sure_high`` is
    None when no value belongs to the range in nine of ten redraws, or without redraws;
    ``possible_low``..``possible_high`` is None without redraws.
    """

    low: float
    high: float
    best_reach: float
    sure_low: float | None = None
    sure_high: float | None = None
    possible_low: float | None = None
    possible_high: float | None = None


def find_near_best(evidence: Evidence, factor: str) -> NearBest | None:
    """Return the near-best range of a numeric setting; None when it holds one value only."""
    path = build_path(evidence.design, factor, points=POINTS)
    if path is None:
        return None
    sign = goal_sign(evidence)
    reach = predict_along(evidence, path, evidence.fit.parameters()[None, :])[0]
    near = _near(sign * reach[None, :])[0]
    low, high = _around(near, int(np.argmax(sign * reach)), path)
    found = NearBest(low=low, high=high, best_reach=float(sign * np.max(sign * reach)))
    draws = _some_redraws(evidence)
    if draws is None:
        return found
    held = _near(sign * predict_along(evidence, path, draws)).mean(axis=0)
    sure, possible = path.values[held >= 0.9], path.values[held >= 0.1]
    return NearBest(
        low=low,
        high=high,
        best_reach=found.best_reach,
        sure_low=float(sure[0]) if sure.size else None,
        sure_high=float(sure[-1]) if sure.size else None,
        possible_low=float(possible[0]),
        possible_high=float(possible[-1]),
    )


def goal_sign(evidence: Evidence) -> float:
    """Return -1 when fewer pieces at the aim are better, else 1."""
    outcome = evidence.codebook.outcome(evidence.design.spec.outcome)
    return -1.0 if outcome.wanted is Direction.LOWER else 1.0


def amount(value: float, factor: str, codebook: Codebook) -> str:
    """Return a value rounded to a tenth of the practical step, with its base unit."""
    entry = codebook.factor(factor)
    grain = (entry.step or 1.0) / 10.0
    digits = max(0, -int(np.floor(np.log10(grain))))
    text = f"{round(value / grain) * grain:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} {unit_sign(entry.unit)}".strip()


def _near(goal: FloatArray) -> NDArray[np.bool_]:
    """Return which values do nearly as well as the best of their row, shape (B, m)."""
    return np.asarray(goal >= goal.max(axis=1, keepdims=True) - ALMOST)


def _around(near: NDArray[np.bool_], best: int, path: Path) -> tuple[float, float]:
    """Return the ends of the unbroken run around the best value."""
    first = last = best
    while first > 0 and near[first - 1]:
        first -= 1
    while last < len(near) - 1 and near[last + 1]:
        last += 1
    return float(path.values[first]), float(path.values[last])


def _some_redraws(evidence: Evidence) -> FloatArray | None:
    """Return the redraws to count over; None when they say nothing."""
    if evidence.n_firings < FEWEST_FIRINGS or len(evidence.redraws) < FEWEST_REDRAWS:
        return None
    return evidence.redraws[:MOST_REDRAWS]
