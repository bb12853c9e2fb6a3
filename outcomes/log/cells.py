"""One cell of text -> one value: `parse_number`, `parse_level`, `parse_grade`, `parse_name`.

What is not plainly a value is set aside with the reason; nothing is guessed and nothing raises.
"""

import math
import re

from outcomes.log.amounts import Amount, parse_amount, strip_approximation
from outcomes.log.cell import BLANK, DITTO, Cell, set_aside
from outcomes.log.codebook import Factor
from outcomes.log.firing_log import How
from outcomes.log.levels import parse_grade, parse_level, parse_name
from outcomes.log.number_column import NOT_A_NUMBER, NumberColumn
from outcomes.log.units import dimension_of, to_base
from outcomes.log.words import LONGEST_CELL, clean_text, is_blank, is_ditto

__all__ = ["Cell", "parse_grade", "parse_level", "parse_name", "parse_number"]

SCALE_NOT_STATED = "scale not stated"
"""Reason of a temperature that could be either scale: reading turns these into a question."""

TOO_LONG = f"longer than {LONGEST_CELL} characters: this is a note; write one number"
WORDS = (
    "words are not read as a number; write your best number, or leave the cell empty and put the "
    "words into the notes"
)
OPEN_ENDED = (
    "an open end (more than, up to, at least, +) is not one number; write your best single "
    "number, with ~ before it if it is rough"
)
TIME_OF_DAY = (
    "this is a time of day, which spreadsheets make out of 0:25; format the column as text and "
    "write the amount again, with its unit"
)
A_DATE = (
    "this is a date, which spreadsheets make out of 3-4; format the column as text and write the "
    "amount again, with its unit"
)
A_CONE = (
    "a cone says what the kiln was fired to, not how hot the piece was; write the temperature "
    "with C or F"
)
TOO_LARGE = "this number is too large to be an amount; write it again"

# Above this no pull temperature is written in Celsius: bodies and glazes of this trade
# would not stand it and its kilns do not reach it. Common practice, no source.
_SURELY_FAHRENHEIT = 1200.0

_OPEN = re.compile(
    r"^(?:[<>]|=[<>]|over |under |more than |less than |fewer than |at least |at most |up to |"
    r"max\.? |maximum |min\.? [0-9]|minimum |not more than |no more than |above |below |after |"
    r"before |longer than |shorter than |until |till )"
    r"|(?:[0-9]| ?[a-z%°'\"]+\.?) ?\++$|(?: or | and | & )(?:more|less|up|over|longer)$| plus$"
)
# "'12" is how a spreadsheet is told that 12 is text; primes of minutes or feet come after.
_TEXT_MARK = re.compile(r"^'(?=[0-9.,]+$)")
_SPREADSHEET_TIME = re.compile(
    r"[0-9]{1,3}:[0-9]{2}:[0-9]{2}(?:\.[0-9]+)?(?: ?[ap]\.?m\.?)?|"
    r"[0-9]{1,2}(?::[0-9]{2})? ?[ap]\.?m\.?"
)
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)"
_SPREADSHEET_DATE = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[t ].*)?|"
    rf"[0-9]{{1,2}}-{_MONTH}(?:-[0-9]{{2,4}})?|{_MONTH}-[0-9]{{1,2}}"
)
_CONE = re.compile(r"(?:cone|[\^∆Δδ△▲]) ?0?[0-9]{1,2}(?:[^0-9].*)?|c ?0?[0-9]{1,2}|c\. ?0[0-9]")


