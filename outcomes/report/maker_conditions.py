"""The fourth section: what was recorded but not chosen, apart, and never as advice."""

from collections.abc import Sequence
from dataclasses import replace

from outcomes.effects.effect import Effect
from outcomes.log.codebook import Role
from outcomes.report.amounts import describe_change, describe_limits, whole_per_100
from outcomes.report.cautions import find_cautions
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Picture,
    Section,
    Statement,
    Statements,
    Table,
    Tone,
    make_key,
)
from outcomes.report.maker_computed import build_computed
from outcomes.report.maker_strip import (
    build_effect_cells,
    build_effect_columns,
    describe_confidence,
    draw_strip,
)
from outcomes.report.sentences import describe_basis, describe_interval_cell, describe_picture_row
from outcomes.report.teller import TREND, Teller
from outcomes.report.wording import Value, capitalise, join_words, mid_sentence
from outcomes.study.record import OutcomeStudy


def build_conditions(teller: Teller) -> Section:
    """Return the section: what stands clear of luck in words, pictures and groups folded."""
    say = teller.wording.say
    parts = [
        (part, effects)
        for part in teller.study.outcomes
        if (effects := _effects_of(part, Role.CONDITION))
    ]
    blocks: list[Block] = [Paragraph(text=say("conditions.lead"), tone=Tone.LEAD)]
    if parts:
        blocks += _tell(parts, teller)
        folded = tuple(_build_part(part, effects, teller) for part, effects in parts)
        summary = say("conditions.pictures")
        blocks.append(Depth(key="more-conditions", summary=summary, blocks=folded))
    else:
        blocks = [Paragraph(text=say("conditions.none"), tone=Tone.LEAD)]
    tables = [_build_groups(part, teller) for part in teller.study.outcomes]
    groups = tuple(table for table in tables if table is not None)
    if groups:
        fold = Depth(key="more-groups", summary=say("conditions.groups_open"), blocks=groups)
        lead = Paragraph(text=say("conditions.groups_lead"))
        title = say("conditions.groups_title")
        blocks.append(Section(key="groups", title=title, blocks=(lead, fold)))
    blocks += build_computed(teller)
    return Section(key="conditions", title=say("conditions.title"), blocks=tuple(blocks))


def _tell(parts: Sequence[tuple[OutcomeStudy, list[Effect]]], teller: Teller) -> list[Block]:
    """Return what is clear of luck as statements, and for which outcomes nothing is."""
    loud = [
        replace(_state(effect, part, teller), title=part.outcome.label)
        for part, effects in parts
        for effect in effects
        if _is_clear_of_luck(effect)
    ]
    quiet = [
        mid_sentence(part.outcome.label)
        for part, effects in parts
        if not any(_is_clear_of_luck(effect) for effect in effects)
    ]
    blocks: list[Block] = [Statements(items=tuple(loud))] if loud else []
    if quiet:
        text = teller.wording.say("conditions.quiet", {"outcomes": join_words(quiet)})
        blocks.append(Paragraph(text=text))
    return blocks


def describe_condition(effect: Effect, part: OutcomeStudy, teller: Teller) -> str:
    """Return what a condition went with, as a remark and never as advice."""
    contrast = effect.contrast
    values: dict[str, Value] = {
        "label": teller.label(contrast.factor),
        "from": teller.amount(contrast.from_value, contrast.factor),
        "to": teller.amount(contrast.to_value, contrast.factor),
        "change": describe_change(effect.change, teller.wording),
        "phrase": part.outcome.phrase,
        "limits": describe_limits(effect, teller.wording),
    }
    if contrast.factor == TREND:
        return teller.wording.say("conditions.went_with_trend", values)
    little = abs(whole_per_100(effect.change)) <= 1
    key = "conditions.went_with_nothing" if little else "conditions.went_with"
    return teller.wording.say(key, values)


def _effects_of(part: OutcomeStudy, role: Role) -> list[Effect]:
    return [effect for effect in part.effects if effect.contrast.role is role]


def _build_part(part: OutcomeStudy, effects: list[Effect], teller: Teller) -> Section:
    """Return the picture of an outcome's conditions, and each in words unless told already."""
    rest = tuple(_state(e, part, teller) for e in effects if not _is_clear_of_luck(e))
    blocks: tuple[Block, ...] = (_build_strip(part, effects, teller),)
    if rest:
        blocks += (Statements(items=rest),)
    key = make_key(f"conditions-{part.outcome.name}")
    return Section(key=key, title=part.outcome.label, blocks=blocks)


def _state(effect: Effect, part: OutcomeStudy, teller: Teller) -> Statement:
    return Statement(
        text=describe_condition(effect, part, teller),
        basis=describe_basis(effect, teller),
        cautions=find_cautions((effect,), part.outcome, teller),
    )


def _is_clear_of_luck(effect: Effect) -> bool:
    """Return whether the interval lies on one side of no difference."""
    return effect.interval is not None and effect.interval.low * effect.interval.high > 0


def _build_strip(part: OutcomeStudy, effects: list[Effect], teller: Teller) -> Picture:
    say, outcome = teller.wording.say, part.outcome
    values: dict[str, Value] = {
        "outcome": outcome.label,
        "n": len(effects),
        "phrase": outcome.phrase,
        "band": f"{outcome.smallest_difference:g}",
        "confidence": describe_confidence(teller),
        "rows": " ".join(capitalise(describe_picture_row(e, teller)) for e in effects),
    }
    return Picture(
        key=make_key(f"strip-conditions-{outcome.name}"),
        drawing=draw_strip(effects, outcome.smallest_difference, teller),
        title=say("conditions.strip_title", values),
        alt=say("conditions.strip_alt", values),
        caption=say("conditions.strip_caption", values),
        summary=say("page.table_behind"),
        cautions=find_cautions(effects, outcome, teller),
        table=_build_table(effects, teller, key=make_key(f"conditions-table-{outcome.name}"),
                           caption=say("conditions.strip_title", values), heading="condition"),
    )  # fmt: skip


def _build_groups(part: OutcomeStudy, teller: Teller) -> Table | None:
    """Return the groups (and settings that are not ranked, such as the glaze) of an outcome."""
    ranked = {place.factor for place in part.ranking}
    effects = _effects_of(part, Role.GROUPING) + [
        e for e in _effects_of(part, Role.SETTING) if e.contrast.factor not in ranked
    ]
    if not effects:
        return None
    caption = teller.wording.say("conditions.groups_table", {"outcome": part.outcome.label})
    key = make_key(f"groups-{part.outcome.name}")
    return _build_table(effects, teller, key=key, caption=caption, heading="group")


def _build_table(
    effects: list[Effect], teller: Teller, *, key: str, caption: str, heading: str
) -> Table:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    columns = (
        Column(heading=say(f"columns.{heading}")),
        *build_effect_columns(teller),
        Column(heading=say("columns.interval", confidence)),
        Column(heading=say("columns.rests")),
    )
    rows = tuple(
        (
            teller.label(effect.contrast.factor),
            *build_effect_cells(effect, teller),
            describe_interval_cell(effect, teller),
            say("columns.firings", {"n": max(1, round(effect.effective_firings))}),
        )
        for effect in effects
    )
    return Table(
        key=key, caption=caption, columns=columns, rows=rows, note=say("outcomes.table_note")
    )
