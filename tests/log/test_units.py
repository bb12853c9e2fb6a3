"""Units convert exactly, and every spelling makers use finds its unit."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.errors import RequestError
from outcomes.log.units import UNIT_WORDS, UNITS, dimension_of, find_unit, to_base

# Exact by definition (0 °C is 32 °F and a Fahrenheit degree is 5/9 of a Celsius degree; NIST
# Special Publication 811, 2008, appendix B.8). Pull temperatures of the trade, to 0.01 °C.
FAHRENHEIT = [
    (1100, 593.33),
    (1450, 787.78),
    (1500, 815.56),
    (1575, 857.22),
    (1600, 871.11),
    (1650, 898.89),
    (1700, 926.67),
    (1800, 982.22),
    (1850, 1010.00),
]

# NIST Special Publication 811 (2008), appendix B.8, factors printed in bold (exact).
DEFINITIONS = [
    ("in", "mm", 25.4),
    ("ft", "mm", 304.8),
    ("oz", "g", 28.349523125),
    ("lb", "g", 453.59237),
    ("gal", "L", 3.785411784),
    ("qt", "L", 0.946352946),
    ("pint", "L", 0.473176473),
    ("cup", "L", 0.2365882365),
    ("mph", "m/s", 0.44704),
    ("kn", "km/h", 1.852),
    ("h", "min", 60.0),
    ("h", "s", 3600.0),
    ("km/h", "m/s", 1 / 3.6),
    ("kg", "g", 1000.0),
    ("um", "mm", 0.001),
    ("ml", "L", 0.001),
    ("mg", "g", 0.001),
]


@pytest.mark.parametrize(("fahrenheit", "celsius"), FAHRENHEIT)
def test_the_trades_temperatures_convert_to_the_hundredth(fahrenheit, celsius):
    assert celsius == round(to_base(fahrenheit, "F", "C"), 2)


def test_1850_fahrenheit_is_1010_celsius_to_the_last_digit():
    assert to_base(1850, "F", "C") == 1010.0


def test_3_8_of_an_inch_is_9_525_mm_to_the_last_digit():
    assert to_base(3 / 8, "in", "mm") == 9.525


@pytest.mark.parametrize(("unit", "base", "factor"), DEFINITIONS)
def test_a_unit_is_what_its_definition_says(unit, base, factor):
    assert to_base(1.0, unit, base) == pytest.approx(factor, rel=1e-15)


def test_the_gallon_is_the_us_gallon_of_231_cubic_inches():
    # NIST SP 811, footnote to B.8: 1 US gallon = 231 in³.
    assert to_base(1.0, "gal", "L") == pytest.approx(231 * 2.54**3 / 1000, rel=1e-15)


def test_the_scales_meet_at_minus_forty():
    assert to_base(-40.0, "F", "C") == -40.0


@given(
    value=st.floats(-1e6, 1e6),
    pair=st.sampled_from(
        [(a, b) for a in UNITS for b in UNITS if dimension_of(a) == dimension_of(b)]
    ),
)
def test_there_and_back_is_the_same_value(value, pair):
    unit, base = pair
    # 1e-9: two multiplications, two divisions and a zero of 32 at double precision.
    assert to_base(to_base(value, unit, base), base, unit) == pytest.approx(
        value, rel=1e-9, abs=1e-9
    )


def test_an_equal_unit_is_left_alone_even_when_unknown():
    assert to_base(12.5, "Brix", "Brix") == 12.5


@pytest.mark.parametrize(("unit", "base"), [("gal", "g"), ("glug", "L"), ("L", "glug"), ("", "s")])
def test_units_of_different_kinds_do_not_convert_and_the_message_says_so(unit, base):
    with pytest.raises(RequestError) as caught:
        to_base(1.0, unit, base)
    message = str(caught.value)
    assert f"{unit!r} cannot be turned into {base!r}" in message
    assert "Known units are C, F, s, min, h, g" in message


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("F f °F °f deg-F fahrenheit Fahrenheit. degrees-F", "F"),
        ("C °C deg-C celsius centigrade degrees-Celsius", "C"),
        ("s sec sec. secs second seconds Seconds", "s"),
        ("min min. mins minute minutes MINS", "min"),
        ("h hr hrs hr. hour hours", "h"),
        ("g g. gr gm gms gram grams gramme", "g"),
        ("oz ozs ounce ounces oz.", "oz"),
        ("lb lbs pound pounds", "lb"),
        ("kg kgs kilo kilos", "kg"),
        ("mm mm. millimetres millimeters", "mm"),
        ("cm centimetre centimeters", "cm"),
        ("in in. ins inch inches Inches", "in"),
        ("L l ltr litre litres liter liters", "L"),
        ("gal gals gallon gallons us-gal", "gal"),
        ("ml mL cc millilitres", "ml"),
        ("% pct percent per-cent RH", "pct"),
        ("m/s mps", "m/s"),
        ("km/h kmh kph", "km/h"),
        ("mph mi/h", "mph"),
        ("kn knots kt", "kn"),
    ],
)
def test_makers_spellings_find_their_unit(words, unit):
    found = {word: find_unit(word.replace("-", " ")) for word in words.split()}
    assert found == dict.fromkeys(words.split(), unit)


@pytest.mark.parametrize(
    ("word", "base", "unit"),
    [
        ("m", "s", "min"),
        ("m", "min", "min"),
        ("m", "mm", "m"),
        ('"', "s", "s"),
        ('"', "mm", "in"),
        ("'", "min", "min"),
        ("'", "mm", "ft"),
        ("c", "C", "C"),
    ],
)
def test_a_spelling_of_two_units_means_the_one_the_column_measures(word, base, unit):
    assert unit == find_unit(word, base=base)


@pytest.mark.parametrize("word", ["", "sheets", "furlong", "٪٪", "m²", "mm²", "k"])
def test_what_is_no_unit_finds_none(word):
    assert find_unit(word) == ""


def test_a_codebook_may_bring_a_unit_of_its_own():
    assert find_unit("brix", base="Brix", accepted=("Brix",)) == "Brix"


def test_every_word_of_the_public_table_means_a_known_unit():
    assert set(UNIT_WORDS.values()) == set(UNITS)
    assert all(word == word.casefold() for word in UNIT_WORDS)


def test_no_unit_of_the_table_is_nought_or_endless():
    for unit in UNITS.values():
        assert math.isfinite(unit.over / unit.under)
        assert unit.over / unit.under > 0
