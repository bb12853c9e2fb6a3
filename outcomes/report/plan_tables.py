"""The tables of the plan's page: run sheet, widths, other numbers of firings."""

from collections.abc import Sequence

from outcomes.doubts.check_tangled import TWIN_EXPLAINED
from outcomes.log.codebook import Outcome
from outcomes.planning.next_expected import MOST_FIRINGS, Foretold
from outcomes.planning.next_plan import NextFirings, PlannedPiece
from outcomes.planning.next_questions import Open
from outcomes.report.document import (
    Block,
    Column,
    ItemList,
    Paragraph,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.plan_sheet import name_piece
from outcomes.report.plan_words import group_tangles, name_outcomes
from outcomes.report.teller import Teller
from outcomes.report.wording import join_words, mid_sentence


def build_sheet(plan: NextFirings, teller: Teller) -> Section:
    """Return the run sheet: one part a firing, empty cells for what happens."""
    say = teller.wording.say
    parts = tuple(_build_firing(name, plan, teller) for name in plan.firings)
    return Section(
        key="run-sheet",
        title=say("plan.sheet_title"),
        blocks=(Paragraph(text=say("plan.sheet_lead")), *parts),
    )


def _build_firing(name: str, plan: NextFirings, teller: Teller) -> Section:
    say = teller.wording.say
    pieces = [piece for piece in plan.pieces if piece.firing == name]
    same = _same_items(pieces, plan, teller)
    blocks: list[Block] = [Paragraph(text=say("plan.sheet_blank_line"), tone=Tone.FINE)]
    if same:
        blocks.insert(0, Paragraph(text=say("plan.sheet_same", {"items": join_words(same)})))
    blocks.append(_piece_table(name, pieces, plan, teller))
    key = "plan.sheet_usual" if name in plan.usual else "plan.sheet_firing"
    return Section(
        key=make_key(f"firing-{name}"), title=say(key, {"name": name}), blocks=tuple(blocks)
    )


def _same_items(pieces: Sequence[PlannedPiece], plan: NextFirings, teller: Teller) -> list[str]:
    """Return the varied settings that are one value in this firing."""
    kept = []
    for choice in plan.varied:
        values = {dict(piece.settings)[choice.factor] for piece in pieces}
        if len(values) == 1:
            label = mid_sentence(teller.label(choice.factor))
            value = teller.amount(next(iter(values)), choice.factor)
            kept.append(teller.wording.say("plan.sheet_item", {"label": label, "value": value}))
    return kept


def _piece_table(
    name: str, pieces: Sequence[PlannedPiece], plan: NextFirings, teller: Teller
) -> Table:
    """Return a firing's rows: what to do, then empty cells."""
    say = teller.wording.say
    varied = [
        choice.factor
        for choice in plan.varied
        if len({dict(piece.settings)[choice.factor] for piece in pieces}) > 1
    ]
    graded = [part.outcome for part in teller.study.outcomes]
    headings = [
        say("plan.sheet_place"),
        *(teller.label(factor) for factor in varied),
        *(outcome.label for outcome in graded),
        say("plan.sheet_notes"),
    ]
    return Table(
        key=make_key(f"sheet-{name}"),
        caption=say("plan.sheet_caption", {"name": name}),
        columns=tuple(Column(heading=heading) for heading in headings),
        rows=tuple(
            (
                name_piece(piece),
                *(teller.amount(dict(piece.settings)[factor], factor) for factor in varied),
                *(_grade_cell(piece, outcome, teller) for outcome in graded),
                "",
            )
            for piece in pieces
        ),
    )


def _grade_cell(piece: PlannedPiece, outcome: Outcome, teller: Teller) -> str:
    """Return an empty cell, or a dash where the outcome does not apply to the glaze."""
    glaze = dict(piece.settings).get(teller.study.log.codebook.glaze)
    names = {name.casefold() for name in outcome.applies_to}
    if not names or glaze is None or str(glaze).casefold() in names:
        return ""
    return teller.wording.say("plan.sheet_not_graded")


def build_widths(plan: NextFirings, teller: Teller) -> Section:
    """Return what the firings would tell: every question's width, today and afterwards."""
    say = teller.wording.say
    keys = ("question", "comparison", "now", "then", "before", "planned", "habit")
    table = Table(
        key="widths",
        caption=say("plan.widths_caption"),
        columns=tuple(
            Column(heading=say(f"plan.widths_{key}"), numeric=place > 1)
            for place, key in enumerate(keys)
        ),
        rows=tuple(_width_row(one, teller) for one in plan.foretold),
        note=say("plan.widths_note"),
    )
    lines = tuple(_apart_line(m, group, teller) for m, group in _told_tangles(plan))
    tangles: tuple[Block, ...] = (ItemList(items=lines),) if lines else ()
    return Section(
        key="widths-section",
        title=say("plan.widths_title"),
        blocks=(Paragraph(text=say("plan.widths_lead")), *tangles, table),
    )


def _told_tangles(plan: NextFirings) -> list[tuple[tuple[str, ...], list[Foretold]]]:
    groups = group_tangles(one for one in plan.foretold if one.explained_now is not None)
    return list(groups.items())


def _apart_line(members: tuple[str, ...], group: Sequence[Foretold], teller: Teller) -> str:
    now = max(one.explained_now or 0.0 for one in group)
    then = max(one.explained_then or 0.0 for one in group)
    return teller.wording.say(
        "plan.apart_line",
        {
            "label": teller.label(members[0]),
            "others": join_words([mid_sentence(teller.label(name)) for name in members[1:]]),
            "outcomes": name_outcomes(
                list(dict.fromkeys(one.question.outcome for one in group)), teller
            ),
            "now": round(100 * now),
            "then": round(100 * then),
            "limit": round(100 * TWIN_EXPLAINED),
        },
    )


def _width_row(one: Foretold, teller: Teller) -> tuple[str, ...]:
    say, question = teller.wording.say, one.question
    name = say(
        "plan.widths_name",
        {
            "label": teller.label(question.factor),
            "outcome": mid_sentence(teller.label(question.outcome)),
        },
    )
    nothing = "plan.widths_tangled" if question.open is Open.TANGLED else "plan.widths_none"
    now = say(nothing) if one.width_now is None else _width(one.width_now, teller)
    planned = say("plan.widths_decided") if one.decides else _firings(one.firings_planned, teller)
    return (
        name,
        teller.short_contrast(question.contrast),
        now,
        _width(one.width_then, teller),
        _as_before(one, teller),
        planned,
        say("plan.widths_never")
        if one.width_as_before is None
        else _firings(one.firings_as_before, teller),
    )


def _as_before(one: Foretold, teller: Teller) -> str:
    if one.width_as_before is not None:
        return _width(one.width_as_before, teller)
    is_tangled = one.question.open is Open.TANGLED
    return teller.wording.say("plan.widths_still" if is_tangled else "plan.widths_still_none")


def _width(width: float, teller: Teller) -> str:
    if width >= 1.0:
        return teller.wording.say("plan.widths_all")
    return f"{100.0 * width:.0f}"


def _firings(count: int | None, teller: Teller) -> str:
    if count is None:
        return teller.wording.say("plan.widths_many", {"n": MOST_FIRINGS})
    return str(count)


def build_alternatives(plan: NextFirings, teller: Teller) -> Section:
    """Return the table of fewer and more firings."""
    say, asked = teller.wording.say, len(plan.foretold)
    has_tangles = any(one.explained_now is not None for one in plan.foretold)
    keys = ["clusters", "pieces", "shorter", "decided", *(["apart"] if has_tangles else [])]
    tangles = sum(one.explained_now is not None for one in plan.foretold)
    rows = []
    for other in plan.alternatives:
        count = str(other.firings)
        if other.firings == len(plan.firings):
            count = say("plan.more_here", {"n": other.firings})
        cells = {
            "clusters": count,
            "pieces": str(other.pieces),
            "shorter": _percent(other.width, teller),
            "decided": say("plan.more_of", {"n": other.decided, "k": asked}),
            "apart": say("plan.more_of", {"n": other.apart, "k": tangles}),
        }
        rows.append(tuple(cells[key] for key in keys))
    table = Table(
        key="alternatives",
        caption=say("plan.more_caption"),
        columns=tuple(
            Column(heading=say(f"plan.more_{key}"), numeric=place > 0)
            for place, key in enumerate(keys)
        ),
        rows=tuple(rows),
    )
    return Section(
        key="alternatives-section",
        title=say("plan.more_title"),
        blocks=(Paragraph(text=say("plan.more_lead")), table),
    )


def _percent(left: float | None, teller: Teller) -> str:
    if left is None:
        return teller.wording.say("plan.more_unknown")
    return teller.wording.say("plan.more_percent", {"n": max(0, round(100 * (1 - left)))})
