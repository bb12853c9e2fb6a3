"""The fourth section: what was recorded but not chosen, apart, and never as advice."""

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
from outcomes.report.maker_outcomes import (
    build_effect_cells,
    build_effect_columns,
    describe_confidence,
    draw_strip,
)
from outcomes.report.sentences import describe_basis, describe_interval_cell, describe_picture_row
from outcomes.report.teller import TREND, Teller
from outcomes.report.wording import Value, capitalise
from outcomes.study.record import OutcomeStudy


def build_conditions(teller: Teller) -> Section:
    """Return the section: conditions by outcome, then the groups held level."""
    say = teller.wording.say
    parts = [_build_part(part, teller) for part in teller.study.outcomes]
    found = [part for part in parts if part is not None]
    blocks: list[Block] = [Paragraph(text=say("conditions.lead"), tone=Tone.LEAD), *found]
    if not found:
        blocks = [Paragraph(text=say("conditions.none"), tone=Tone.LEAD)]
    tables = [_build_groups(part, teller) for part in teller.study.outcomes]
    groups = tuple(table for table in tables if table is not None)
    if groups:
        blocks.append(
            Section(
                key="groups",
                title=say("conditions.groups_title"),
                blocks=(
                    Paragraph(text=say("conditions.groups_lead")),
                    *(
                        Depth(key=make_key(f"more-{t.key}"), summary=t.caption, blocks=(t,))
                        for t in groups
                    ),
                ),
            )
        )
    return Section(key="conditions", title=say("conditions.title"), blocks=tuple(blocks))


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


def _build_part(part: OutcomeStudy, teller: Teller) -> Section | None:
    effects = _effects_of(part, Role.CONDITION)
    if not effects:
        return None
    items = tuple(
        Statement(
            text=describe_condition(effect, part, teller),
            basis=describe_basis(effect, teller),
            cautions=find_cautions((effect,), part.outcome, teller),
        )
        for effect in effects
    )
    return Section(
        key=make_key(f"conditions-{part.outcome.name}"),
        title=part.outcome.label,
        blocks=(
            _build_strip(part, effects, teller),
            Depth(
                key=make_key(f"more-conditions-{part.outcome.name}"),
                summary=teller.wording.say("conditions.in_words", {"outcome": part.outcome.label}),
                blocks=(Statements(items=items),),
            ),
        ),
    )


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
