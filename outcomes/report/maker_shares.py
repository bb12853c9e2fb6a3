"""The third section: how much of the differences is the maker's, and how much is luck."""

from outcomes.effects.shares import SharePart, Shares
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    ItemList,
    Paragraph,
    Picture,
    Section,
    Table,
    Tone,
)
from outcomes.report.drawings import SharesDrawing, SharesRow
from outcomes.report.maker_split import build_split
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.share_words import (
    build_part_rows,
    describe_part_size,
    describe_shares,
    name_part,
)
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence
from outcomes.study.record import OutcomeStudy


def build_shares(teller: Teller) -> list[Section]:
    """Return the section; nothing when no outcome has been divided yet."""
    say, study = teller.wording.say, teller.study
    told = [part for part in study.outcomes if part.shares is not None]
    splits = build_split(study.outcomes, teller)
    if not told and not splits:
        return []
    blocks: list[Block] = [Paragraph(text=say("shares.lead"), tone=Tone.LEAD)]
    lines = tuple(line for part in told if (line := describe_shares(part, teller)))
    if lines:
        blocks.append(ItemList(items=lines))
    drawn = [(part, part.shares) for part in told if _is_drawn(part.shares)]
    pairs = [(part, shares) for part, shares in drawn if isinstance(shares, Shares)]
    if any(one.shared for _, shares in pairs for one in shares.parts):
        blocks.append(Paragraph(text=say("shares.shared"), tone=Tone.FINE))
    if any(isinstance(part.shares, Shares) for part in told):
        blocks.append(
            Callout(
                title=say("shares.caveats_title"),
                items=teller.wording.say_all("shares.caveats"),
                tone=Tone.HONESTY,
            )
        )
    if pairs:
        blocks.insert(1, _build_picture(pairs, teller))
    return [Section(key="shares", title=say("shares.title"), blocks=(*blocks, *splits))]


def _is_drawn(shares: Shares | str | None) -> bool:
    """Return whether there are numbers: with few firings there are words only."""
    return isinstance(shares, Shares) and shares.yours.low is not None


def _build_picture(pairs: list[tuple[OutcomeStudy, Shares]], teller: Teller) -> Picture:
    say = teller.wording.say
    glaze = teller.study.log.codebook.glaze
    values: dict[str, Value] = {
        "n": len(pairs),
        "confidence": describe_confidence(teller),
        "group": mid_sentence(teller.label(glaze)) if glaze else say("method.no_group"),
        "rows": " ".join(_describe_row(part, shares, teller) for part, shares in pairs),
    }
    return Picture(
        key="shares-bars",
        drawing=draw_shares(pairs, teller),
        title=say("shares.picture_title"),
        alt=say("shares.alt", values),
        caption=say("shares.caption", values),
        summary=say("page.table_behind"),
        table=_build_table(pairs, teller),
    )


def _describe_row(part: OutcomeStudy, shares: Shares, teller: Teller) -> str:
    """Return one bar in words, with its numbers."""
    say = teller.wording.say
    parts = [
        say("shares.alt_part", {"name": name_part(one.name, teller), "n": _size(one, teller)})
        for one in shares.parts
    ]
    together = describe_part_size(shares.yours, teller)
    values = {"outcome": part.outcome.label, "parts": ", ".join(parts), "yours": together}
    return say("shares.alt_row", values)


def _size(one: SharePart, teller: Teller) -> str:
    return describe_part_size(one, teller)


def draw_shares(pairs: list[tuple[OutcomeStudy, Shares]], teller: Teller) -> SharesDrawing:
    """Return the bars, what is yours first; parts that no outcome has are not named."""
    say = teller.wording.say
    names = dict.fromkeys(one.name for _, shares in pairs for one in shares.parts)
    return SharesDrawing(
        rows=tuple(
            SharesRow(
                label=part.outcome.label,
                parts=tuple((one.name, round(100 * one.share, 3)) for one in shares.parts),
                yours=round(100 * shares.yours.share, 3),
                low=None if shares.yours.low is None else round(100 * shares.yours.low, 3),
                high=None if shares.yours.high is None else round(100 * shares.yours.high, 3),
            )
            for part, shares in pairs
        ),
        names=tuple((name, name_part(name, teller)) for name in names),
        yours=say("shares.key_yours"),
        axis=say("shares.axis"),
    )


def _build_table(pairs: list[tuple[OutcomeStudy, Shares]], teller: Teller) -> Table:
    say = teller.wording.say
    return Table(
        key="shares-table",
        caption=say("shares.picture_title"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("shares.column_part")),
            Column(heading=say("shares.column_share"), numeric=True),
            Column(heading=say("columns.interval", {"confidence": describe_confidence(teller)})),
            Column(heading=say("shares.column_note")),
        ),
        rows=tuple(
            (part.outcome.label, *row)
            for part, shares in pairs
            for row in build_part_rows(shares, teller)
        ),
        note=say("outcomes.table_note"),
    )
