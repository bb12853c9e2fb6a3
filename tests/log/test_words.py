"""One sign for each thing; marks for nothing and for the row above are known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.words import clean_text, is_blank, is_ditto, is_same_measure, word_key


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("１８５０", "1850"),
        ("1850\u00a0℉", "1850 °F"),
        ("1850º F", "1850° F"),
        ("2–3", "2-3"),
        ("−5", "-5"),
        ("1’30”", "1'30\""),
        ("1′30″", "1'30\""),
        ("½", "1⁄2"),
        ("1½", "1 1⁄2"),
        ("½7", "1⁄2 7"),
        ("1½-2½", "1 1⁄2-2 1⁄2"),
        ("∼30", "~30"),
        ("≥20", ">=20"),
        ("  a\t b\n", "a b"),
        ("\ufeff30\u200b", "30"),
        ("5²", "5²"),
        ("٣", "٣"),
    ],
)
def test_look_alikes_become_one_sign(text, cleaned):
    assert cleaned == clean_text(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "-",
        "–",
        "—",
        "--",
        "---",
        "?",
        "??",
        ".",
        "...",
        "…",
        "/",
        "_",
        "n/a",
        "N/A",
        "n.a.",
    ]
    + ["#N/A", "unknown", "not recorded", "missing", "\u200b", "\u00a0"],
)
def test_marks_for_nothing_are_blank_everywhere(text):
    assert is_blank(clean_text(text), number=True)
    assert is_blank(clean_text(text), number=False)


@pytest.mark.parametrize("text", ["NA", "nan", "null", "NaN", "NULL"])
def test_another_programs_nothing_is_blank_in_numbers_but_may_be_a_name(text):
    assert is_blank(text, number=True)
    assert not is_blank(text, number=False)


@pytest.mark.parametrize("text", ["0", "none", "None", "no", "x", "fine", "a few"])
def test_what_may_mean_something_is_not_blank(text):
    assert not is_blank(clean_text(text), number=True)


@pytest.mark.parametrize(
    "text",
    ['"', "”", "“", "〃", "''", "″", "same", "Same", "do.", "ditto", '-"-', '" "', "idem", "^"],
)
def test_ditto_marks_are_known(text):
    assert is_ditto(clean_text(text))


@pytest.mark.parametrize("text", ["", "-", "do", "Do", "as usual", "1", "same maker"])
def test_other_words_are_no_ditto(text):
    assert not is_ditto(clean_text(text))


@given(st.text(max_size=60))
def test_cleaning_twice_changes_nothing_more(text):
    assert clean_text(text) == clean_text(clean_text(text))


@pytest.mark.parametrize(
    ("written", "measure"),
    [
        ("sheets", "sheet"),
        ("sheet", "sheets"),
        ("Handfuls", "handful"),
        ("handsful", "handful"),
        ("bunches", "bunch"),
        ("leaves", "leaf"),
        ("berries", "berry"),
        ("immed.", "immed"),
        ("at_once", "at once"),
    ],
)
def test_a_measure_is_known_in_singular_and_plural(written, measure):
    assert is_same_measure(written, measure)


@pytest.mark.parametrize(
    ("written", "measure"), [("sheets", "shelf"), ("hand", "handful"), ("s", ""), ("coat", "boat")]
)
def test_another_word_is_another_measure(written, measure):
    assert not is_same_measure(written, measure)


def test_a_key_forgets_case_spaces_and_joints():
    assert word_key("  Wet_Towel. ") == word_key("wet-towel") == "wet towel"
