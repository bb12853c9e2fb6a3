r"""Quantities of more than one number: "1'30\"", "1 min 30 s", "5 lb 3 oz", "0:45"."""

import re
from collections.abc import Mapping
from types import MappingProxyType

from outcomes.log.number_column import NOT_A_NUMBER, NumberColumn, Quantity, read_value
from outcomes.log.units import dimension_of, find_unit, to_base

CLOCK_IN_MINUTES = (
    "this may be minutes and seconds, hours and minutes, or a time of day; write the minutes as "
    "a number (12.5) or name the units (12 min 30 s)"
)
NOT_A_CLOCK = "a colon is read only in columns of seconds; write one number"

_NEXT_SMALLER: Mapping[str, str] = MappingProxyType(
    {"h": "min", "min": "s", "ft": "in", "lb": "oz"}
)
_CLOCK = re.compile(r"(?P<first>[0-9]{1,3}):(?P<second>[0-5][0-9])\s*(?P<rest>[^0-9:]*)")
_PART = re.compile(
    r"(?P<number>[0-9]+(?:[.,][0-9]+)?(?: ?[0-9]+[/⁄][0-9]+)?)\s*"
    r"(?P<word>[a-z]+\.?|'|\")?(?:\s*,|\s+and|\s*&)?\s*",
    re.IGNORECASE,
)


def read_clock(text: str, column: NumberColumn) -> Quantity | str | None:
    """Read "1:35": minutes and seconds in a column of seconds, else only beside a unit."""
    match = _CLOCK.fullmatch(text)
    if not match:
        return None
    if column.dimension != "time":
        return NOT_A_CLOCK
    first, second = float(match["first"]), float(match["second"])
    unit = find_unit(match["rest"], base=column.factor.unit) if match["rest"] else ""
    if match["rest"] and dimension_of(unit) != "time":
        return NOT_A_NUMBER
    if not unit and column.default_unit != "s":
        return CLOCK_IN_MINUTES
    if unit in {"min", "h"}:
        return Quantity(value=first + second / 60.0, unit=unit)
    return Quantity(value=60.0 * first + second, unit=unit)


def read_compound(text: str, column: NumberColumn) -> Quantity | str | None:
    r"""Read "1 min 30 s", "1'30\"", "1h20", "5 lb 3 oz": whole units, then smaller ones."""
    parts = _split_parts(text, column)
    if len(parts) < 2:
        return None
    for (number, unit), (smaller_number, smaller) in zip(parts, parts[1:], strict=False):
        if not _is_divided_into(unit, smaller) or number != int(number):
            return None
        if smaller_number >= to_base(1.0, unit, smaller):
            return None
    units = [unit for _, unit in parts]
    told_in = next((unit for unit in units if unit in column.factor.accepted_units), units[-1])
    return Quantity(
        value=sum(to_base(number, unit, told_in) for number, unit in parts), unit=told_in
    )


def _is_divided_into(unit: str, smaller: str) -> bool:
    """Say whether a unit is made of smaller ones of the same kind, as no temperature is."""
    same = dimension_of(unit) == dimension_of(smaller) != "temperature"
    return same and to_base(1.0, unit, smaller) > 1.0


def _split_parts(text: str, column: NumberColumn) -> list[tuple[float, str]]:
    """Split into (number, unit) pairs; empty when the text is not a row of such pairs."""
    parts: list[tuple[float, str]] = []
    position = 0
    while position < len(text):
        match = _PART.match(text, position)
        if not match:
            return []
        unit = find_unit(match["word"] or "", base=column.factor.unit)
        if not match["word"] and parts:
            unit = _NEXT_SMALLER.get(parts[-1][1], "")
        value = read_value(match["number"], column, has_unit=True)
        if not dimension_of(unit) or isinstance(value, str):
            return []
        parts.append((value, unit))
        position = match.end()
    return parts
