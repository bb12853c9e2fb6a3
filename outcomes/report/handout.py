"""The students' handout: one sheet of paper, made from the same study as every other page.

It names nobody and says nothing about anybody. What may be changed is told only where the
verdict is "changes the surface"; what need not be watched only where it is "too small to
matter"; the rest is said to be open. How much fits on the sheet is reckoned from the length
of the texts, so that a codebook with long cautions gets fewer habits, never half a caution.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from outcomes.effects.effect import Word
from outcomes.effects.suggestion import WorthChanging
from outcomes.log.codebook import Role
from outcomes.report.amounts import clamp_per_100, describe_rate, whole_per_100
from outcomes.report.teller import Teller, build_teller
from outcomes.report.ways import Way, choose_way
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.study.class_view import find_worth
from outcomes.study.record import Study

MOST_HABITS = 3
ITEM_LETTERS = 90  # of a list's items together
A_LINE = 48  # letters of a line beside the pictures, at 14 points
LEAST_LINES = 7  # the height of the pictures
MOST_LINES = 22  # such lines for all habits together
LONGEST = 40  # letters of a label

# Not \\s: the narrow no-break space before a unit must stay.
_GAPS = re.compile(r"[ \t\r\n]+")
# What a setting says that is neither worth changing nor too small, most telling first.
_OPEN = (Word.LEANS, Word.CANNOT_TELL, Word.TANGLED, Word.THIN, Word.NEVER_VARIED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hundred:
    """A picture of a hundred pieces: the black ones come first."""

    black: int
    caption: str
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TaughtHabit:
    """One habit worth changing: its heading, its numbers, how to do it safely."""

    title: str
    text: str
    key: str
    safely: str
    before: Hundred
    after: Hundred

    def lines(self) -> int:
        """Return about how many lines it takes."""
        texts = (self.title, self.text, self.safely)
        return max(LEAST_LINES, sum(ceil(len(text) / A_LINE) for text in texts))


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortList:
    """A few words under a heading; ``items`` may be empty, ``lead`` never is."""

    title: str
    lead: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handout:
    """The sheet, nothing rendered yet."""

    language: str
    title: str
    source: str
    honest: str
    worth_title: str
    worth_note: str
    habits: tuple[TaughtHabit, ...]
    safely: str
    lists: tuple[ShortList, ...]
    always: str
    cautions: tuple[str, ...]
    footer: str


def build_handout(study: Study) -> Handout:
    """Return the handout of a study."""
    teller = build_teller(study)
    say, worth = teller.wording.say, find_worth(study)
    habits = _fit([_teach(one, teller) for one in worth[:MOST_HABITS]])
    shown = {one.factor for one in worth}
    is_hot = study.log.codebook.handles_hot_ware
    return Handout(
        language=say("handout.language"),
        title=say("handout.title"),
        source=say(
            "handout.source",
            {
                "title": shorten(study.log.codebook.title, 60),
                "n": study.log.account.rows_used,
                "firings": study.firings,
            },
        ),
        honest=say("handout.honest"),
        worth_title=say("handout.worth"),
        worth_note=_note(study, len(worth) - len(habits), bool(habits), teller),
        habits=habits,
        safely=say("handout.safely"),
        lists=_build_lists(teller, shown),
        always=say("handout.always"),
        cautions=teller.wording.say_all("handout.cautions" if is_hot else "handout.cautions_cold"),
        footer=say("handout.footer", {"version": study.version}),
    )


def shorten(text: str, most: int = LONGEST) -> str:
    """Return a text of at most so many letters, on one line; no-break spaces stay.

    >>> shorten("Seconds  to the can"), shorten("a" * 50, 10)
    ('Seconds to the can', 'aaaaaaaaa…')
    """
    line = _GAPS.sub(" ", text).strip()
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"


def _fit(habits: Sequence[TaughtHabit]) -> tuple[TaughtHabit, ...]:
    """Return the first habits that fit the sheet together, at least one if there is any."""
    kept: list[TaughtHabit] = []
    for habit in habits:
        if kept and sum(one.lines() for one in (*kept, habit)) > MOST_LINES:
            break
        kept.append(habit)
    return tuple(kept)


def _note(study: Study, left: int, is_any: bool, teller: Teller) -> str:
    """Return what stands under the heading beside the habits, "" for nothing."""
    if not is_any:
        few = study.firings < FEWEST_FIRINGS
        return teller.wording.say("handout.worth_few" if few else "handout.worth_none")
    return teller.wording.say("handout.worth_left", {"n": left}) if left else ""


def _teach(worth: WorthChanging, teller: Teller) -> TaughtHabit:
    """Return one habit; its caution stands with it whatever the way it is told."""
    say, effect = teller.wording.say, worth.effect
    factor = teller.factor(worth.factor)
    way = choose_way(worth, factor)
    is_level = isinstance(worth.better, str)
    is_to = worth.better == effect.contrast.to_value
    there, here = (
        (effect.rate_to, effect.rate_from) if is_to else (effect.rate_from, effect.rate_to)
    )
    values: dict[str, Value] = {
        "label": shorten(teller.label(worth.factor)),
        "to": shorten(teller.plain_amount(worth.better, worth.factor)),
        "from": shorten(teller.plain_amount(worth.worse, worth.factor)),
        "phrase": shorten(worth.outcome.phrase),
        **_gap(worth, teller),
    }
    calm = "calm" if is_level else "calm_amount"
    note = "" if factor is None else factor.safety_note
    if not note and way is not Way.CALM:
        note = say(f"handout.{way}_how")
    habit = TaughtHabit(
        title=say(f"handout.{calm if way is Way.CALM else way}", values),
        text=say("handout.more" if there > here else "handout.fewer", values),
        key=say("handout.array_key", values),
        safely=note,
        before=_count(here, str(values["from"]), values, teller),
        after=_count(there, str(values["to"]), values, teller),
    )
    if habit.lines() <= MOST_LINES:
        return habit
    title = say("handout.leader", values)
    return replace(habit, title=title, safely=say("handout.too_long"))


def _gap(worth: WorthChanging, teller: Teller) -> dict[str, Value]:
    """Return the size of the difference and of its interval's ends, as whole pieces."""
    effect = worth.effect
    assert effect.interval is not None  # noqa: S101 - nothing without one "changes the surface"
    ends = sorted((abs(effect.interval.low), abs(effect.interval.high)))
    near, far = (whole_per_100(end) for end in ends)
    under = teller.wording.say("handout.under_one")
    return {
        "gap": abs(whole_per_100(effect.change)),
        "low": near or under,
        "high": far or under,
    }


