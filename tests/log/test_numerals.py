"""Numbers are read strictly: digits, one decimal mark, honest groups of three."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.numerals import read_fraction, read_numeral


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("30", 30.0),
        ("007", 7.0),
        ("+5", 5.0),
        ("-5.25", -5.25),
        (".5", 0.5),
        ("30.", 30.0),
        ("1,200", 1200.0),
        ("1,200.5", 1200.5),
        ("1,234,567", 1234567.0),
        ("1 200", 1200.0),
        ("1e-05", 1e-05),
        ("2.5E+3", 2500.0),
        ("985,5", 985.5),
        ("0,75", 0.75),
        ("0,500", 0.5),
        ("1,2345", 1.2345),
    ],
)
def test_a_number_under_a_decimal_point(text, value):
    assert value == read_numeral(text, decimal=".")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("985,5", 985.5),
        ("1,200", 1.2),
        ("1.200", 1200.0),
        ("1.200,5", 1200.5),
        ("1 200,5", 1200.5),
        ("1.5", 1.5),
        (",5", 0.5),
    ],
)
def test_a_number_under_a_decimal_comma(text, value):
    assert value == read_numeral(text, decimal=",")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1_000",
        "infinity",
        "inf",
        "nan",
        "NaN",
        "0x10",
        "1e309",
        "1e400",
        "9" * 400,
        "٣٠",
        "३०",
        "3٠",
        "²",
        "5²",
        "1.200,5",
        "12,34,567",
        "1,20,000",
        "1, 200",
        "5, 6, 7",
        "1.2.3",
        "--5",
        "+-5",
        "1e",
        "e5",
        ".",
        ",",
        "-",
        "1 20",
        "1'200",
        "½",
        "30\n",
        " 30",
    ],
)
def test_what_is_not_plainly_a_number_is_none(text):
    assert read_numeral(text, decimal=".") is None


@given(st.text(max_size=30), st.sampled_from([".", ","]))
def test_any_text_is_a_finite_number_or_none(text, decimal):
    value = read_numeral(text, decimal=decimal)
    assert value is None or (math.isfinite(value) and re.fullmatch(r"[-+0-9.,eE ]+", text))


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e15, max_value=1e15))
def test_a_number_as_python_writes_it_is_read_back_exactly(value):
    assert read_numeral(repr(value), decimal=".") == value


@given(st.integers(min_value=0, max_value=10**12))
def test_groups_of_three_are_read_back(value):
    assert read_numeral(f"{value:,}", decimal=".") == value


@pytest.mark.parametrize(
    ("text", "value", "certain"),
    [
        ("1/2", 0.5, True),
        ("3/4", 0.75, False),
        ("3/8", 0.375, False),
        ("1 1/2", 1.5, True),
        ("1-1/2", 1.5, True),
        ("2 and 3/4", 2.75, True),
        ("1⁄2", 0.5, True),
        ("2 1⁄3", 2 + 1 / 3, True),
        ("7⁄10", 0.7, True),
    ],
)
def test_a_fraction_says_whether_it_can_be_anything_else(text, value, certain):
    fraction = read_fraction(text)
    assert fraction is not None
    assert (value, certain) == (fraction.value, fraction.is_certain)


@pytest.mark.parametrize(
    "text", ["4/5", "3/2", "2/2", "0/4", "1/0", "1/7", "3/4/24", "1/", "/2", "1 2", "0⁄0", "1⁄0"]
)
def test_a_bar_between_other_numbers_is_no_fraction(text):
    assert read_fraction(text) is None
