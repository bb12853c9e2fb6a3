"""How far a number may go in a plan, and the few values between.

The codebook's range binds always; on the hot side the log itself does.
"""

import math

import numpy as np
import pandas as pd

from outcomes.errors import RequestError
from outcomes.log.codebook import Direction, Factor, Kind, Shape
from outcomes.planning.next_request import Allowed

LOW_SHARE, HIGH_SHARE = 0.05, 0.95
_HAIR = 1e-9


def limits_of(factor: Factor, logged: pd.Series) -> tuple[float, float]:
    """Return the lowest and highest number a plan may ever use of a setting.

    The codebook's feasible, else plausible, else possible range; on the hot side no further
    than the log itself.
    """
    span = factor.feasible or factor.plausible or factor.possible
    low, high = (span.low, span.high) if span is not None else (-math.inf, math.inf)
    if factor.possible is not None:
        low, high = max(low, factor.possible.low), min(high, factor.possible.high)
    if factor.hot in (Direction.LOWER, Direction.EITHER):
        low = max(low, float(logged.min()))
    if factor.hot in (Direction.HIGHER, Direction.EITHER):
        high = min(high, float(logged.max()))
    return low, high


def logged_numbers(factor: Factor, logged: pd.Series, low: float, high: float) -> tuple[float, ...]:
    """Return a few round values inside the log's 5-95 % range and the limits."""
    start, stop = (float(logged.quantile(q)) for q in (LOW_SHARE, HIGH_SHARE))
    start, stop = max(start, low), min(stop, high)
    count = 5 if factor.shape is Shape.WINDOW else 3
    ends = _inside(start, stop, factor.step)
    if ends is None:
        ends = (max(float(logged.min()), low), min(float(logged.max()), high))
        if ends[0] >= ends[1]:
            return ()
    inner = {round_to_step(float(value), factor.step) for value in np.linspace(*ends, count)[1:-1]}
    return tuple(sorted({*ends, *(v for v in inner if ends[0] <= v <= ends[1])}))


def allowed_numbers(factor: Factor, allowed: Allowed, low: float, high: float) -> tuple[float, ...]:
    """Return the values a maker allows, or refuse what lies outside the limits."""
    if allowed.names:
        raise RequestError(
            f"--allow {factor.name}: it is a number of {factor.unit or 'its unit'}. Write "
            f"LOW:HIGH:STEP, like '{factor.name}={low:g}:{high:g}:{factor.step or 1:g}'."
        )
    if allowed.low < low - _HAIR or allowed.high > high + _HAIR:
        raise RequestError(
            f"--allow {factor.name}: {allowed.low:g} to {allowed.high:g} leaves {low:g} to "
            f"{high:g}, the furthest a plan may go: {why_limited(factor)} Allow values inside it."
        )
    count = int((allowed.high - allowed.low) / allowed.step + _HAIR) + 1
    return tuple(round(allowed.low + k * allowed.step, 10) for k in range(count))


def _inside(low: float, high: float, step: float | None) -> tuple[float, float] | None:
    """Return the outermost whole steps inside a range, None when there are not two."""
    if not step:
        return (low, high) if low < high else None
    first, last = math.ceil(low / step - _HAIR) * step, math.floor(high / step + _HAIR) * step
    return (round(first, 10), round(last, 10)) if first < last else None


def round_to_step(value: float, step: float | None) -> float:
    """Return the value on the nearest whole step.

    >>> round_to_step(983.0, 10.0)
    980.0
    """
    return round(round(value / step) * step, 10) if step else value


def why_limited(factor: Factor) -> str:
    """Return the sentence on where a setting's limits come from."""
    if factor.hot is Direction.NEITHER:
        return "that is the codebook's range."
    return (
        "that is the codebook's range, and on the hot side what your log already holds, since a "
        "plan never asks for faster, hotter or closer handling than you have done."
    )


def hot_sign(factor: Factor) -> float:
    """Return +1 or -1 for the way that is hotter, 0 where no single way is."""
    if factor.kind is not Kind.NUMBER:
        return 0.0
    return {Direction.HIGHER: 1.0, Direction.LOWER: -1.0}.get(factor.hot, 0.0)


def round_cold(value: float, factor: Factor, logged: pd.Series) -> float:
    """Return a logged value on a whole step, to the cooler and slower side if the log goes there.

    Without room on that side the value stays as it was logged.
    """
    if not factor.step:
        return value
    steps = value / factor.step
    whole = math.floor(steps + _HAIR) if hot_sign(factor) > 0 else math.ceil(steps - _HAIR)
    rounded = round(whole * factor.step, 10)
    low, high = limits_of(factor, logged)
    return rounded if low <= rounded <= high else value
