"""Best values, gains, bends and glaze differences as sentences, in the maker's unit."""

from collections.abc import Mapping

from outcomes.effects.best_value import BestKind, Optimum
from outcomes.effects.effect import Effect
from outcomes.effects.gain import Gain
from outcomes.effects.glaze_effects import GlazeEffect, GlazeEffects
from outcomes.effects.near_best import ALMOST
from outcomes.effects.threshold import BendKind, Threshold
from outcomes.log.codebook import Direction, Outcome
from outcomes.report.amounts import describe_change, describe_span
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence, plural

_WANTED = {Direction.HIGHER: "higher", Direction.LOWER: "lower"}
_BEST = {
    BestKind.INSIDE: "shapes.inside",
    BestKind.AT_LEAST: "shapes.at_least",
    BestKind.AT_MOST: "shapes.at_most",
    BestKind.RISING: "shapes.rising",
    BestKind.FALLING: "shapes.falling",
    BestKind.ENDS: "shapes.ends",
    BestKind.OPEN: "shapes.open",
}
_BENDS = {
    BendKind.STARTS: "shapes.bend_starts",
    BendKind.LEVELS_OFF: "shapes.bend_levels_off",
    BendKind.TURNS: "shapes.bend_turns",
    BendKind.STEEPENS: "shapes.bend_steepens",
}


def describe_best(found: Optimum, outcome: Outcome, teller: Teller) -> str:
    """Return the best value with its range, and what does nearly as well.

    An outcome of which less is wanted is best where fewest reach the grade that counts; one of
    taste has no best, only a most.
    """
    say, near = teller.wording.say, found.near
    names = ("best", "low", "high", "tried_low", "tried_high")
    values = _amounts(found.factor, teller, {name: getattr(found, name) for name in names})
    first = say(_BEST[found.kind], {**values, **_name_goal(outcome, teller)})
    if (near.low, near.high) == (found.tried_low, found.tried_high):
        return first
    ends = _amounts(found.factor, teller, {"low": near.low, "high": near.high})
    goal = {**_name_goal(outcome, teller), "n": round(100 * ALMOST)}
    return f"{first} {say('shapes.near', {**ends, **goal})}"


def _name_goal(outcome: Outcome, teller: Teller) -> dict[str, Value]:
    """Return what the best is called for this outcome, and the words that go with it."""
    way = _WANTED.get(outcome.wanted, "neither")
    names = ("top", "the_top", "highest", "still", "worse", "better")
    values: Mapping[str, Value] = {"phrase": outcome.phrase}
    return {name: teller.wording.say(f"shapes.{name}_{way}", values) for name in names}


def describe_gain(found: Gain, teller: Teller) -> str:
    """Return where a setting stops paying, or that no levelling off can be told."""
    span = {"at": found.at, "first": found.tried_low, "last": found.tried_high}
    values = _amounts(found.factor, teller, span)
    if found.low is None or found.high is None:
        return teller.wording.say("shapes.gain_rough", values)
    key = "shapes.gain_ends" if found.levels_off else "shapes.gain_steady"
    limits = _amounts(found.factor, teller, {"low": found.low, "high": found.high})
    return teller.wording.say(key, {**values, **limits})


def describe_bend(found: Threshold, teller: Teller) -> str:
    """Return a bend that luck alone would not make; "" when none was found."""
    if found.kind is BendKind.NONE or found.at is None:
        return ""
    low = found.at if found.low is None else found.low
    high = found.at if found.high is None else found.high
    values = {
        **_amounts(found.factor, teller, {"at": found.at, "low": low, "high": high}),
        "label": teller.label(found.factor),
    }
    said = teller.wording.say(_BENDS[found.kind], values)
    if low == found.looked_low or high == found.looked_high:
        return f"{said} {teller.wording.say('shapes.bend_edge')}"
    return said


def describe_glazes(found: GlazeEffects, effect: Effect, outcome: Outcome, teller: Teller) -> str:
    """Return what a setting does on each glaze; never a firmer word than "leans"."""
    say = teller.wording.say
    group = mid_sentence(teller.label(teller.study.log.codebook.glaze))
    own = [one for one in found.effects if one.is_own]
    others = len(found.effects) - len(own)
    values: dict[str, Value] = {
        "label": teller.label(found.factor),
        "group": group,
        "groups": plural(group),
        "phrase": outcome.phrase,
        "contrast": teller.contrast(effect.contrast),
        "items": "; ".join(_describe_glaze(one, teller) for one in own),
        "n": others,
    }
    said = say("shapes.glazes", values)
    return f"{said} {say('shapes.glazes_rest', values)}" if others else said


def _describe_glaze(one: GlazeEffect, teller: Teller) -> str:
    say, limits = teller.wording.say, one.interval
    values: dict[str, Value] = {
        "glaze": one.glaze,
        "change": describe_change(one.change, teller.wording),
        "limits": say("numbers.no_interval")
        if limits is None
        else describe_span(limits.low, limits.high, teller.wording),
    }
    return say("shapes.glaze_item", values)


def _amounts(factor: str, teller: Teller, values: Mapping[str, float]) -> dict[str, str]:
    """Return every value as an amount in the reader's unit."""
    return {name: teller.amount(value, factor) for name, value in values.items()}
