"""The leader's page: what parts people, what is left to their hands, one suggestion each."""

from outcomes.effects.people_split import PersonPart, PersonSplit
from outcomes.effects.suggestion import Suggestion
from outcomes.report.amounts import describe_change, describe_span
from outcomes.report.cautions import find_cautions
from outcomes.report.document import (
    Block,
    Column,
    Paragraph,
    Section,
    Statement,
    Statements,
    Table,
    Tone,
    make_key,
)
from outcomes.report.leader_view import LeaderView
from outcomes.report.ways import Way, choose_way
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.study.class_view import OutcomeOfClass

WORTH_A_ROW = 0.005  # of the whole: smaller parts are not shown


def build_suggestions(view: LeaderView) -> Section:
    """Return the section: one suggestion a person, each with its caution."""
    say, of_class = view.say, view.of_class
    since = of_class.coaching
    blocks: list[Block] = []
    if of_class.suggestions:
        key = "leader.suggest_lead" if since is None else "leader.suggest_lead_since"
        day: dict[str, Value] = {} if since is None else {"day": describe_day(view)}
        blocks.append(Paragraph(text=say(key, day), tone=Tone.LEAD))
        offers = tuple(_offer(one, view) for one in of_class.suggestions)
        blocks.append(Statements(items=offers))
    rest = [p for p in of_class.people if p not in {one.person for one in of_class.suggestions}]
    if not of_class.suggestions:
        blocks.append(Paragraph(text=say("leader.suggest_none")))
    elif rest:
        blocks.append(Paragraph(text=say("leader.suggest_rest", {"names": view.names(rest)})))
    return Section(key="suggestions", title=say("leader.suggest"), blocks=tuple(blocks))


def describe_day(view: LeaderView) -> str:
    """Return the first day of the later time, as "18 March 2025"."""
    coaching = view.of_class.coaching
    assert coaching is not None  # noqa: S101 - only asked for where something was coached
    since = coaching.since
    return f"{since.day} {view.say(f'months.{since.month}')} {since.year}"


def _offer(one: Suggestion, view: LeaderView) -> Statement:
    worth, teller = one.worth, view.teller
    values: dict[str, Value] = {
        "label": teller.label(worth.factor),
        "to": teller.amount(worth.better, worth.factor),
        "from": teller.amount(worth.worse, worth.factor),
        "change": describe_change(one.change, teller.wording),
        "phrase": worth.outcome.phrase,
        "limits": describe_span(one.interval.low, one.interval.high, teller.wording),
    }
    factor = teller.factor(worth.factor)
    way: str = choose_way(worth, factor)
    if way == Way.CALM and isinstance(worth.better, str):
        way = "calm_level"
    notes = find_cautions((worth.effect,), worth.outcome, teller)
    if not notes and factor is not None and factor.safety_note:
        notes = (factor.safety_note,)
    return Statement(
        title=view.name(one.person), text=view.say(f"leader.offer_{way}", values), cautions=notes
    )


def build_split(view: LeaderView) -> Section:
    """Return the section: the difference between people divided among their habits."""
    say = view.say
    blocks: list[Block] = [Paragraph(text=say("leader.split_lead"), tone=Tone.LEAD)]
    for one in view.of_class.outcomes:
        if one.split is None or not one.split.is_clear:
            values: dict[str, Value] = {"outcome": one.part.outcome.label}
            blocks.append(Paragraph(text=say("leader.split_unclear", values)))
        else:
            blocks.append(_build_parts(one, one.split, view))
    return Section(key="split", title=say("leader.split"), blocks=tuple(blocks))


def _build_parts(one: OutcomeOfClass, split: PersonSplit, view: LeaderView) -> Table:
    say, outcome = view.say, one.part.outcome
    shown = [part for part in split.parts if abs(part.share or 0.0) >= WORTH_A_ROW]
    return Table(
        key=make_key(f"split-{outcome.name}"),
        caption=say("leader.split_table", {"outcome": outcome.label}),
        columns=(
            Column(heading=say("leader.split_what")),
            Column(heading=say("leader.split_part"), numeric=True),
            Column(heading=say("leader.split_interval", view.confidence()), numeric=True),
            Column(heading=say("leader.split_first"), numeric=True),
        ),
        rows=tuple(_part_row(part, view) for part in shown),
        note=say("leader.split_note"),
    )


