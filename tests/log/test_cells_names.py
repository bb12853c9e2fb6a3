"""Cells that hold a level, a grade or a name."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.cells import parse_grade, parse_level, parse_name
from outcomes.log.codebook import Direction, Level, Outcome
from outcomes.log.firing_log import How
from outcomes.log.levels import (
    BETWEEN_GRADES,
    CROSS,
    GRADE_AND_MORE,
    GRADE_OUT_OF,
    GRADE_RANGE,
    TOO_LONG,
)

YES_NO = ("no", "yes")
QUENCH = ("none", "mist", "dunk")
WORDS = (("sprayed", "mist"), ("wet towel", "dunk"))


def outcome(*names: str, words: tuple[tuple[str, str], ...] = ()) -> Outcome:
    return Outcome(
        name="luster",
        label="Luster",
        levels=tuple(Level(name=name, wording="") for name in names),
        aim=1,
        wanted=Direction.HIGHER,
        phrase="show it",
        level_words=words,
    )


LUSTER = outcome("0", "1", "2", "3", "4", words=(("patchy", "2"), ("none", "0")))
CRACKED = outcome("no", "yes")
LETTERS = outcome("C", "B", "B+", "A")


@pytest.mark.parametrize(
    ("text", "level"),
    [(word, "yes") for word in ["y", "Y", "yes", "YES ", "true", "True", "1", "1.0", "✓", "✔"]]
    + [(word, "no") for word in ["n", "N", "no", "No.", "false", "FALSE", "0", "0.0"]],
)
def test_yes_and_no_are_known_in_every_spelling(text, level):
    assert (level, How.EXACT) == (
        parse_level(text, YES_NO).value,
        parse_level(text, YES_NO).how,
    )


@pytest.mark.parametrize(
    ("text", "level", "how"),
    [
        ("none", "none", How.EXACT),
        (" Dunk ", "dunk", How.EXACT),
        ("MIST.", "mist", How.EXACT),
        ("Sprayed", "mist", How.WORD),
        ("wet_towel", "dunk", How.WORD),
        ("Wet  Towel", "dunk", How.WORD),
        ("dunk?", "dunk", How.APPROXIMATE),
        ("~mist", "mist", How.APPROXIMATE),
    ],
)
def test_a_level_is_known_by_its_name_and_by_the_codebooks_words(text, level, how):
    cell = parse_level(text, QUENCH, WORDS)
    assert (level, how) == (cell.value, cell.how)


@pytest.mark.parametrize("text", ["", " ", "-", "–", "n/a", "?", "NA"])
def test_an_empty_cell_is_blank_and_never_no(text):
    cell = parse_level(text, YES_NO)
    assert (cell.value, cell.how) == (None, How.BLANK)


def test_a_level_may_be_called_like_a_mark_for_nothing():
    assert parse_level("na", ("na", "ok")).value == "na"


@pytest.mark.parametrize("text", ['"', "same", "do."])
def test_a_ditto_is_left_to_the_row_above(text):
    assert How.DITTO is parse_level(text, YES_NO).how
    assert How.DITTO is parse_grade(text, LUSTER).how
    assert How.DITTO is parse_name(text).how


def test_an_unknown_word_names_the_levels_and_the_way_out():
    expected = (
        "this is not one of none, mist, dunk; write one of these, or give the word a level under "
        "words in the codebook"
    )
    assert expected == parse_level("fog", QUENCH, WORDS).reason


@pytest.mark.parametrize("text", ["x", "X", "✗", "❌"])
def test_a_cross_may_mean_either_and_is_asked_about(text):
    assert parse_level(text, YES_NO).reason == CROSS
    assert parse_grade(text, CRACKED).reason == CROSS


def test_a_cross_means_what_the_codebook_says():
    assert parse_level("x", YES_NO, (("x", "yes"),)).value == "yes"


def test_a_long_text_is_a_note():
    assert parse_level("y" * 201, YES_NO).reason == TOO_LONG


@pytest.mark.parametrize(
    ("text", "grade", "how"),
    [
        ("3", 3.0, How.EXACT),
        ("3.0", 3.0, How.EXACT),
        (" 0 ", 0.0, How.EXACT),
        ("３", 3.0, How.EXACT),
        ("Patchy", 2.0, How.WORD),
        ("none", 0.0, How.WORD),
        ("~3", 3.0, How.APPROXIMATE),
        ("3?", 3.0, How.APPROXIMATE),
        ("3ish", 3.0, How.APPROXIMATE),
    ],
)
def test_a_grade_is_the_index_of_its_level(text, grade, how):
    cell = parse_grade(text, LUSTER)
    assert (grade, how) == (cell.value, cell.how)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("4+", GRADE_AND_MORE),
        ("3-", GRADE_AND_MORE),
        ("B+", GRADE_AND_MORE),
        ("3++", GRADE_AND_MORE),
        ("2-3", GRADE_RANGE),
        ("2–3", GRADE_RANGE),
        ("2 to 3", GRADE_RANGE),
        ("3/4", GRADE_OUT_OF),
        ("4/5", GRADE_OUT_OF),
        ("3 out of 4", GRADE_OUT_OF),
        ("2.5", BETWEEN_GRADES),
        ("3½", BETWEEN_GRADES),
        ("~2.5", BETWEEN_GRADES),
    ],
)
def test_what_is_not_one_grade_is_set_aside_because(text, reason):
    cell = parse_grade(text, LUSTER)
    assert (None, How.SET_ASIDE, reason) == (cell.value, cell.how, cell.reason)


@pytest.mark.parametrize("text", ["meh", "good", "7", "-1", "glossy", "<b>3</b>", "3 4", "1e0"])
def test_what_is_no_grade_names_the_grades(text):
    assert "this is not one of 0, 1, 2, 3, 4;" in parse_grade(text, LUSTER).reason


def test_a_grade_may_be_called_with_a_plus():
    assert parse_grade("b+", LETTERS).value == 2.0
    assert parse_grade("A+", LETTERS).reason == GRADE_AND_MORE


@pytest.mark.parametrize(("text", "grade"), [("yes", 1.0), ("N", 0.0), ("1", 1.0), ("✓", 1.0)])
def test_a_yes_or_no_outcome_is_graded_0_or_1(text, grade):
    assert grade == parse_grade(text, CRACKED).value


@pytest.mark.parametrize("text", ["", "-", "n/a"])
def test_a_blank_grade_stays_blank_and_is_never_fine(text):
    cell = parse_grade(text, CRACKED)
    assert (cell.value, cell.how) == (None, How.BLANK)


def test_a_grade_beside_word_levels_is_not_counted_off():
    # "1" could be the first level or the second: nobody but the maker knows.
    assert parse_grade("1", outcome("dull", "bright", "full")).how is How.SET_ASIDE


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("#12b", "#12b"),
        ("12 (refire)", "12 (refire)"),
        ("007", "007"),
        ("  Tarn\u00a0Lantern ", "Tarn Lantern"),
        ("\ufeffR1\u200b", "R1"),
        ("Null", "Null"),
        ("NA", "NA"),
        ("None", "None"),
        ("nan", "nan"),
        ("<b>R2.2</b>", "<b>R2.2</b>"),
        ('Tom & "Jo" <jo@example.org>', 'Tom & "Jo" <jo@example.org>'),
        ("do", "do"),
        ("½ moon", "½ moon"),
    ],
)
def test_a_name_stays_as_typed(text, name):
    assert (name, How.EXACT) == (parse_name(text).value, parse_name(text).how)


@pytest.mark.parametrize("text", ["", " ", "-", "n/a", "?", "\u200b"])
def test_no_name_is_blank(text):
    assert How.BLANK is parse_name(text).how


@given(st.text(max_size=250))
def test_any_text_whatever_becomes_a_cell(text):
    cells = [
        parse_level(text, YES_NO, WORDS[:0]),
        parse_level(text, QUENCH, WORDS),
        parse_grade(text, LUSTER),
        parse_grade(text, CRACKED),
        parse_name(text),
    ]
    for cell in cells:
        assert bool(cell.reason) == (cell.how is How.SET_ASIDE)
        assert (cell.value is None) == (cell.how in {How.BLANK, How.DITTO, How.SET_ASIDE})


@given(st.sampled_from(["0", "1", "2", "3", "4"]), st.sampled_from(["{}", " {} ", "{}.0", "{}."]))
def test_every_grade_is_read_back(grade, form):
    assert float(grade) == parse_grade(form.format(grade), LUSTER).value
