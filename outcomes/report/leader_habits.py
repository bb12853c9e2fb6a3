"""The leader's page: each person's habits against the others of the same firings."""

from collections.abc import Sequence

from outcomes.effects.people_habits import Habit
from outcomes.log.codebook import Factor, Kind
from outcomes.report.document import Block, Column, Depth, Paragraph, Section, Table, Tone, make_key
from outcomes.report.leader_view import LeaderView
from outcomes.report.wording import join_words

A_TABLE = 8  # people side by side


def build_habits(view: LeaderView) -> Section:
    """Return the section: tables of habits, the differences behind them folded."""
    say, people = view.say, view.of_class.people
    tables = [
        _build_table(people[first : first + A_TABLE], view)
        for first in range(0, len(people), A_TABLE)
    ]
    differences = _build_differences(view)
    blocks: tuple[Block, ...] = (
        Paragraph(text=say("leader.habits_lead"), tone=Tone.LEAD),
        *tables,
        Depth(key="more-habits", summary=differences.caption, blocks=(differences,)),
    )
    return Section(key="habits", title=say("leader.habits"), blocks=blocks)


def _build_table(people: Sequence[str], view: LeaderView) -> Table:
    """Return some people's habits, a line a setting, with everybody's last."""
    say, of_class = view.say, view.of_class
    heads = [view.name(person) for person in people]
    pieces = (
        say("leader.habits_pieces"),
        *(str(of_class.pieces[person]) for person in people),
        str(sum(of_class.pieces.values())),
    )
    rows = [
        (
            _heading(factor, view),
            *(_cell(_find(person, factor, view), view) for person in people),
            _middle(factor, view),
        )
        for factor in of_class.settings
    ]
    return Table(
        key=make_key(f"habits-{people[0]}"),
        caption=say("leader.habits_table", {"names": join_words(heads)}),
        columns=(
            Column(heading=say("leader.habits_setting")),
            *(Column(heading=head, numeric=True) for head in heads),
            Column(heading=say("leader.habits_everybody"), numeric=True),
        ),
        rows=(pieces, *rows),
    )


def _heading(factor: Factor, view: LeaderView) -> str:
    """Return a setting's name, for a choice with the level that is counted."""
    label = view.teller.label(factor.name)
    level = _level(factor, view)
    if not level:
        return label
    return view.say("leader.habits_share", {"label": label, "level": level})


def _level(factor: Factor, view: LeaderView) -> str:
    return next((h.level for h in view.of_class.habits if h.factor == factor.name), "")


def _find(person: str, factor: Factor, view: LeaderView) -> Habit | None:
    return next(
        (h for h in view.of_class.habits if (h.person, h.factor) == (person, factor.name)), None
    )


def _cell(habit: Habit | None, view: LeaderView) -> str:
    """Return a habit, with a word where it clearly differs."""
    if habit is None:
        return view.say("leader.habits_blank")
    value = view.habit_value(habit.own, habit.factor)
    if not habit.differs or habit.difference is None:
        return value
    key = "leader.habits_higher" if habit.difference > 0 else "leader.habits_lower"
    return view.say(key, {"value": value})


def _middle(factor: Factor, view: LeaderView) -> str:
    """Return the middle of the whole log."""
    values = view.teller.study.log.values[factor.name].dropna()
    if factor.kind is Kind.NUMBER:
        return view.habit_value(float(values.median()), factor.name)
    return view.habit_value(float((values == _level(factor, view)).mean()), factor.name)


def _build_differences(view: LeaderView) -> Table:
    say = view.say
    rows = tuple(
        (
            view.name(habit.person),
            _heading(view.teller.study.log.codebook.factor(habit.factor), view),
            _gap(habit.difference, habit, view),
            say(
                "leader.split_span",
                {"low": _gap(habit.low, habit, view), "high": _gap(habit.high, habit, view)},
            ),
            str(habit.firings),
        )
        for habit in view.of_class.habits
        if habit.difference is not None
    )
    return Table(
        key="habits-differences",
        caption=say("leader.habits_open"),
        columns=(
            Column(heading=say("leader.habits_who")),
            Column(heading=say("leader.habits_setting")),
            Column(heading=say("leader.habits_gap"), numeric=True),
            Column(heading=say("leader.habits_interval", view.confidence()), numeric=True),
            Column(heading=say("leader.habits_clusters"), numeric=True),
        ),
        rows=rows,
    )


def _gap(value: float | None, habit: Habit, view: LeaderView) -> str:
    """Return a difference in the unit shown, one digit finer than a practical step."""
    if value is None:
        return view.say("leader.habits_blank")
    factor = view.teller.factor(habit.factor)
    if factor is None or factor.kind is not Kind.NUMBER:
        return f"{100.0 * value:+.0f}".replace("-", "−")
    # A difference has no zero point: 10 °C are 18 °F.
    shown = view.teller.in_shown_unit(value, habit.factor) - view.teller.in_shown_unit(
        0.0, habit.factor
    )
    unit = view.teller.unit_word(habit.factor)
    return f"{shown:+.3g} {unit}".strip().replace("-", "−").replace(" ", "\u202f")
