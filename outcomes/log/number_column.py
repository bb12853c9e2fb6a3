"""What a column of numbers is, and how a number gets its unit or the studio's own measure."""

import re
from dataclasses import dataclass

from outcomes.log.codebook import Factor
from outcomes.log.numerals import read_fraction, read_numeral
from outcomes.log.units import UNITS, dimension_of, find_unit
from outcomes.log.words import is_same_measure

NOT_A_NUMBER = (
    "this is not a number this column can use; write one number, with its unit if it is not "
    "the column's own"
)
NUMBER_AND_MORE = (
    "there is more here than one number with its unit; write the number here and the rest into "
    "the notes"
)
LOOKS_LIKE_A_GRADE = (
    "this may be a fraction, a grade out of several or a date; write a fraction as a decimal "
    "number (0.75) or with its unit (3/4 in)"
)

# Units makers divide by halves and quarters: "3/8" under a header in inches is a fraction.
_FRACTION_UNITS = frozenset({"in", "ft", "lb", "oz", "gal", "qt", "pint", "cup"})
# What a studio counts in measures of its own: sheets, coats, breaths, scoops.
_MEASURED = frozenset({"mass", "length", "time", "volume"})
_DEGREES = frozenset({"°", "deg", "deg.", "degs", "degree", "degrees"})


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberColumn:
    """The column a number stands in: its factor, the unit of its header, its decimal mark."""

    factor: Factor
    header_unit: str = ""
    decimal: str = "."

    @property
    def dimension(self) -> str:
        """What the column measures ("time"), "" when that is unknown."""
        return dimension_of(self.factor.unit)

    @property
    def header_measure(self) -> str:
        """The measure the header counts in ("sheet"), "" when it states a unit or nothing."""
        is_unit = self.header_unit in UNITS or self.header_unit in self.factor.accepted_units
        return "" if is_unit else self.header_unit

    @property
    def default_unit(self) -> str:
        """The unit of a number that states none."""
        return self.header_unit or self.factor.unstated_unit or self.factor.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One number; ``unit`` is "" when the cell names none.

    A measured one ("5 sheets") is already in the column's base unit.
    """

    value: float
    unit: str = ""
    is_measured: bool = False
    is_approximate: bool = False


def read_value(text: str, column: NumberColumn, *, has_unit: bool) -> float | str:
    """Return the number, or why a fraction is not taken for one."""
    value = read_numeral(text, decimal=column.decimal)
    if value is not None:
        return value
    fraction = read_fraction(text)
    if fraction is None:
        return LOOKS_LIKE_A_GRADE if re.fullmatch(r"[0-9]+ ?/ ?[0-9]+", text) else NOT_A_NUMBER
    if fraction.is_certain or has_unit or _is_divided(column):
        return fraction.value
    return LOOKS_LIKE_A_GRADE


def _is_divided(column: NumberColumn) -> bool:
    """Say whether the header counts in something makers divide by halves and quarters."""
    return column.header_unit in _FRACTION_UNITS or bool(column.header_measure)


def with_unit(value: float, word: str, column: NumberColumn) -> Quantity | str:
    """Give a number the unit or the studio's own measure a word names."""
    factor = column.factor
    if column.dimension == "temperature" and word in _DEGREES:
        return Quantity(value=value)
    word = word or column.header_measure
    if not word:
        return Quantity(value=value)
    amount = find_measure(word, column)
    if amount is not None:
        return Quantity(value=value * amount, is_measured=True)
    unit = find_unit(word, base=factor.unit, accepted=factor.accepted_units)
    if unit:
        return Quantity(value=value, unit=unit)
    return _unknown_measure(word, column)


def find_measure(word: str, column: NumberColumn) -> float | None:
    """Return the studio's amount for one of a word, in base unit, or None."""
    for measure, amount in column.factor.measures:
        if is_same_measure(word, measure):
            return amount
    return None


def _unknown_measure(word: str, column: NumberColumn) -> str:
    """Return why "5 sheets" cannot be used yet and which line makes it usable."""
    factor = column.factor
    first, _, more = word.partition(" ")
    if not re.fullmatch(r"[a-z][a-z ]{0,29}", word) or (more and find_unit(first)):
        return NUMBER_AND_MORE if re.match(r"[a-z]", word) else NOT_A_NUMBER
    accepted = " or ".join(factor.accepted_units) or "plain numbers"
    if len(word) == 1 or column.dimension not in _MEASURED:
        return f"{word!r} is not a unit the codebook accepts here; write the amount in {accepted}"
    key = word if not more else f'"{word}"'
    return (
        f"the codebook gives no amount for {word!r}; find the {factor.unit} of one and add the "
        f"line {key} = ... under [factors.{factor.name}.measures], or write the amount in "
        f"{accepted}"
    )
