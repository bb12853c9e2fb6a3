"""What was worked out from the log: a folded passage, for ordering pieces and no target."""

from collections.abc import Iterable

import numpy as np

from outcomes.doubts.explanations import Explanation
from outcomes.log.computed import ASSUMED_WALL_MM
from outcomes.log.derived import Derived
from outcomes.report.amounts import describe_number
from outcomes.report.document import Block, Callout, Depth, ItemList, Paragraph, Tone
from outcomes.report.maker_trust import describe_error
from outcomes.report.teller import Teller, convert_from_base
from outcomes.report.wording import Value, join_words, mid_sentence

_NEAREST = {"C": 10.0, "F": 10.0}  # the constants of the clay leave tens of degrees open


def build_computed(teller: Teller) -> tuple[Depth, ...]:
    """Return the passage; nothing where the log allows nothing to be worked out."""
    say, told = teller.wording.say, _told(teller)
    if not told:
        return ()
    labels = [_label(made.quantity.factor.label) for made in told]
    notes = dict.fromkeys(made.quantity.factor.safety_note for made in told)
    blocks: list[Block] = [
        Paragraph(text=say("computed.lead")),
        ItemList(items=tuple(_describe_spread(made, teller) for made in told)),
    ]
    if lines := _describe_comparisons(teller):
        blocks += [Paragraph(text=say("computed.asked")), ItemList(items=lines)]
    blocks += [
        Callout(
            title=say("computed.caution"),
            items=tuple(note for note in notes if note),
            tone=Tone.SAFETY,
        ),
        Paragraph(text=say("computed.where"), tone=Tone.FINE),
    ]
    summary = say("computed.open", {"labels": join_words(labels)})
    return (Depth(key="more-computed", summary=summary, blocks=tuple(blocks)),)


def _told(teller: Teller) -> list[Derived]:
    """Return the quantities that were compared with something; the others stand in the table."""
    names = {one.quantity for part in teller.study.outcomes for one in part.explanations}
    return [made for made in teller.study.computed if made.quantity.factor.name in names]


def _label(label: str) -> str:
    """Return a quantity's label inside a sentence: that it is computed is said around it."""
    return mid_sentence(label.removesuffix(" (computed)"))


def _describe_spread(made: Derived, teller: Teller) -> str:
    """Return between which values half of the pieces lie."""
    known = made.column.values[np.isfinite(made.column.values)]
    low, high = np.quantile(known, [0.25, 0.75])
    factor = made.quantity.factor
    values: dict[str, Value] = {
        "label": factor.label.removesuffix(" (computed)"),
        "n": len(known),
        "low": describe_computed_amount(float(low), factor.unit, teller, step=factor.step),
        "high": describe_computed_amount(float(high), factor.unit, teller, step=factor.step),
    }
    spread = teller.wording.say("computed.spread", values)
    if not made.column.assumed.any():
        return spread
    sign = teller.sign("mm")
    wall = f"{ASSUMED_WALL_MM:g}\u202f{sign}"
    assumed: dict[str, Value] = {"n": int(made.column.assumed.sum()), "wall": wall}
    told = teller.wording.say("computed.assumed", assumed)
    return f"{spread} {told}"


def describe_computed_amount(
    value: float, unit: str, teller: Teller, *, step: float | None = None
) -> str:
    """Return a computed value; temperatures to ten degrees, in both scales, the maker's first."""
    if unit != "C":
        sign = teller.sign(unit)
        return f"{describe_number(value, step=step, unit=unit)}\u202f{sign}".strip()
    shown = "F" if teller.units.get("pull_temp_c") == "F" else "C"
    other = "C" if shown == "F" else "F"
    first, second = (_degrees(value, one, teller) for one in (shown, other))
    return teller.wording.say("computed.both_scales", {"first": first, "second": second})


def _degrees(value: float, unit: str, teller: Teller) -> str:
    shown = convert_from_base(value, unit, "C")
    return f"{_NEAREST[unit] * round(shown / _NEAREST[unit]):.0f}\u202f{teller.sign(unit)}"


def _describe_comparisons(teller: Teller) -> tuple[str, ...]:
    """Return what the comparisons say, quantity by quantity."""
    found: dict[str, list[Explanation]] = {}
    for part in teller.study.outcomes:
        for one in part.explanations:
            found.setdefault(one.quantity, []).append(one)
    return tuple(line for same in found.values() for line in _describe_one(same, teller))


def _describe_one(same: list[Explanation], teller: Teller) -> Iterable[str]:
    """Yield one quantity's lines: what stands clear first, then what cannot be told apart."""
    say = teller.wording.say
    replaced = join_words([mid_sentence(teller.label(name)) for name in same[0].replaced])
    values: dict[str, Value] = {"label": _label(same[0].label), "replaced": replaced}
    alike = []
    for one in same:
        outcome = mid_sentence(teller.label(one.outcome))
        if one.gain is None:
            continue
        if one.stands == 0:
            alike.append(outcome)
            continue
        key = "computed.better" if one.stands > 0 else "computed.worse"
        yield say(key, {**values, "outcome": outcome, **describe_error(one.gain, teller)})
    if alike:
        yield say("computed.alike", {**values, "outcomes": join_words(alike)})
    if all(one.gain is None for one in same):
        yield from _describe_absent(same, values, teller)


def _describe_absent(
    same: list[Explanation], values: dict[str, Value], teller: Teller
) -> Iterable[str]:
    """Yield why a quantity is compared nowhere: once where the reason is the same."""
    absent = dict.fromkeys(name for one in same for name in one.absent)
    if absent:
        labels = join_words([mid_sentence(teller.label(name)) for name in absent])
        label = same[0].label.removesuffix(" (computed)")
        yield teller.wording.say("computed.absent", {**values, "label": label, "absent": labels})
    yield from dict.fromkeys(one.sentence for one in same if not one.absent)