def _count(rate: float, value: str, values: dict[str, Value], teller: Teller) -> Hundred:
    own = {**values, "value": value, "n": describe_rate(rate, teller.wording)}
    return Hundred(
        black=clamp_per_100(rate),
        caption=teller.wording.say("handout.array_caption", own),
        alt=teller.wording.say("handout.array_alt", own),
    )


def _build_lists(teller: Teller, shown: set[str]) -> tuple[ShortList, ...]:
    """Return what need not be watched, what is open and, if any, what is tangled or two-sided."""
    said = _words_by_factor(teller)
    small = [name for name, by in said.items() if name not in shown and _is_small(by)]
    choice = [
        name for name, by in said.items() if name not in shown and Word.CHANGES in by.values()
    ]
    known = shown | set(small) | set(choice)
    unknown = [
        name
        for word in _OPEN
        for name, by in said.items()
        if name not in known and _first_open(by) is word
    ]
    tangled = [name for name in unknown if _first_open(said[name]) is Word.TANGLED]
    unknown = [name for name in unknown if name not in tangled]
    kinds = [
        ("small", [_small_item(name, said[name], teller) for name in small]),
        ("unknown", [shorten(teller.label(name)) for name in unknown]),
    ]
    sometimes = (("tangled", tangled), ("choice", choice))
    kinds += [(key, [shorten(teller.label(n)) for n in names]) for key, names in sometimes if names]
    room = ITEM_LETTERS * 2 // len(kinds)
    return tuple(_list(key, items, teller, room=room) for key, items in kinds)


def _words_by_factor(teller: Teller) -> dict[str, dict[str, Word]]:
    """Return factor -> outcome -> verdict word, settings other than the glaze, recorded ones."""
    log = teller.study.log
    said: dict[str, dict[str, Word]] = {}
    for part in teller.study.outcomes:
        pairs = [(e.contrast.factor, e.contrast.role, e.verdict) for e in part.effects]
        pairs += [(item.factor, item.role, item.verdict) for item in part.not_learnt]
        for name, role, verdict in pairs:
            is_setting = role is Role.SETTING and name != log.codebook.glaze
            if is_setting and verdict is not None and name in log.values:
                said.setdefault(name, {})[part.outcome.label] = verdict.word
    return said


def _is_small(by: dict[str, Word]) -> bool:
    """Return whether a setting may be let go: too small somewhere, and nowhere more than open."""
    words = set(by.values())
    return Word.SMALL in words and not words & {Word.CHANGES, Word.LEANS}


def _first_open(by: dict[str, Word]) -> Word | None:
    return next((word for word in _OPEN if word in by.values()), None)


def _small_item(name: str, by: dict[str, Word], teller: Teller) -> str:
    outcomes = [mid_sentence(label) for label, word in by.items() if word is Word.SMALL]
    values: dict[str, Value] = {
        "label": shorten(teller.label(name)),
        "outcomes": shorten(join_words(outcomes)),
    }
    return teller.wording.say("handout.small_item", values)


def _list(key: str, items: Sequence[str], teller: Teller, *, room: int) -> ShortList:
    """Return a list of as many items as fit, the others counted."""
    say = teller.wording.say
    shown: list[str] = []
    for item in items:
        if shown and sum(len(one) + 3 for one in (*shown, item)) > room:
            break
        shown.append(item)
    if len(items) > len(shown):
        shown.append(say("handout.further", {"n": len(items) - len(shown)}))
    titles = {
        "small": ("handout.small", "handout.small_lead", "handout.small_none"),
        "unknown": ("handout.unknown", "handout.unknown_lead", "handout.unknown_none"),
        "tangled": ("handout.tangled", "handout.tangled_lead", "handout.tangled_lead"),
        "choice": ("handout.choice", "handout.choice_lead", "handout.choice_lead"),
    }
    title, lead, none = titles[key]
    return ShortList(title=say(title), lead=say(lead if items else none), items=tuple(shown))
