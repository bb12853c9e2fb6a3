"""The columns of a blank log, in order, each with the words that explain it."""

from dataclasses import dataclass
from enum import StrEnum

from outcomes.log.codebook import Codebook, Factor, Kind, Outcome, Range, Role
from outcomes.log.units import UNITS


class Holds(StrEnum):
    """What the cells of a column hold."""

    TEXT = "text"
    DATE = "date"
    NUMBER = "number"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One entry of a drop-down list and what it means ("" when it speaks for itself)."""

    name: str
    wording: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetColumn:
    """One column of a blank log.

    Parameters
    ----------
    name, label
        Canonical header and the maker's words.
    holds
        What its cells hold.
    purpose
        One full sentence: what the column is for.
    unit, unit_words
        Base unit code and its name in words; "" when there is none.
    other_units
        Codes of the units a cell may state instead.
    possible, plausible
        As in the codebook.
    choices
        The drop-down list, in order; empty unless ``holds`` is ``CHOICE``.
    is_graded
        True for an outcome, False for everything else.
    is_whole
        True when the numbers are counts.
    """

    name: str
    label: str
    holds: Holds
    purpose: str
    unit: str = ""
    unit_words: str = ""
    other_units: tuple[str, ...] = ()
    possible: Range | None = None
    plausible: Range | None = None
    choices: tuple[Choice, ...] = ()
    is_graded: bool = False
    is_whole: bool = False


_PURPOSES = {
    Role.SETTING: "You choose it.",
    Role.CONDITION: "You only record it.",
    Role.GROUPING: "It says who or which; it is allowed for and never ranked.",
}


def build_columns(codebook: Codebook) -> tuple[SheetColumn, ...]:
    """Return the columns of a blank log: bookkeeping, factors, outcomes, notes."""
    return (
        *_bookkeeping_columns(codebook),
        *(_factor_column(factor) for factor in codebook.factors),
        *(_outcome_column(outcome) for outcome in codebook.outcomes),
        *_notes_column(codebook),
    )


def describe_range(column: SheetColumn) -> str:
    """Return the unit and the ranges of a number column as one line; "" for other columns.

    >>> wall = SheetColumn(
    ...     name="wall_mm", label="Wall", holds=Holds.NUMBER, purpose="", unit="mm",
    ...     unit_words="millimetres", possible=Range(low=2, high=40),
    ... )
    >>> describe_range(wall)
    'millimetres; possible 2 to 40'
    """
    parts = [column.unit_words] if column.unit_words else []
    if column.plausible is not None:
        parts.append(f"usually {describe_span(column.plausible)}")
    if column.possible is not None:
        parts.append(f"possible {describe_span(column.possible)}")
    return "; ".join(parts)


def describe_span(span: Range) -> str:
    """Return a range in words.

    >>> describe_span(Range(low=0.05, high=5))
    '0.05 to 5'
    """
    return f"{span.low:g} to {span.high:g}"


def describe_choices(column: SheetColumn) -> str:
    """Return the choices as one line, each with the first words of its meaning.

    >>> grades = (Choice(name="0", wording="none: no metal"), Choice(name="1"))
    >>> describe_choices(
    ...     SheetColumn(name="a", label="A", holds=Holds.CHOICE, purpose="", choices=grades)
    ... )
    '0 none · 1'
    """
    return " · ".join(
        f"{choice.name} {choice.wording.partition(':')[0]}"
        if ":" in choice.wording
        else choice.name
        for choice in column.choices
    )


def parse_choice(name: str) -> int | str:
    """Return a choice as a maker types it: a plainly written whole number is a number.

    >>> parse_choice("3"), parse_choice("03"), parse_choice("yes")
    (3, '03', 'yes')
    """
    is_plain = name.isascii() and name.isdigit() and str(int(name)) == name
    return int(name) if is_plain else name


def _bookkeeping_columns(codebook: Codebook) -> tuple[SheetColumn, ...]:
    cluster, piece = codebook.cluster_word, codebook.piece_word
    columns = (
        SheetColumn(
            name=codebook.firing,
            label=cluster.capitalize(),
            holds=Holds.TEXT,
            purpose=f"A code of yours, the same on every {piece} of one {cluster}.",
        ),
        SheetColumn(
            name=codebook.date,
            label="Date",
            holds=Holds.DATE,
            purpose="Year, month, day, such as 2026-05-31.",
        ),
        SheetColumn(
            name=codebook.piece,
            label=piece.capitalize(),
            holds=Holds.TEXT,
            purpose=f"Your own number for the {piece}, different on every one.",
        ),
        _loaded_column(codebook),
    )
    return tuple(column for column in columns if column.name)


def _loaded_column(codebook: Codebook) -> SheetColumn:
    cluster, piece = codebook.cluster_word, codebook.piece_word
    return SheetColumn(
        name=codebook.loaded,
        label=f"How many in this {cluster}",
        holds=Holds.NUMBER,
        purpose=f"Every {piece} that went into this {cluster} counts, the lost ones too.",
        possible=Range(low=1, high=1000),
        is_whole=True,
    )


def _notes_column(codebook: Codebook) -> tuple[SheetColumn, ...]:
    if not codebook.notes:
        return ()
    purpose = "Anything else worth remembering; it is kept and never calculated with."
    return (SheetColumn(name=codebook.notes, label="Notes", holds=Holds.TEXT, purpose=purpose),)


def _factor_column(factor: Factor) -> SheetColumn:
    kinds = {Kind.NUMBER: Holds.NUMBER, Kind.LEVELS: Holds.CHOICE, Kind.NAME: Holds.TEXT}
    return SheetColumn(
        name=factor.name,
        label=factor.label,
        holds=kinds[factor.kind],
        purpose=_PURPOSES[factor.role],
        unit=factor.unit,
        unit_words=_unit_words(factor.unit),
        other_units=tuple(unit for unit in factor.accepted_units if unit != factor.unit),
        possible=factor.possible,
        plausible=factor.plausible,
        choices=tuple(Choice(name=level) for level in factor.levels),
        is_whole=factor.unit == "count",
    )


def _outcome_column(outcome: Outcome) -> SheetColumn:
    glazes = f" Only for {', '.join(outcome.applies_to)}." if outcome.applies_to else ""
    return SheetColumn(
        name=outcome.name,
        label=outcome.label,
        holds=Holds.CHOICE,
        purpose=f"You grade it with the grading card; empty means nobody looked.{glazes}",
        choices=tuple(Choice(name=level.name, wording=level.wording) for level in outcome.levels),
        is_graded=True,
    )


def _unit_words(unit: str) -> str:
    return UNITS[unit].name if unit in UNITS else unit
