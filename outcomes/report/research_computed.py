"""Computed quantities for the researcher: what they are, and whether they explain more."""

from outcomes.doubts.skill import SkillValue
from outcomes.log.derived import describe_computed
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    ItemList,
    Paragraph,
    Section,
    Table,
    Tone,
)
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.numerals import NONE, decimal, span
from outcomes.report.teller import Teller
from outcomes.report.wording import join_words, mid_sentence


def build_computed_section(teller: Teller) -> tuple[Section, ...]:
    """Return the section; nothing where the log allows nothing to be computed."""
    say, study = teller.wording.say, teller.study
    if not study.computed:
        return ()
    notes = dict.fromkeys(made.quantity.factor.safety_note for made in study.computed)
    blocks: list[Block] = [
        Paragraph(text=say("research.computed_lead"), tone=Tone.LEAD),
        ItemList(
            items=tuple(describe_computed(study.log, made).message for made in study.computed)
        ),
    ]
    table = _build_table(teller)
    if table.rows:
        blocks.append(table)
    if refused := _refused(teller):
        blocks.append(ItemList(items=refused))
    blocks.append(
        Callout(
            title=say("computed.caution"),
            items=tuple(note for note in notes if note),
            tone=Tone.SAFETY,
        )
    )
    return (Section(key="computed", title=say("research.computed"), blocks=tuple(blocks)),)


def _refused(teller: Teller) -> tuple[str, ...]:
    """Return why the others are not compared, each reason once."""
    return tuple(
        dict.fromkeys(
            one.sentence
            for part in teller.study.outcomes
            for one in part.explanations
            if one.difference is None
        )
    )


def _build_table(teller: Teller) -> Table:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    rows = []
    for part in teller.study.outcomes:
        for one in part.explanations:
            if one.difference is None:
                continue
            replaced = [mid_sentence(teller.label(name)) for name in one.replaced]
            rows.append(
                (
                    part.outcome.label,
                    one.label,
                    join_words(replaced),
                    f"{one.pieces} / {one.firings}",
                    _skill(one.logged),
                    _skill(one.computed),
                    *_with_limits(one.difference),
                )
            )
    numeric = ("sizes_compared", "skill_logged", "skill_computed", "difference")
    return Table(
        key="explanations-table",
        caption=say("research.explanations"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("research.quantity")),
            Column(heading=say("research.instead_of")),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
            Column(heading=say("columns.interval", confidence), numeric=True),
        ),
        rows=tuple(rows),
        note=say("research.explanations_note"),
    )


def _skill(value: SkillValue | None) -> str:
    return NONE if value is None else decimal(value.value, places=3)


def _with_limits(value: SkillValue) -> tuple[str, str]:
    return (decimal(value.value, places=3), span(value.low, value.high, places=3))
