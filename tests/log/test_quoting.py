"""The maker's text is shown whole where it can be and harmless always."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.quoting import count_of, list_words, quote_text, show_text


@pytest.mark.parametrize(
    "text", ["about half", "31 April 2025", "1'30\"", "½ sheet", "–", "<b>R2.2</b>", 'Tom & "Jo"']
)
def test_ordinary_text_is_shown_as_typed(text):
    assert f"'{text}'" == quote_text(text)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("\x1b[2J", "\\x1b[2J"),
        ("a\tb\nc\r", "a\\tb\\nc\\r"),
        ("\u202eevil", "\\u202eevil"),
        ("\u2028", "\\u2028"),
        ("\x9b31m", "\\x9b31m"),
        ("\ud800", "\\ud800"),
        ("\u200bzero width", "\\u200bzero width"),
    ],
)
def test_controls_and_invisible_marks_are_spelled_out(typed, shown):
    assert shown == show_text(typed)


@pytest.mark.parametrize(("length", "is_cut"), [(59, False), (60, False), (61, True)])
def test_text_is_cut_after_sixty_characters(length, is_cut):
    assert is_cut == quote_text("x" * length).endswith("…'")


@given(st.text())
def test_nothing_shown_can_steer_a_terminal(text):
    assert not {"Cc", "Cf", "Cs"} & {unicodedata.category(c) for c in quote_text(text)}


def test_a_list_begun_only_counts_the_whole():
    assert list_words(["a", "b"], most=2, total=10) == "a, b and 8 more"


def test_lists_of_none_and_one_are_said_plainly():
    assert (list_words([]), list_words(["a"])) == ("", "a")


def test_a_number_takes_the_right_noun():
    assert (count_of(1, "box", "boxes"), count_of(0, "box", "boxes")) == ("1 box", "0 boxes")
