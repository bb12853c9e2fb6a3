"""The amount a cell states: one quantity, a range, a value with its error, or one value twice."""

import re
from dataclasses import dataclass

from outcomes.log.number_column import NOT_A_NUMBER, NumberColumn, Quantity
from outcomes.log.quantities import parse_quantity
from outcomes.log.units import dimension_of, to_base

BACKWARDS = "the range runs from the larger to the smaller number; write the smaller first"
DISAGREE = "the two amounts in this cell do not agree with each other; keep the one you measured"

_ROUND_ABOUT = re.compile(
    r"^(?:~+|\(?(?:c(?:a|irca)?(?:\.| ) ?(?!0[0-9])|ca(?=[0-9])|about |approx(?:imately|\.)? ?|"
    r"around |roughly |abt\.? |est\.? |estimated |maybe |perhaps |probably |nearly |almost |say |"
    r"just under |just over |more or less |@))\s*"
)
_MORE_OR_LESS = re.compile(
    r"\s*(?:-? ?ish|\(?\?+\)?|~+|\(?approx\.?\)?|\(?approximately\)?|\(?est\.?\)?|\(?estimated\)?|"
    r" or so| about| ca\.?|\+/-|±|\(guess\)|\(ca\.?\))$"
)
_ISH = re.compile(r"(?<=[0-9])(?: ?-?ish\b|\?+)")
_AFTER = re.compile(r"(?<=[0-9a-z'\"%.°])\s*(?:-+|~|\.\.+| to | or | until )\s*(?=[0-9.+-])")
_BETWEEN = re.compile(r"between (?P<low>.+) and (?P<high>.+)")
_PLUS_MINUS = re.compile(r"(?P<middle>.+?)\s*(?:±|\+/?-|\+ ?/ ?-)\s*(?P<error>[0-9].*)")
_TWICE = re.compile(r"(?P<first>[^/=(;]+?)\s*(?:/|=|\(|;)\s*(?P<second>[^/=(;)]+?)\s*\)?")
_AFTER_DIGITS = re.compile(r"(?<=[0-9])[^0-9:]*[^0-9:.,/⁄ ][^0-9:]*$")
_LEADING_ZERO = re.compile(r"0[0-9]")
# A maker rounds the second scale to the nearest ten degrees, or the inch to a quarter.
_DEGREES_APART = 5.0
_SHARE_APART = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """What a cell states; ``low == high`` unless it is a range.

    ``unit`` is "" when none is named; a measured amount is in the column's base unit.
    """

    low: float
    high: float
    unit: str = ""
    is_measured: bool = False
    is_approximate: bool = False
    is_range: bool = False


def parse_amount(cleaned: str, column: NumberColumn) -> Amount | str:
    """Return the amount a cleaned text states, or the reason why it states none.

    Raises nothing on any text.
    """
    text, approximate = strip_approximation(cleaned.casefold().replace("''", '"'))
    first_reason = ""
    for reader in (_read_single, _read_plus_minus, _read_range, _read_twice):
        amount = reader(text, column)
        if isinstance(amount, Amount):
            return _mark(amount, approximate=approximate)
        if amount and amount != NOT_A_NUMBER:
            first_reason = first_reason or amount
    return first_reason or NOT_A_NUMBER


def strip_approximation(text: str) -> tuple[str, bool]:
    """Return a lower-case text without its "about", "ish" and "?", and whether it had any.

    >>> strip_approximation("~30"), strip_approximation("c. 12 min (?)")
    (('30', True), ('12 min', True))
    >>> strip_approximation("30ish s"), strip_approximation("30")
    (('30 s', True), ('30', False))
    """
    bare = _ROUND_ABOUT.sub("", text)
    bare = _ISH.sub("", bare)
    bare = _MORE_OR_LESS.sub("", bare).strip()
    return bare, bare != text


def _read_single(text: str, column: NumberColumn) -> Amount | str:
    return _single(parse_quantity(text, column))


