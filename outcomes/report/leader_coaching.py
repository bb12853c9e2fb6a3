"""The leader's page: what a coached habit changed, apart from luck and the return to the usual."""

from outcomes.effects.coaching import Change, Coached
from outcomes.log.codebook import Kind
from outcomes.report.amounts import describe_change, describe_span
from outcomes.report.document import Block, Column, Paragraph, Section, Table, Tone, make_key
from outcomes.report.leader_people import describe_day
from outcomes.report.leader_view import LeaderView
from outcomes.report.wording import Value, mid_sentence
from outcomes.study.class_view import OutcomeOfClass


def build_coaching(view: LeaderView) -> Section:
    """Return the section; without anything coached it says how to ask."""
    say, coaching = view.say, view.of_class.coaching
    blocks: list[Block] = []
    if coaching is None:
        blocks.append(Paragraph(text=say("leader.coaching_none")))
    else:
        blocks.append(Paragraph(text=_describe_what(view), tone=Tone.LEAD))
        blocks += _build_own(view)
        for one in view.of_class.outcomes:
            blocks += _build_outcome(one, view)
    return Section(key="coaching", title=say("leader.coaching"), blocks=tuple(blocks))


def describe_coached(one: OutcomeOfClass, view: LeaderView) -> str:
    """Return the habit's own part in one sentence, "" where it was not measured."""
    if one.coached is None:
        return ""
    values: dict[str, Value] = {
        "outcome": one.part.outcome.label,
        "label": mid_sentence(view.teller.label(one.coached.factor)),
        "day": describe_day(view),
        "phrase": one.part.outcome.phrase,
        "change": describe_change(one.coached.habit.size, view.teller.wording),
        "limits": _limits(one.coached.habit, view),
    }
    interval = one.coached.habit.interval
    is_clear = interval.low * interval.high > 0.0
    return view.say("leader.coached_glance" if is_clear else "leader.coached_glance_open", values)


def _describe_what(view: LeaderView) -> str:
    coaching, step = view.of_class.coaching, view.of_class.step
    assert coaching is not None  # noqa: S101
    label = mid_sentence(view.teller.label(coaching.factor))
    values: dict[str, Value] = {"label": label, "day": describe_day(view)}
    if step is None:
        return view.say("leader.coaching_asked", values)
    values["before"] = view.teller.plain_amount(step.before, step.factor)
    values["after"] = view.teller.plain_amount(step.after, step.factor)
    return view.say("leader.coaching_found", values)


def _build_own(view: LeaderView) -> list[Block]:
    """Return each person's middle before and since, for a numeric setting."""
    coaching, log = view.of_class.coaching, view.teller.study.log
    assert coaching is not None  # noqa: S101
    factor = log.codebook.factor(coaching.factor)
    if factor.kind is not Kind.NUMBER:
        return []
    after = log.values[coaching.date] >= coaching.since
    rows = []
    for person in view.of_class.people:
        mine = log.values[coaching.person] == person
        sides = [log.values.loc[mine & side, factor.name].median() for side in (~after, after)]
        shown = [
            view.say("leader.habits_blank") if s != s else view.habit_value(float(s), factor.name)  # noqa: PLR0124 - NaN: no pieces on that side
            for s in sides
        ]
        rows.append((view.name(person), *shown))
    table = Table(
        key="coaching-own",
        caption=view.say("leader.coaching_own"),
        columns=(
            Column(heading=view.say("leader.habits_who")),
            Column(heading=view.say("leader.coaching_before"), numeric=True),
            Column(heading=view.say("leader.coaching_after"), numeric=True),
        ),
        rows=tuple(rows),
    )
    return [table]


def _build_outcome(one: OutcomeOfClass, view: LeaderView) -> list[Block]:
    coaching = view.of_class.coaching
    assert coaching is not None  # noqa: S101
    label = mid_sentence(view.teller.label(coaching.factor))
    values: dict[str, Value] = {"outcome": one.part.outcome.label, "label": label}
    if one.coached is None:
        return [Paragraph(text=view.say("leader.coaching_not_held", values))]
    values["phrase"] = one.part.outcome.phrase
    values["plain"] = describe_change(one.coached.plain.size, view.teller.wording)
    values["plain_limits"] = _limits(one.coached.plain, view)
    blocks: list[Block] = [Paragraph(text=view.say("leader.coaching_sentence", values))]
    blocks.append(_build_table(one, one.coached, view))
    if one.coached.eve is not None:
        blocks.append(Paragraph(text=_describe_eve(one.coached.eve, one, view)))
    return blocks


def _build_table(one: OutcomeOfClass, coached: Coached, view: LeaderView) -> Table:
    say = view.say
    label: dict[str, Value] = {"label": mid_sentence(view.teller.label(coached.factor))}
    parts = (
        (say("leader.coaching_plain"), coached.plain),
        (say("leader.coaching_habit", label), coached.habit),
        (say("leader.coaching_written"), coached.written),
        (say("leader.coaching_luck"), coached.luck),
    )
    note: dict[str, Value] = {
        "before": coached.pieces[0],
        "after": coached.pieces[1],
        "clusters_before": coached.firings[0],
        "clusters_after": coached.firings[1],
    }
    return Table(
        key=make_key(f"coaching-{one.part.outcome.name}"),
        caption=say("leader.coaching_table", {"outcome": one.part.outcome.label}),
        columns=(
            Column(heading=say("leader.coaching_part")),
            Column(heading=say("leader.coaching_change"), numeric=True),
            Column(heading=say("leader.coaching_interval", view.confidence()), numeric=True),
        ),
        rows=tuple(
            (name, describe_change(change.size, view.teller.wording), _limits(change, view))
            for name, change in parts
        ),
        note=say("leader.coaching_note", note),
    )


def _describe_eve(eve: Change, one: OutcomeOfClass, view: LeaderView) -> str:
    """Return whether the day before was a bad one, for an outcome that is wanted one way."""
    values: dict[str, Value] = {
        "change": describe_change(eve.size, view.teller.wording),
        "limits": _limits(eve, view),
    }
    is_clear = eve.interval.low * eve.interval.high > 0.0
    if not is_clear:
        return view.say("leader.coaching_eve_usual", values)
    is_bad = (eve.size < 0.0) == (str(one.part.outcome.wanted) != "lower")
    key = "leader.coaching_eve_bad" if is_bad else "leader.coaching_eve_good"
    return view.say(key, values)


def _limits(change: Change, view: LeaderView) -> str:
    return describe_span(change.interval.low, change.interval.high, view.teller.wording)
