"""Where most of a setting's gain is reached: more is better, then no further gain.

The model's own column for such a setting, the log of the amount, bends at a fixed place: nine
tenths of *its* gain are reached where the log says, whatever the pieces say. So the bend is
freed here: 1 - exp(-x / s) with s from a twentieth of the tried range, where the gain is over
at once, to thirty times it, which is a straight line to the eye. Every s that fits the log (see
`bend`) gives the value at which nine tenths of the change over the tried range are reached; the
interval spans them all.
"""

from dataclasses import dataclass, replace

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.effects.along import tried_range
from outcomes.effects.bend import profile_bend
from outcomes.effects.evidence import Evidence
from outcomes.effects.near_best import amount
from outcomes.log.codebook import Codebook
from outcomes.resampling.intervals import FEW_FIRINGS

SHARE = 0.90
POINTS = 61
SOONEST, SLOWEST, TRIED = 0.05, 30.0, 11
LEAST_GAIN = 0.01  # below one piece per 100 there is no gain whose nine tenths could be named


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """Where nine tenths of a setting's change over the tried range are reached; base unit.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    at, low, high
        The value and its limits; the limits are None with fewer than 12 firings.
    levels_off
        True when a straight line does not fit: the gain ends inside what was tried.
    tried_low, tried_high, reach_low, reach_high
        The tried range, and the chance of the aim at its ends.
    sentence
        Plain words, amounts in the base unit.
    """

    outcome: str
    factor: str
    at: float
    low: float | None
    high: float | None
    levels_off: bool
    tried_low: float
    tried_high: float
    reach_low: float
    reach_high: float
    sentence: str


def find_gain(evidence: Evidence, factor: str, *, confidence: float = 0.95) -> Gain | None:
    """Return where nine tenths of a setting's change over the tried range are reached.

    Parameters
    ----------
    evidence
        One outcome's fit and replicates.
    factor
        A numeric setting; worth asking only when it changes the outcome at all.
    confidence
        Of the limits.

    Returns
    -------
    Gain or None
        None when the tried range holds one value, or its ends differ by less than one piece
        per 100.

    Raises
    ------
    KeyError
        If the model does not hold the factor.
    """
    low, high = tried_range(evidence.design, factor)
    if not low < high:
        return None
    at = np.linspace(low, high, POINTS)
    scales = (high - low) * np.geomspace(SOONEST, SLOWEST, TRIED)
    bend = profile_bend(
        evidence,
        factor,
        family=level_off,
        candidates=scales,
        at=at,
        confidence=confidence,
    )
    reach = bend.reach[bend.best]
    if abs(reach[-1] - reach[0]) < LEAST_GAIN:
        return None
    held = _reached(bend.reach[bend.compatible], at)
    known = evidence.n_firings >= FEW_FIRINGS
    found = Gain(
        outcome=evidence.design.spec.outcome,
        factor=factor,
        at=float(_reached(reach[None, :], at)[0]),
        low=float(held.min()) if known else None,
        high=float(held.max()) if known else None,
        levels_off=known and not bool(bend.compatible[-1]),
        tried_low=low,
        tried_high=high,
        reach_low=float(reach[0]),
        reach_high=float(reach[-1]),
        sentence="",
    )
    return replace(found, sentence=_describe(found, evidence.codebook))


def level_off(values: FloatArray, scale: float) -> FloatArray:
    """Return 1 - exp(-x / scale) as a column, shape (m, 1).

    >>> level_off(np.array([0.0, 60.0]), 60.0).round(3).tolist()
    [[0.0], [0.632]]
    """
    return -np.expm1(-values / scale)[:, None]


def _reached(reach: FloatArray, at: FloatArray) -> FloatArray:
    """Return in each row the first value with nine tenths of the change behind it."""
    whole = reach[:, -1:] - reach[:, :1]
    share = (reach - reach[:, :1]) / np.where(whole == 0.0, 1.0, whole)
    first = np.maximum(1, np.argmax(share >= SHARE, axis=1))
    rows = np.arange(len(reach))
    before, after = share[rows, first - 1], share[rows, first]
    gap = np.where(after > before, after - before, 1.0)
    part = np.clip(np.where(after > before, (SHARE - before) / gap, 1.0), 0.0, 1.0)
    return np.asarray(at[first - 1] + part * (at[first] - at[first - 1]))


def _describe(found: Gain, codebook: Codebook) -> str:
    """Return the sentence, amounts in the base unit."""
    values = (found.at, found.tried_low, found.tried_high, found.low or 0.0, found.high or 0.0)
    at, first, last, low, high = (amount(v, found.factor, codebook) for v in values)
    if found.low is None:
        return f"Between {first} and {last}, nine tenths of the change seem reached by {at}."
    if found.levels_off:
        return (
            f"Nine tenths of the change between {first} and {last} are reached by about {at} "
            f"(somewhere from {low} to {high}); beyond it there is little further change."
        )
    return (
        f"Between {first} and {last} no levelling off can be told from a steady change; nine "
        f"tenths of it are reached somewhere from {low} to {high}."
    )