def _single(quantity: Quantity | str) -> Amount | str:
    if isinstance(quantity, str):
        return quantity
    return Amount(
        low=quantity.value,
        high=quantity.value,
        unit=quantity.unit,
        is_measured=quantity.is_measured,
        is_approximate=quantity.is_approximate,
    )


def _read_plus_minus(text: str, column: NumberColumn) -> Amount | str:
    """Read "2±0.5": its middle, approximate."""
    match = _PLUS_MINUS.fullmatch(text)
    if not match:
        return ""
    middle = parse_quantity(match["middle"], column)
    error = parse_quantity(match["error"], column)
    if isinstance(middle, str) or isinstance(error, str):
        return NOT_A_NUMBER
    unit = middle.unit or error.unit
    return Amount(low=middle.value, high=middle.value, unit=unit, is_approximate=True)


def _read_range(text: str, column: NumberColumn) -> Amount | str:
    """Read "2-3 min", "30 s to 1 min", "between 5 and 10"."""
    reason = ""
    between = _BETWEEN.fullmatch(text)
    halves = [(between["low"], between["high"])] if between else []
    halves += [(text[: cut.start()], text[cut.end() :]) for cut in _AFTER.finditer(text)]
    for left, right in halves:
        amount = _join_ends(left.strip(), right.strip(), column)
        if isinstance(amount, Amount):
            return amount
        reason = reason or ("" if amount == NOT_A_NUMBER else amount)
    return reason


def _join_ends(left: str, right: str, column: NumberColumn) -> Amount | str:
    """Return the range between two written ends, the unit of one serving both."""
    if _LEADING_ZERO.match(left) and _LEADING_ZERO.match(right):
        return NOT_A_NUMBER  # "03-04" is a date
    high = parse_quantity(right, column)
    if isinstance(high, str):
        return high
    low = parse_quantity(left + _shared_unit(left, right), column)
    return low if isinstance(low, str) else _span(low, high)


def _shared_unit(left: str, right: str) -> str:
    """Return the unit behind the right number when the left one has none."""
    unit = _AFTER_DIGITS.search(right)
    return f" {unit[0].strip()}" if unit and not _AFTER_DIGITS.search(left) else ""


def _span(low: Quantity, high: Quantity) -> Amount | str:
    """Return the range between two quantities, or why they do not make one."""
    unit = high.unit or low.unit
    first, second = _in_unit(low, unit), _in_unit(high, unit)
    if first is None or second is None or low.is_measured != high.is_measured:
        return NOT_A_NUMBER
    if first > second:
        return BACKWARDS
    return Amount(low=first, high=second, unit=unit, is_measured=low.is_measured, is_range=True)


def _in_unit(quantity: Quantity, unit: str) -> float | None:
    """Return a quantity's number in a unit; its own unit may be unstated."""
    if quantity.unit in {"", unit}:
        return quantity.value
    if not dimension_of(unit) or dimension_of(quantity.unit) != dimension_of(unit):
        return None
    return to_base(quantity.value, quantity.unit, unit)


def _read_twice(text: str, column: NumberColumn) -> Amount | str:
    """Read "1850F/1010C": one amount in two units, if they agree within rounding."""
    match = _TWICE.fullmatch(text)
    if not match:
        return ""
    first = parse_quantity(match["first"], column)
    second = parse_quantity(match["second"], column)
    if isinstance(first, str) or isinstance(second, str) or not (first.unit and second.unit):
        return ""
    told_again = _in_unit(second, first.unit)
    if told_again is None or first.unit == second.unit:
        return ""
    apart = abs(told_again - first.value)
    if dimension_of(first.unit) == "temperature":
        agree = abs(to_base(first.value, first.unit, "C") - to_base(second.value, second.unit, "C"))
        return _single(first) if agree <= _DEGREES_APART else DISAGREE
    return _single(first) if apart <= _SHARE_APART * abs(first.value) else DISAGREE


def _mark(amount: Amount, *, approximate: bool) -> Amount:
    return Amount(
        low=amount.low,
        high=amount.high,
        unit=amount.unit,
        is_measured=amount.is_measured,
        is_approximate=amount.is_approximate or approximate,
        is_range=amount.is_range,
    )