def parse_number(text: str, factor: Factor, *, header_unit: str = "", decimal: str = ".") -> Cell:
    """Read one cell of a column of numbers.

    Parameters
    ----------
    text
        The cell as typed.
    factor
        The column; its accepted units, measures and unstated unit decide.
    header_unit
        Unit code the header states, or "". A unit in the cell goes before it.
    decimal
        The column's decimal mark, "." or ",".

    Returns
    -------
    Cell
        ``value`` finite and in the factor's base unit; None for blank, ditto and set aside.
        Ranges are read as their middle, also when rough ("10-15?").

    Notes
    -----
    A temperature without a unit in its header, its cell or the codebook is taken for °F above
    1200 and otherwise set aside with `SCALE_NOT_STATED`, unless the codebook accepts one scale
    only. Colon times are minutes and seconds in a column of seconds; in one of minutes they
    could be hours and minutes as well and are set aside.
    """
    cleaned = _TEXT_MARK.sub("", clean_text(text[: 2 * LONGEST_CELL]))
    if len(text.strip()) > LONGEST_CELL:
        return set_aside(TOO_LONG)
    if is_blank(cleaned, number=True):
        return BLANK
    if is_ditto(cleaned):
        return DITTO
    column = NumberColumn(factor=factor, header_unit=header_unit, decimal=decimal)
    reason = _refuse(cleaned.casefold(), column)
    if reason:
        return set_aside(reason)
    amount = parse_amount(cleaned, column)
    if isinstance(amount, str):
        return set_aside(_explain(amount, cleaned))
    return _to_cell(amount, column)


def _refuse(text: str, column: NumberColumn) -> str:
    """Return why a text is known not to be one amount, or ""."""
    if _SPREADSHEET_TIME.fullmatch(text):
        return TIME_OF_DAY
    if _SPREADSHEET_DATE.fullmatch(text):
        return A_DATE
    if column.dimension == "temperature" and _CONE.fullmatch(text):
        return A_CONE
    bare, _ = strip_approximation(text)
    if _OPEN.search(bare) and any("0" <= sign <= "9" for sign in bare):
        return OPEN_ENDED
    return ""


def _explain(reason: str, cleaned: str) -> str:
    """Return the reason, for mere words the one that says so."""
    if reason == NOT_A_NUMBER and not any(sign.isdecimal() for sign in cleaned):
        return WORDS
    return reason


def _to_cell(amount: Amount, column: NumberColumn) -> Cell:
    """Bring an amount into the base unit."""
    base = column.factor.unit
    unit = base if amount.is_measured else amount.unit or _unstated_unit(amount, column)
    if not unit and dimension_of(base) == "temperature":
        return set_aside(SCALE_NOT_STATED)
    if unit != base and unit not in column.factor.accepted_units:
        return set_aside(_not_accepted(unit, column.factor))
    if unit != base and dimension_of(unit) != dimension_of(base):
        return set_aside(_not_accepted(unit, column.factor))
    middle = amount.low if amount.low == amount.high else amount.low / 2 + amount.high / 2
    value = to_base(middle, unit, base) + 0.0
    if not math.isfinite(value):
        return set_aside(TOO_LARGE)
    return Cell(value=value, how=_how(amount, converted=unit != base), unit=amount.unit)


def _unstated_unit(amount: Amount, column: NumberColumn) -> str:
    """Return the unit of a number that states none; "" when it has to be asked about."""
    factor = column.factor
    told = column.header_unit or factor.unstated_unit
    if told or column.dimension != "temperature":
        return told or factor.unit
    scales = [unit for unit in factor.accepted_units if dimension_of(unit) == "temperature"]
    if len(scales) < 2:
        return factor.unit
    return "F" if amount.low > _SURELY_FAHRENHEIT and "F" in scales else ""


def _how(amount: Amount, *, converted: bool) -> How:
    """Return the loosest thing that was done to the cell."""
    if amount.is_range:
        return How.RANGE_MIDDLE
    if amount.is_approximate:
        return How.APPROXIMATE
    if amount.is_measured:
        return How.WORD
    return How.CONVERTED if converted else How.EXACT


def _not_accepted(unit: str, factor: Factor) -> str:
    """Return why a unit cannot be used here, naming those that can."""
    if not factor.unit:
        return f"this column has no unit, so {unit} cannot be used here; write the number alone"
    accepted = " or ".join(factor.accepted_units or (factor.unit,))
    return f"the unit {unit} is not one the codebook accepts here; write the amount in {accepted}"
