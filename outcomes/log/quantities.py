"""One quantity of a cell: a number with its unit, "5 sheets", "half a minute", "count of 10"."""

import re
from collections.abc import Mapping
from types import MappingProxyType

from outcomes.log.compounds import read_clock, read_compound
from outcomes.log.number_column import (
    NOT_A_NUMBER,
    NUMBER_AND_MORE,
    NumberColumn,
    Quantity,
    find_measure,
    read_value,
    with_unit,
)
from outcomes.log.numerals import read_numeral
from outcomes.log.units import to_base

_NUMBER_WORDS: Mapping[str, float] = MappingProxyType(
    {"one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0, "six": 6.0, "seven": 7.0}
    | {"eight": 8.0, "nine": 9.0, "ten": 10.0, "eleven": 11.0, "twelve": 12.0, "zero": 0.0}
    | {"fifteen": 15.0, "twenty": 20.0, "thirty": 30.0, "forty": 40.0, "sixty": 60.0}
)
_ARTICLES: Mapping[str, float] = MappingProxyType(
    {"a": 1.0, "an": 1.0, "half": 0.5, "half a": 0.5, "half an": 0.5, "a half": 0.5}
)
_SIMPLE = re.compile(
    r"(?P<number>[+-]?[0-9.,/⁄ &and-]*[0-9](?:[eE][+-]?[0-9]+)?[.,]?)\s*(?P<rest>[^0-9]*)"
)
_COUNTED = re.compile(
    r"(?:to )?(?:an? )?count(?:ed)?(?: of| to)? (?P<after>\S+)|(?P<before>\S+) counts?"
)
_IN_WORDS = re.compile(r"(?P<number>[a-z]+(?: an?)?) (?:of )?(?P<rest>[a-z][a-z .]*)")


def parse_quantity(text: str, column: NumberColumn) -> Quantity | str:
    """Return the quantity a cleaned, lower-case text is, or the reason why it is none."""
    for reader in (_read_words, read_clock, _read_counted, read_compound, _read_simple):
        quantity = reader(text, column)
        if quantity is not None:
            return quantity
    return NOT_A_NUMBER


def _read_words(text: str, column: NumberColumn) -> Quantity | str | None:
    """Read "a handful", "half a sheet", "two minutes", "twelve", or a measure standing alone."""
    if text in _NUMBER_WORDS:
        return with_unit(_NUMBER_WORDS[text], "", column)
    amount = find_measure(text, column)
    if amount is not None:
        return Quantity(value=amount, is_measured=True)
    match = _IN_WORDS.fullmatch(text)
    numbers = {**_NUMBER_WORDS, **_ARTICLES}
    if not match or match["number"] not in numbers:
        return None
    quantity = with_unit(numbers[match["number"]], match["rest"], column)
    return None if isinstance(quantity, str) else quantity


def _read_counted(text: str, column: NumberColumn) -> Quantity | str | None:
    """Read "count of 10", a maker's ten seconds."""
    match = _COUNTED.fullmatch(text)
    if not match or column.dimension != "time":
        return None
    number = match["after"] or match["before"]
    value = _NUMBER_WORDS.get(number, read_numeral(number, decimal=column.decimal))
    if value is None:
        return None
    return Quantity(
        value=to_base(value, "s", column.factor.unit), is_measured=True, is_approximate=True
    )


def _read_simple(text: str, column: NumberColumn) -> Quantity | str | None:
    """Read a number and at most one unit or measure."""
    match = _SIMPLE.fullmatch(text)
    if not match:
        return None
    rest = match["rest"].strip()
    value = read_value(match["number"].strip(), column, has_unit=bool(rest))
    if isinstance(value, str):
        return value
    quantity = with_unit(value, rest.strip("() "), column)
    is_remark = rest.startswith("(") and isinstance(quantity, str)
    return NUMBER_AND_MORE if is_remark else quantity
