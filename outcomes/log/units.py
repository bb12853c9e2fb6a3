"""The units a log may be written in: how they convert and how makers spell them.

Every unit belongs to one dimension and converts within it only. Each factor below is exact by
definition: the international inch is 25.4 mm and the avoirdupois pound 453.59237 g, so an
ounce is 28.349523125 g; the gallon is the *US* liquid gallon of 231 cubic inches,
3.785411784 L (the imperial gallon, 4.54609 L, is not read); the mile is 1609.344 m, the
knot 1852 m/h; a Fahrenheit degree is 5/9 of a Celsius degree and 32 °F is 0 °C.

References
----------
NIST Special Publication 811 (2008 edition), appendix B.8: inch, foot, pound, ounce, gallon,
quart, pint, cup, mile per hour, knot, degree Fahrenheit.
BIPM, The International System of Units (SI Brochure), 9th edition 2019, tables 4 and 8.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from outcomes.errors import RequestError


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit: ``(value - zero) * over / under`` is the value in the dimension's own unit.

    Kept as a ratio of two whole numbers so that 1850 °F is 1010 °C and 3/8 in is 9.525 mm to
    the last digit.
    """

    dimension: str
    over: float = 1.0
    under: float = 1.0
    zero: float = 0.0
    name: str = ""


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        "C": Unit(dimension="temperature", name="degrees Celsius"),
        "F": Unit(
            dimension="temperature", over=5.0, under=9.0, zero=32.0, name="degrees Fahrenheit"
        ),
        "s": Unit(dimension="time", name="seconds"),
        "min": Unit(dimension="time", over=60.0, name="minutes"),
        "h": Unit(dimension="time", over=3600.0, name="hours"),
        "g": Unit(dimension="mass", name="grams"),
        "mg": Unit(dimension="mass", under=1000.0, name="milligrams"),
        "kg": Unit(dimension="mass", over=1000.0, name="kilograms"),
        "oz": Unit(dimension="mass", over=28349523125.0, under=1e9, name="ounces"),
        "lb": Unit(dimension="mass", over=45359237.0, under=1e5, name="pounds"),
        "mm": Unit(dimension="length", name="millimetres"),
        "um": Unit(dimension="length", under=1000.0, name="micrometres"),
        "cm": Unit(dimension="length", over=10.0, name="centimetres"),
        "m": Unit(dimension="length", over=1000.0, name="metres"),
        "in": Unit(dimension="length", over=254.0, under=10.0, name="inches"),
        "ft": Unit(dimension="length", over=3048.0, under=10.0, name="feet"),
        "L": Unit(dimension="volume", name="litres"),
        "ml": Unit(dimension="volume", under=1000.0, name="millilitres"),
        "gal": Unit(dimension="volume", over=3785411784.0, under=1e9, name="US gallons"),
        "qt": Unit(dimension="volume", over=946352946.0, under=1e9, name="US quarts"),
        "pint": Unit(dimension="volume", over=473176473.0, under=1e9, name="US pints"),
        "cup": Unit(dimension="volume", over=2365882365.0, under=1e10, name="US cups"),
        "pct": Unit(dimension="share", name="percent"),
        "count": Unit(dimension="count", name="a count"),
        "m/s": Unit(dimension="speed", name="metres per second"),
        "km/h": Unit(dimension="speed", over=1000.0, under=3600.0, name="kilometres per hour"),
        "mph": Unit(dimension="speed", over=1609344.0, under=3.6e6, name="miles per hour"),
        "kn": Unit(dimension="speed", over=1852.0, under=3600.0, name="knots"),
    }
)

