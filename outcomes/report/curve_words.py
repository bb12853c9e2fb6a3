"""A curve in words: a few points of it, where it is highest, and what its picture shows."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.effects.effect import Curve
from outcomes.log.codebook import Direction, Outcome
from outcomes.report.amounts import describe_rate
from outcomes.report.teller import Teller
from outcomes.report.wording import mid_sentence
from outcomes.study.record import OutcomeStudy

ALT_POINTS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One point of a curve as a table row; ``phrase`` is the same for reading aloud."""

    at: str
    grades: tuple[str, ...]
    reach: str
    limits: str
    phrase: str


def list_points(curve: Curve, teller: Teller, *, most: int = ALT_POINTS) -> tuple[Point, ...]:
    """Return up to ``most`` points, evenly spread, both ends included; every level of levels."""
    n = len(curve.at)
    if isinstance(curve.at, tuple) or n <= most:
        chosen = list(range(n))
    else:
        chosen = [int(slot) for slot in np.linspace(0, n - 1, most).round()]
    return tuple(_point(curve, slot, teller) for slot in chosen)


def _point(curve: Curve, slot: int, teller: Teller) -> Point:
    say, wording = teller.wording.say, teller.wording
    at = teller.amount(_value(curve, slot), curve.factor)
    low, high = float(curve.reach_low[slot]), float(curve.reach_high[slot])
    known = bool(np.isfinite([low, high]).all())
    ends = (describe_rate(low, wording), describe_rate(high, wording)) if known else ("–", "–")
    values = {
        "at": at,
        "n": describe_rate(float(curve.reach[slot]), wording),
        "low": ends[0],
        "high": ends[1],
    }
    return Point(
        at=at,
        grades=tuple(describe_rate(float(c), wording) for c in curve.chance[slot]),
        reach=values["n"],
        limits=say("columns.span", values) if known else "–",
        phrase=say(
            "pictures.curve_alt_point_band" if known else "pictures.curve_alt_point", values
        ),
    )


def _value(curve: Curve, slot: int) -> float | str:
    value = curve.at[slot]
    return value if isinstance(value, str) else float(value)


def describe_curve(curve: Curve, outcome: Outcome, teller: Teller) -> str:
    """Return the sentence of a curve: its ends, and its top or bottom when that lies between."""
    say, wording = teller.wording.say, teller.wording
    if isinstance(curve.at, tuple):
        points = [
            say("pictures.level_point", {"n": describe_rate(float(r), wording), "at": at})
            for r, at in zip(curve.reach, curve.at, strict=True)
        ]
        values = {"phrase": outcome.phrase, "points": ", ".join(points)}
        return say("pictures.levels", values)
    last = len(curve.at) - 1
    key, best = find_turn(curve, outcome)
    values = {
        "phrase": outcome.phrase,
        "first": teller.amount(_value(curve, 0), curve.factor),
        "last": teller.amount(_value(curve, last), curve.factor),
        "best": teller.amount(_value(curve, best), curve.factor),
        "first_n": describe_rate(float(curve.reach[0]), wording),
        "last_n": describe_rate(float(curve.reach[last]), wording),
        "best_n": describe_rate(float(curve.reach[best]), wording),
    }
    return say(key, values)


def find_turn(curve: Curve, outcome: Outcome) -> tuple[str, int]:
    """Return which sentence fits a curve, and where it turns.

    A turn counts when it lies above both ends (below both, for a dip) by half of the smallest
    difference worth having; otherwise the curve is told by its ends.
    """
    enough = outcome.smallest_difference / 200
    ends = (float(curve.reach[0]), float(curve.reach[-1]))
    top, bottom = int(np.argmax(curve.reach)), int(np.argmin(curve.reach))
    rises = float(curve.reach[top]) - max(ends)
    falls = min(ends) - float(curve.reach[bottom])
    if max(rises, falls) < enough:
        return "pictures.ends", 0
    if outcome.wanted is Direction.LOWER and falls >= enough:
        return "pictures.dip", bottom
    return ("pictures.peak", top) if rises >= falls else ("pictures.dip", bottom)


def describe_panel(
    curve: Curve, part: OutcomeStudy, teller: Teller, *, grades: Sequence[str]
) -> str:
    """Return the alt text of a curve picture: both panels, with numbers."""
    say = teller.wording.say
    shares = [_describe_share(grade, curve, slot, teller) for slot, grade in enumerate(grades)]
    last = len(curve.at) - 1
    values = {
        "label": mid_sentence(teller.label(curve.factor)),
        "phrase": part.outcome.phrase,
        "first": teller.amount(_value(curve, 0), curve.factor),
        "last": teller.amount(_value(curve, last), curve.factor),
        "points": "; ".join(point.phrase for point in list_points(curve, teller)),
        "grades": "; ".join(shares),
    }
    key = "pictures.levels_alt" if isinstance(curve.at, tuple) else "pictures.curve_alt"
    return say(key, values)


def _describe_share(grade: str, curve: Curve, slot: int, teller: Teller) -> str:
    """Return how one grade's share runs: both ends of a range, every level of levels."""
    say, wording = teller.wording.say, teller.wording
    rates = [describe_rate(float(share), wording) for share in curve.chance[:, slot]]
    if isinstance(curve.at, tuple):
        points = [
            say("pictures.levels_alt_point", {"n": rate, "at": at})
            for rate, at in zip(rates, curve.at, strict=True)
        ]
        values = {"grade": grade, "points": ", ".join(points)}
        return say("pictures.levels_alt_grade", values)
    values = {
        "grade": grade,
        "first": rates[0],
        "last": rates[-1],
        "from": teller.amount(_value(curve, 0), curve.factor),
        "to": teller.amount(_value(curve, len(curve.at) - 1), curve.factor),
    }
    return say("pictures.curve_alt_grade", values)
