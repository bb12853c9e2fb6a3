"""What every part of the leader's page needs: the class, and what its people are called."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from outcomes.log.codebook import Kind
from outcomes.report.amounts import describe_number
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words
from outcomes.study.class_view import ClassView

# One letter, with or without a number, or a number alone, tells nobody's name.
_CODE = re.compile(r"[A-Za-z]?\d{0,3}")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeaderView:
    """A teller, the class it tells of, and (name in the log, name on the page) pairs."""

    teller: Teller
    of_class: ClassView
    called: tuple[tuple[str, str], ...]

    def name(self, person: str) -> str:
        """Return what a person is called on the page."""
        return dict(self.called)[person]

    def names(self, people: Sequence[str]) -> str:
        """Return several people as they are read aloud."""
        return join_words([self.name(person) for person in people])

    def say(self, key: str, values: Mapping[str, Value] | None = None) -> str:
        """Return a text of the page."""
        return self.teller.wording.say(key, values)

    def confidence(self) -> dict[str, Value]:
        """Return the confidence of the intervals, for the head of a column."""
        return {"confidence": f"{100 * self.teller.study.options.confidence:g}"}

    def habit_value(self, value: float, factor: str) -> str:
        """Return the middle of a habit, or how many of 100 a choice was."""
        known = self.teller.factor(factor)
        if known is not None and known.kind is not Kind.NUMBER:
            return describe_number(100.0 * value, step=1.0, unit="")
        return self.teller.plain_amount(value, factor)


def build_leader_view(teller: Teller, of_class: ClassView) -> LeaderView:
    """Return the class with codes for names, unless names were asked for."""
    group = of_class.group
    names: list[str] = []
    if group is not None:
        written = teller.study.log.values[group.name].dropna().astype(str)
        names = list(dict.fromkeys(written))
    shown = name_people(names, show=teller.study.options.names)
    return LeaderView(
        teller=teller, of_class=of_class, called=tuple(zip(names, shown, strict=True))
    )


def name_people(names: Sequence[str], *, show: bool) -> tuple[str, ...]:
    """Return what people are called: as written when asked for or already codes, else S1, S2 ...

    >>> name_people(["A", "B2"], show=False), name_people(["Ida", "Bo"], show=False)
    (('A', 'B2'), ('S1', 'S2'))
    """
    if show or all(_CODE.fullmatch(name) for name in names):
        return tuple(names)
    return tuple(f"S{place}" for place in range(1, len(names) + 1))


def is_coded(view: LeaderView) -> bool:
    """Return whether somebody is called otherwise than in the log."""
    return any(name != shown for name, shown in view.called)
