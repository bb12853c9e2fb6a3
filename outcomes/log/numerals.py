"""Strict reading of one written number: digits, one decimal mark, honest groups of three.

Python's own `float` is never asked about the maker's text: it takes "1_000", "infinity", "nan"
and the digits of every script. Only text that one of the patterns below matches in full gets
there, and those match ASCII digits alone.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

_OTHER_MARK = {".": ",", ",": "."}
# Two digits of a positive exponent: 1e99 of anything is a typing error already, and finite.
_PLAIN = r"[+-]?(?:[0-9]+{mark}?[0-9]*|{mark}[0-9]+)(?:[eE](?:[+]?[0-9]{{1,2}}|-[0-9]{{1,3}}))?"
_GROUPED = r"[+-]?[1-9][0-9]{{0,2}}(?:(?P<group>[{group} ])[0-9]{{3}})(?:(?P=group)[0-9]{{3}})*"
_GROUPED += r"(?:{mark}[0-9]+)?"

_PLAIN_BY_MARK: Mapping[str, re.Pattern[str]] = MappingProxyType(
    {mark: re.compile(_PLAIN.format(mark=re.escape(mark))) for mark in ".,"}
)
_GROUPED_BY_MARK: Mapping[str, re.Pattern[str]] = MappingProxyType(
    {
        mark: re.compile(_GROUPED.format(mark=re.escape(mark), group=_OTHER_MARK[mark]))
        for mark in ".,"
    }
)
_FRACTION = re.compile(
    r"(?:(?P<whole>[0-9]{1,4})(?:[ -]| and | & )\s*)?"
    r"(?P<top>[0-9]{1,3}) ?(?P<bar>[/⁄]) ?(?P<bottom>[0-9]{1,3})"
)
_RULER_PARTS = frozenset({2, 3, 4, 8, 16, 32})


@dataclass(frozen=True, slots=True, kw_only=True)
class Fraction:
    """A written fraction; ``is_certain`` unless it may be a grade out of four or a date."""

    value: float
    is_certain: bool


def read_numeral(text: str, *, decimal: str) -> float | None:
    """Return the number a text is, or None when it is not exactly one.

    Parameters
    ----------
    text
        Cleaned text, no unit.
    decimal
        The column's decimal mark, "." or ",". The other mark may separate groups of exactly
        three digits. Where it cannot do that it can only be a decimal mark after all: a lone
        "985,5" among points has no second meaning and is read; "1.200,5" contradicts its
        column and is not.

    Examples
    --------
    >>> read_numeral("1,200", decimal="."), read_numeral("1,200", decimal=",")
    (1200.0, 1.2)
    >>> read_numeral("985,5", decimal="."), read_numeral("1_000", decimal=".")
    (985.5, None)
    """
    if _PLAIN_BY_MARK[decimal].fullmatch(text):
        return _finite(text.replace(",", "."))
    if _GROUPED_BY_MARK[decimal].fullmatch(text):
        bare = text.replace(" ", "").replace(_OTHER_MARK[decimal], "")
        return _finite(bare.replace(",", "."))
    if _PLAIN_BY_MARK[_OTHER_MARK[decimal]].fullmatch(text):
        return _finite(text.replace(",", "."))
    return None


def read_fraction(text: str) -> Fraction | None:
    """Return the proper fraction or mixed number a text is, or None.

    A bar typed as "/" needs a denominator of a ruler or a measuring cup (2, 3, 4, 8, 16, 32)
    and a smaller numerator. It is certain when a whole number stands before it, when it was
    written as one sign (½ arrives as "1⁄2"), or when it is the half itself; "3/4" alone may as
    well be a grade of three out of four or the third of April. "1-1/2" is one and a half: as a
    range it would run backwards.

    Examples
    --------
    >>> read_fraction("1 1/2"), read_fraction("3/4")
    (Fraction(value=1.5, is_certain=True), Fraction(value=0.75, is_certain=False))
    >>> read_fraction("4/5") is None, read_fraction("3/2") is None
    (True, True)
    """
    match = _FRACTION.fullmatch(text)
    if not match:
        return None
    top, bottom = int(match["top"]), int(match["bottom"])
    one_sign = match["bar"] == "⁄"
    if not 0 < top < bottom or (bottom not in _RULER_PARTS and not one_sign):
        return None
    certain = one_sign or match["whole"] is not None or (top, bottom) == (1, 2)
    return Fraction(value=int(match["whole"] or 0) + top / bottom, is_certain=certain)


def _finite(text: str) -> float | None:
    """Return the number, or None when it is beyond what a float holds."""
    value = float(text)
    return value + 0.0 if math.isfinite(value) else None
