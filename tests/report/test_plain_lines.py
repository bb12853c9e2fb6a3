"""Paragraphs are wrapped, the maker's words are not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.report.plain_lines import WIDTH, align_pairs, wrap_text

FILLER = "the quick brown fox jumps over a lazy dog "


@pytest.mark.parametrize("shift", range(0, 60, 7))
def test_a_quoted_cell_is_never_cut_in_two(shift):
    text = ("x " * shift) + FILLER + "row 25 'about half of the day' was not a number"
    assert any("25 'about half of the day'" in line for line in wrap_text(text))


@pytest.mark.parametrize("shift", range(0, 60, 7))
def test_a_header_with_spaces_is_never_cut_in_two(shift):
    text = ("x " * shift) + FILLER + "column Pull temp (deg F) here"
    assert any("Pull temp (deg F)" in line for line in wrap_text(text, names=["Pull temp (deg F)"]))


def test_an_apostrophe_opens_no_quotation():
    text = FILLER * 2 + "the firing's date and the firings' numbers differ from 'R 1' by a day"
    lines = wrap_text(text)
    assert "'R 1'" in " ".join(lines)
    assert text == " ".join(lines)


def test_a_line_break_inside_a_text_is_shown_not_made():
    assert wrap_text("one\ntwo") == ["one\\ntwo"]


@given(st.text(max_size=400))
def test_no_line_is_wider_than_the_terminal(text):
    assert all(len(line) <= WIDTH for line in wrap_text(text, first="  - "))


def test_further_lines_stand_under_the_first():
    first, second = wrap_text(FILLER * 3, first="  - ")
    assert (first.startswith("  - the"), second.startswith("    ")) == (True, True)


def test_a_long_name_has_a_line_of_its_own():
    lines = align_pairs([("a" * 40, "Something"), ("glaze", "Glaze")])
    assert lines == ["  " + "a" * 40, "         Something", "  glaze  Glaze"]