def _part_row(part: PersonPart, view: LeaderView) -> tuple[str, ...]:
    low, high = (0.0, 0.0) if part.interval is None else (part.interval.low, part.interval.high)
    span: dict[str, Value] = {"low": _in_100(low), "high": _in_100(high)}
    return (
        label_part(part.factor, view),
        _in_100(part.share or 0.0),
        view.say("leader.split_span", span),
        _in_100(part.share_first),
    )


def label_part(factor: str, view: LeaderView) -> str:
    """Return what a part is called: the person's own term is spelled out."""
    group = view.of_class.group
    is_person = group is not None and factor == group.name
    return view.say("leader.split_person") if is_person else view.teller.label(factor)


def _in_100(share: float) -> str:
    return f"{round(100.0 * share) + 0:d}".replace("-", "−")


def describe_split(one: OutcomeOfClass, view: LeaderView) -> str:
    """Return which habit parts people most, or that the log cannot tell."""
    values: dict[str, Value] = {"outcome": one.part.outcome.label}
    if one.split is None or not one.split.is_clear:
        return view.say("leader.first_none", values)
    first = one.split.first()
    if first is not None and first.interval is not None:
        ends = (first.interval.low, first.interval.high)
        low, high = (_in_100(min(1.0, max(0.0, end))) for end in ends)
        values["label"] = mid_sentence(label_part(first.factor, view))
        values["share"] = _in_100(min(1.0, first.share or 0.0))
        values["limits"] = view.say("leader.split_span", {"low": low, "high": high})
        return view.say("leader.first", values)
    largest = [label_part(part.factor, view) for part in one.split.parts[:2]]
    values["labels"] = join_words([mid_sentence(label) for label in largest])
    return view.say("leader.first_open", values)


def describe_hands(one: OutcomeOfClass, view: LeaderView) -> str:
    """Return who stands out once habits are allowed for, if anybody does."""
    values: dict[str, Value] = {"outcome": one.part.outcome.label}
    if not one.people:
        return view.say("leader.hands_unknown", values)
    clear = [effect.person for effect in one.people if effect.stands_out]
    if not clear:
        return view.say("leader.hands_none", values)
    return view.say("leader.hands_some", {**values, "names": view.names(clear), "n": len(clear)})


def build_hands(view: LeaderView) -> Section:
    """Return the section: what is left to each person, pulled toward the middle."""
    say = view.say
    blocks: list[Block] = [Paragraph(text=say("leader.hands_lead"), tone=Tone.LEAD)]
    for one in view.of_class.outcomes:
        if one.people:
            blocks.append(_build_hands_table(one, view))
        else:
            values: dict[str, Value] = {"outcome": one.part.outcome.label}
            blocks.append(Paragraph(text=say("leader.hands_unknown", values)))
    return Section(key="hands", title=say("leader.hands"), blocks=tuple(blocks))


def _build_hands_table(one: OutcomeOfClass, view: LeaderView) -> Table:
    say, wording = view.say, view.teller.wording
    rows = tuple(
        (
            view.name(effect.person),
            describe_change(effect.shrunk, wording),
            describe_span(effect.low, effect.high, wording),
            describe_change(effect.raw, wording),
            say("leader.hands_clear" if effect.stands_out else "leader.hands_luck"),
        )
        for effect in one.people
    )
    phrase: dict[str, Value] = {"phrase": one.part.outcome.phrase}
    return Table(
        key=make_key(f"hands-{one.part.outcome.name}"),
        caption=say("leader.hands_table", {"outcome": one.part.outcome.label}),
        columns=(
            Column(heading=say("leader.habits_who")),
            Column(heading=say("leader.hands_number", phrase), numeric=True),
            Column(heading=say("leader.hands_interval", view.confidence()), numeric=True),
            Column(heading=say("leader.hands_raw"), numeric=True),
            Column(heading=say("leader.hands_word")),
        ),
        rows=rows,
        note=say("leader.hands_note"),
    )
