"""What moved together: tangles with both readings, grouped R², inflation, condition indexes."""

from outcomes.report.document import (
    Block,
    Column,
    Paragraph,
    Section,
    Table,
    fold_table,
    make_key,
)
from outcomes.report.numerals import decimal, number
from outcomes.report.parameters import name_columns
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.study.record import OutcomeStudy


def build_overlap(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section; nothing where neither tangle nor diagnostic is known."""
    say, overlap = teller.wording.say, part.overlap
    blocks: list[Block] = []
    if part.tangles:
        blocks.append(_build_tangles(part, teller))
    if overlap is not None:
        largest = float(overlap.condition_indexes[-1])
        inflated = [value for value in overlap.inflation if value is not None]
        values: dict[str, Value] = {
            "index": number(largest),
            "inflation": number(max(inflated, default=1.0)),
        }
        blocks.append(Paragraph(text=say("research.overlap_summary", values)))
        blocks += fold_table(_build_factors(part, teller))
        blocks += fold_table(_build_columns(part, teller))
    if not blocks:
        return []
    key = make_key(f"overlap-{part.outcome.name}")
    return [Section(key=key, title=say("research.overlap"), blocks=tuple(blocks))]


def _build_tangles(part: OutcomeStudy, teller: Teller) -> Table:
    say = teller.wording.say
    numeric = ("explained", "deviance", "alone", "twin_alone", "joint")
    return Table(
        key=make_key(f"tangles-{part.outcome.name}"),
        caption=say("research.tangles_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            Column(heading=say("research.moved_with")),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                join_words([mid_sentence(teller.label(name)) for name in one.with_factors]),
                decimal(one.explained, places=2),
                decimal(one.deviance_change, places=2),
                *(
                    decimal(None if value is None else 100 * value, places=1)
                    for value in (one.alone, one.twin_alone, one.joint)
                ),
            )
            for one in part.tangles
        ),
    )


def _build_factors(part: OutcomeStudy, teller: Teller) -> Table:
    say, overlap = teller.wording.say, part.overlap
    assert overlap is not None  # noqa: S101
    return Table(
        key=make_key(f"explained-{part.outcome.name}"),
        caption=say("research.explained_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.factor")),
            Column(heading=say("research.explained"), numeric=True),
            Column(heading=say("research.explained_adjusted"), numeric=True),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                decimal(one.explained, places=2),
                decimal(one.adjusted, places=2),
            )
            for one in overlap.factors
        ),
        note=say("research.explained_note"),
    )


def _build_columns(part: OutcomeStudy, teller: Teller) -> Table:
    say, overlap = teller.wording.say, part.overlap
    assert overlap is not None  # noqa: S101
    pairs = zip(name_columns(part), overlap.inflation, strict=True)
    indexes = ", ".join(decimal(float(index), places=1) for index in overlap.condition_indexes)
    return Table(
        key=make_key(f"inflation-{part.outcome.name}"),
        caption=say("research.inflation_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.column")),
            Column(heading=say("research.inflation"), numeric=True),
        ),
        rows=tuple((name, number(value)) for name, value in pairs),
        note=say("research.inflation_note", {"indexes": indexes}),
    )
