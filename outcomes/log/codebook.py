"""What the columns of a log mean: the records a codebook file is read into.

`codebook_file.read_codebook` makes them; everything downstream only reads them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from outcomes.errors import CodebookError


class Role(StrEnum):
    """Who decides a column's value."""

    SETTING = "setting"  # the maker chooses it: ranked, and may become advice
    CONDITION = "condition"  # recorded, not chosen: listed apart, never advice
    GROUPING = "grouping"  # who or which group: adjusted for, never ranked, never advice


class Kind(StrEnum):
    """What one cell holds."""

    NUMBER = "number"
    LEVELS = "levels"  # one of a few names; yes/no is the two levels "no", "yes"
    NAME = "name"  # any text, few distinct values expected (glaze, maker, clay body)


class Shape(StrEnum):
    """How an outcome is allowed to change along a numeric factor."""

    STRAIGHT = "straight"
    WINDOW = "window"
    SATURATING = "saturating"
    LEVELS = "levels"


class Direction(StrEnum):
    """A direction along a factor or an outcome."""

    HIGHER = "higher"
    LOWER = "lower"
    NEITHER = "neither"
    EITHER = "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A closed interval of numbers in a factor's base unit."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise CodebookError(f"a range needs low < high, got {self.low:g} to {self.high:g}")

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One thing that may change a surface.

    Parameters
    ----------
    name
        Canonical column name, base unit included (``pull_temp_c``).
    label
        The maker's words, sentence case ("Seconds to the can").
    role, kind, shape
        See the enums. ``shape`` is ``LEVELS`` unless ``kind`` is ``NUMBER``.
    unit
        Base unit code (``"C" "s" "min" "g" "mm" "L" "pct" "m/s" "count"``); "" when none.
    accepted_units
        Unit codes a header or a cell may use; the base unit is among them.
    measures
        A studio's own calibration, (word, amount in base unit): ``(("sheet", 28.0),)``.
    possible
        Outside it a value is a typing error: set aside with the reason.
    plausible
        Outside it a value is kept and asked about.
    step
        A practical change in base unit; effects are rounded to it. None unless a number.
    levels
        Allowed names, in order, when ``kind`` is ``LEVELS``; empty otherwise.
    level_words
        Other spellings of levels: ((word, level), ...), lower case.
    aliases
        Other headers that mean this column, lower case.
    hard_to_change
        True when it is constant within a firing in practice (a whole-plot setting).
    hot
        Direction in which a change means faster, hotter or closer handling of hot ware;
        a finding pointing there carries ``safety_note`` in place. ``EITHER``: always.
        ``NEITHER``: never.
    safety_note
        The caution for that direction, a full sentence; "" when ``hot`` is ``NEITHER``.
    feasible
        Range within which the planner may propose values; None means ``plausible``.
    unstated_unit
        Unit of a number when neither its header nor its cell states one; "" means the base
        unit, except for temperatures, which are then asked about.
    """

    name: str
    label: str
    role: Role
    kind: Kind
    shape: Shape
    unit: str = ""
    accepted_units: tuple[str, ...] = ()
    measures: tuple[tuple[str, float], ...] = ()
    possible: Range | None = None
    plausible: Range | None = None
    step: float | None = None
    levels: tuple[str, ...] = ()
    level_words: tuple[tuple[str, str], ...] = ()
    aliases: tuple[str, ...] = ()
    hard_to_change: bool = False
    hot: Direction = Direction.NEITHER
    safety_note: str = ""
    feasible: Range | None = None
    unstated_unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One grade of an outcome: its name as written in the log and its anchor wording."""

    name: str
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One graded result.

    Parameters
    ----------
    name, label
        Canonical column name and the maker's words.
    levels
        At least two, lowest first.
    aim
        Index of the level that counts: "pieces at this grade or above". For a loss such as
        ``cracked`` it is the level "yes" and ``wanted`` is ``LOWER``.
    wanted
        ``HIGHER``: more pieces at the aim are better; ``LOWER``: fewer; ``NEITHER``: taste.
    phrase
        What a piece at the aim is, to follow "of 100 pieces, 12 more ...":
        "show broad luster or better" / "crack".
    applies_to
        Glaze names it is graded on; empty means every glaze.
    smallest_difference
        Smallest change worth having, pieces per 100.
    level_words, aliases
        As in `Factor`.
    how_to_grade
        What the grader does before choosing a level, full sentences; "" when nothing.
    """

    name: str
    label: str
    levels: tuple[Level, ...]
    aim: int
    wanted: Direction
    phrase: str
    applies_to: tuple[str, ...] = ()
    smallest_difference: float = 10.0
    level_words: tuple[tuple[str, str], ...] = ()
    aliases: tuple[str, ...] = ()
    how_to_grade: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Codebook:
    """A whole codebook.

    Parameters
    ----------
    title
        What craft or panel it describes.
    firing, date, piece, glaze, loaded, notes
        Canonical names of the special columns (cluster, its date, the piece's own id, the
        glaze factor, pieces loaded in the firing, free text); "" when there is none.
    factors, outcomes
        In the order they are shown.
    cluster_word, piece_word
        How the report names a cluster and a row ("firing", "piece"; a panel may say "judge").
    special_aliases
        ((canonical special column, (alias, ...)), ...), lower case.
    date_order
        "" (ask when in doubt), "day first" or "month first".
    handles_hot_ware
        True when the trade's safety cautions belong on every page.
    how_to_grade
        Instructions that hold for every outcome, in order, for the grading card.
    """

    title: str
    factors: tuple[Factor, ...]
    outcomes: tuple[Outcome, ...]
    firing: str = "firing_id"
    date: str = "fired_on"
    piece: str = "piece_id"
    glaze: str = "glaze"
    loaded: str = "pieces_loaded"
    notes: str = "notes"
    cluster_word: str = "firing"
    piece_word: str = "piece"
    special_aliases: tuple[tuple[str, tuple[str, ...]], ...] = ()
    date_order: str = ""
    handles_hot_ware: bool = True
    how_to_grade: tuple[str, ...] = ()

    def factor(self, name: str) -> Factor:
        """Return the factor of that canonical name.

        Raises
        ------
        KeyError
            If there is none.
        """
        return _named(self.factors, name)

    def outcome(self, name: str) -> Outcome:
        """Return the outcome of that canonical name.

        Raises
        ------
        KeyError
            If there is none.
        """
        return _named(self.outcomes, name)

    def special_columns(self) -> Iterator[str]:
        """Yield the canonical names of the special columns that exist."""
        for name in (self.firing, self.date, self.piece, self.loaded, self.notes):
            if name:
                yield name


_Item = TypeVar("_Item", Factor, Outcome)


def _named(items: tuple[_Item, ...], name: str) -> _Item:
    for item in items:
        if item.name == name:
            return item
    raise KeyError(name)
