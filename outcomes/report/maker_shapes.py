"""What stands under a picture: best value, gain, bend and glaze differences, with their cautions.

Best values and gains are told of settings that change the outcome only: of anything less they
would be noise with a name.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import numpy as np

from outcomes.effects.best_value import BestKind, Optimum
from outcomes.effects.effect import Effect, Word
from outcomes.effects.gain import Gain
from outcomes.effects.glaze_effects import GlazeEffects
from outcomes.effects.threshold import (
    FEWEST_PIECES,
    FEWEST_VALUES,
    BendKind,
    Threshold,
)
from outcomes.log.codebook import Direction, Outcome
from outcomes.report.cautions import find_cautions, find_way_cautions
from outcomes.report.document import Block, Depth, ItemList, Statement, Statements
from outcomes.report.sentences import word_of
from outcomes.report.shape_words import describe_bend, describe_best, describe_gain, describe_glazes
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.resampling.intervals import FEW_FIRINGS
from outcomes.study.record import OutcomeStudy

BOTH_WAYS = (1.0, -1.0)


def build_shapes(part: OutcomeStudy, factor: str, teller: Teller) -> list[Block]:
    """Return what is known of a setting's shape, safety notes once beneath it; else nothing."""
    said = [*_state_run(part, factor, teller), *_state_glazes(part, factor, teller)]
    return _join(said)


def build_bends_alone(part: OutcomeStudy, drawn: Collection[str], teller: Teller) -> list[Block]:
    """Return the bends found in settings that have no picture of their own."""
    say = teller.wording.say
    blocks: list[Block] = []
    for found in part.thresholds:
        label = {"outcome": part.outcome.label, "label": mid_sentence(teller.label(found.factor))}
        if found.factor not in drawn and found.kind is not BendKind.NONE:
            title = say("shapes.bend_title", label)
            said = replace(_state_bend(found, part.outcome, teller), title=title)
            blocks += _join([said])
    return blocks


def build_no_bends(outcomes: Sequence[OutcomeStudy], teller: Teller) -> list[Block]:
    """Return where bends were looked for and not found, or could not be: folded."""
    flat = [t for part in outcomes for t in part.thresholds if t.kind is BendKind.NONE]
    looked = [t for t in flat if t.looked_low is not None]
    unasked = [t for t in flat if t.looked_low is None]
    lines = [
        *_list(looked, teller, key="shapes.no_bend", name=_name_span),
        *_list(unasked, teller, key="shapes.bend_not_asked", name=_name_setting),
    ]
    if not lines:
        return []
    summary = teller.wording.say("shapes.no_bends")
    return [Depth(key="more-bends", summary=summary, blocks=(ItemList(items=tuple(lines)),))]


def differing_glazes(part: OutcomeStudy, factor: str) -> GlazeEffects | None:
    """Return what was learnt of a setting glaze by glaze; None when it could not be asked."""
    return next((found for found in part.by_glaze if found.factor == factor), None)


def _join(said: Sequence[Statement]) -> list[Block]:
    """Return several sentences as one statement, so that a caution stands once beneath them."""
    if not said:
        return []
    cautions = tuple(dict.fromkeys(note for one in said for note in one.cautions))
    also = tuple(replace(one, cautions=()) for one in said[1:])
    return [Statements(items=(replace(said[0], cautions=cautions, also=also),))]


def _state_run(part: OutcomeStudy, factor: str, teller: Teller) -> list[Statement]:
    """Return the sentences on how a setting runs over all pieces."""
    said: list[Statement] = []
    effect = _effect(part, factor)
    if effect is not None and word_of(effect) is Word.CHANGES:
        said += [_state_best(o, part.outcome, teller) for o in part.optima if o.factor == factor]
        said += [_state_gain(g, part.outcome, teller) for g in part.gains if g.factor == factor]
    bends = [t for t in part.thresholds if t.factor == factor and t.kind is not BendKind.NONE]
    return said + [_state_bend(found, part.outcome, teller) for found in bends]


def _state_best(found: Optimum, outcome: Outcome, teller: Teller) -> Statement:
    one_way = {BestKind.RISING: (1.0,), BestKind.FALLING: (-1.0,)}
    ways = one_way.get(found.kind, BOTH_WAYS)
    return Statement(
        text=describe_best(found, outcome, teller),
        cautions=find_way_cautions(found.factor, outcome, teller, ways=ways),
    )


def _state_gain(found: Gain, outcome: Outcome, teller: Teller) -> Statement:
    wanted = -1.0 if outcome.wanted is Direction.LOWER else 1.0
    way = wanted * float(np.sign(found.reach_high - found.reach_low))
    return Statement(
        text=describe_gain(found, teller),
        cautions=find_way_cautions(found.factor, outcome, teller, ways=(way,)),
    )


def _state_bend(found: Threshold, outcome: Outcome, teller: Teller) -> Statement:
    """Return a bend; its record does not say which side is better, so both are thought of."""
    return Statement(
        text=describe_bend(found, teller),
        cautions=find_way_cautions(found.factor, outcome, teller, ways=BOTH_WAYS),
    )


def _state_glazes(part: OutcomeStudy, factor: str, teller: Teller) -> list[Statement]:
    """Return what a setting does on each glaze where these differ."""
    found, effect = differing_glazes(part, factor), _effect(part, factor)
    if found is None or effect is None or not found.differs:
        return []
    each = [replace(effect, change=one.change) for one in found.effects]
    return [
        Statement(
            text=describe_glazes(found, effect, part.outcome, teller),
            cautions=find_cautions(each, part.outcome, teller),
        )
    ]


def _effect(part: OutcomeStudy, factor: str) -> Effect | None:
    return next((e for e in part.effects if e.contrast.factor == factor), None)


def _list(
    found: Sequence[Threshold],
    teller: Teller,
    *,
    key: str,
    name: Callable[[Threshold, Teller], str],
) -> list[str]:
    """Return one line for the outcomes of which the same is to be said."""
    items: dict[str, list[str]] = {}
    for one in found:
        items.setdefault(one.outcome, []).append(name(one, teller))
    alike: dict[tuple[str, ...], list[str]] = {}
    for outcome, names in items.items():
        alike.setdefault(tuple(names), []).append(mid_sentence(teller.label(outcome)))
    values: dict[str, Value] = {
        "clusters_n": FEW_FIRINGS,
        "pieces_n": FEWEST_PIECES,
        "n": FEWEST_VALUES,
    }
    return [
        teller.wording.say(
            key, {**values, "outcomes": join_words(outcomes), "items": "; ".join(names)}
        )
        for names, outcomes in alike.items()
    ]


def _name_span(found: Threshold, teller: Teller) -> str:
    assert found.looked_low is not None  # noqa: S101
    assert found.looked_high is not None  # noqa: S101
    values = {
        "label": mid_sentence(teller.label(found.factor)),
        "low": teller.amount(found.looked_low, found.factor),
        "high": teller.amount(found.looked_high, found.factor),
    }
    return teller.wording.say("shapes.no_bend_item", values)


def _name_setting(found: Threshold, teller: Teller) -> str:
    return mid_sentence(teller.label(found.factor))