# Spellings by unit, lower case, without a closing full stop. A spelling that means different
# units in different columns ("m", the two primes) stands under each of them: the column's own
# dimension decides, and `UNIT_WORDS` keeps the first.
_SPELLINGS: tuple[tuple[str, str], ...] = (
    ("C", "c|°c|° c|deg c|degc|degs c|degree c|degrees c|celsius|celcius|centigrade|deg celsius"),
    ("C", "°celsius|degree celsius|degrees celsius|degrees centigrade|deg centigrade"),
    ("F", "f|°f|° f|deg f|degf|degs f|degree f|degrees f|fahrenheit|farenheit|fahr|°fahrenheit"),
    ("F", "deg fahrenheit|degree fahrenheit|degrees fahrenheit|degrees farenheit"),
    ("s", 's|sec|secs|second|seconds|"'),
    ("min", "min|mins|minute|minutes|m|'|mn"),
    ("h", "h|hr|hrs|hour|hours"),
    ("mg", "mg|milligram|milligrams"),
    ("g", "g|gr|gm|gms|gram|grams|gramme|grammes"),
    ("kg", "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"),
    ("oz", "oz|ozs|ounce|ounces"),
    ("lb", "lb|lbs|pound|pounds"),
    ("um", "um|μm|micron|microns|micrometre|micrometres|micrometer|micrometers"),
    ("mm", "mm|mms|millimetre|millimetres|millimeter|millimeters"),
    ("cm", "cm|cms|centimetre|centimetres|centimeter|centimeters"),
    ("m", "m|metre|metres|meter|meters"),
    ("in", 'in|ins|inch|inches|"'),
    ("ft", "ft|foot|feet|'"),
    ("ml", "ml|mls|cc|millilitre|millilitres|milliliter|milliliters"),
    ("L", "l|lt|ltr|ltrs|litre|litres|liter|liters"),
    ("gal", "gal|gals|gallon|gallons|us gal|us gallon|us gallons"),
    ("qt", "qt|qts|quart|quarts"),
    ("pint", "pt|pts|pint|pints"),
    ("cup", "cup|cups"),
    ("pct", "%|pct|percent|per cent|rh|% rh|%rh"),
    ("count", "x|times|count|pc|pcs|piece|pieces"),
    ("m/s", "m/s|m / s|mps|metres per second|meters per second|metres/second"),
    ("km/h", "km/h|kmh|kph|kmph|km / h|kilometres per hour|kilometers per hour"),
    ("mph", "mph|mi/h|miles per hour|miles/hour"),
    ("kn", "kn|kt|kts|knot|knots"),
)

_EVERY_SPELLING: tuple[tuple[str, str], ...] = tuple(
    (word, unit) for unit, words in _SPELLINGS for word in words.split("|")
)

UNIT_WORDS: Mapping[str, str] = MappingProxyType(dict(reversed(_EVERY_SPELLING)))
"""Spelling, lower case, to unit code. Use `find_unit` where the column is known."""

_BY_DIMENSION: Mapping[tuple[str, str], str] = MappingProxyType(
    {(word, UNITS[unit].dimension): unit for word, unit in reversed(_EVERY_SPELLING)}
)
_SPACES = re.compile(r"\s+")


def dimension_of(unit: str) -> str:
    """Return what a unit measures; "" for a unit this module does not know.

    >>> dimension_of("gal"), dimension_of("glug")
    ('volume', '')
    """
    return UNITS[unit].dimension if unit in UNITS else ""


def find_unit(word: str, *, base: str = "", accepted: Sequence[str] = ()) -> str:
    """Return the unit code a spelling means in a column, or "" when it is none.

    Parameters
    ----------
    word
        As the maker wrote it, in any case.
    base
        Base unit of the column: a spelling of several units means the one that measures the
        same thing ("m" is minutes beside seconds, metres beside millimetres).
    accepted
        Unit codes the codebook names for the column: each is its own spelling, so a codebook
        may bring units this module does not know.

    Examples
    --------
    >>> find_unit("Mins."), find_unit("m", base="s"), find_unit("m", base="mm")
    ('min', 'min', 'm')
    >>> find_unit("brix", accepted=("Brix",)), find_unit("sheets")
    ('Brix', '')
    """
    spelling = _SPACES.sub(" ", word.strip().casefold()).removesuffix(".").rstrip()
    for code in (base, *accepted):
        if code and spelling == code.casefold() and code not in UNITS:
            return code
    same_dimension = _BY_DIMENSION.get((spelling, dimension_of(base)))
    return same_dimension or UNIT_WORDS.get(spelling, "")


def to_base(value: float, unit: str, base: str) -> float:
    """Convert a value from one unit to another of the same dimension.

    Parameters
    ----------
    value
        A finite number in ``unit``.
    unit, base
        Unit codes, keys of `UNITS`; equal codes return the value unchanged, known or not.

    Raises
    ------
    RequestError
        If a code is unknown or the two measure different things.

    Examples
    --------
    >>> to_base(1850, "F", "C"), to_base(1.5, "min", "s"), to_base(0.25, "in", "mm")
    (1010.0, 90.0, 6.35)
    """
    if unit == base:
        return value
    if dimension_of(unit) != dimension_of(base) or not dimension_of(unit):
        raise RequestError(
            f"{unit!r} cannot be turned into {base!r}: a unit converts only into another that "
            f"measures the same. Known units are {', '.join(UNITS)}."
        )
    here, there = UNITS[unit], UNITS[base]
    own = (value - here.zero) * here.over / here.under
    return own * there.under / there.over + there.zero
