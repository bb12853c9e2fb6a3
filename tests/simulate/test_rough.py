"""What a hurried hand writes still means the number it was given."""

import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.simulate.rough import (
    Style,
    Way,
    write_amount,
    write_column,
    write_dittos,
    write_words,
)


@pytest.mark.parametrize(
    ("value", "way", "expected"),
    [
        (12.0, Way(style=Style.PLAIN, unit="s"), "12"),
        (12.0, Way(style=Style.UNIT, unit="s"), "12 s"),
        (12.0, Way(style=Style.TIGHT, unit="s"), "12s"),
        (12.5, Way(style=Style.ABOUT), "~12.5"),
        (12.0, Way(style=Style.ABOUT, unit="sheets"), "~12 sheets"),
        (30.0, Way(style=Style.ISH), "30ish"),
        (12.0, Way(style=Style.DOUBT), "12?"),
        (12.5, Way(style=Style.RANGE, unit="min", reach=2.5), "10-15 min"),
        (45.0, Way(style=Style.CLOCK), "0:45"),
        (75.0, Way(style=Style.CLOCK), "1:15"),
        (1.5, Way(style=Style.PRIME), "1'30\""),
        (0.5, Way(style=Style.FRACTION, unit="sheet"), "½ sheet"),
        (5.0, Way(style=Style.UNIT, unit="sheets"), "5 sheets"),
    ],
)
def test_a_number_is_written_in_each_style(value, way, expected):
    assert write_amount(value, way) == expected


@pytest.mark.parametrize(
    ("value", "way"),
    [
        (1.0, Way(style=Style.RANGE, unit="s", reach=1)),  # would begin at nothing
        (12.3, Way(style=Style.RANGE, unit="s", reach=1)),
        (12.5, Way(style=Style.CLOCK, unit="s")),
        (12.0, Way(style=Style.PRIME, unit="s")),
        (12.3, Way(style=Style.FRACTION, unit="s")),
    ],
)
def test_a_style_that_cannot_say_the_number_gives_way_to_the_unit(value, way):
    assert write_amount(value, way) == f"{value:g} s"


def test_ways_are_used_as_often_as_their_weights_say():
    ways = (Way(style=Style.PLAIN, weight=3), Way(style=Style.TIGHT, unit="s", weight=1))
    texts = write_column([7.0] * 4000, ways, rng=np.random.default_rng(1))
    assert set(texts) == {"7", "7s"}
    assert texts.count("7s") / 4000 == pytest.approx(0.25, abs=5 * 0.007)


def test_a_missing_number_or_level_is_written_as_nothing():
    rng = np.random.default_rng(1)
    assert write_column([np.nan], (Way(style=Style.PLAIN),), rng=rng) == [""]
    assert write_words([None, np.nan], {"yes": ("y",)}, rng=rng) == ["", ""]


def test_a_level_without_words_is_refused_by_name():
    with pytest.raises(RequestError, match=r"no words were given for 'damp'; there are \['dry'\]"):
        write_words(["damp"], {"dry": ("dry",)}, rng=np.random.default_rng(1))


def test_the_first_word_of_a_level_is_the_usual_one():
    texts = write_words(["yes"] * 2000, {"yes": ("y", "x")}, rng=np.random.default_rng(1))
    # 0.6 outright, and half of the rest.
    assert texts.count("y") / 2000 == pytest.approx(0.8, abs=5 * 0.009)


def test_ditto_marks_stand_only_where_the_cell_above_says_the_same():
    texts = ["a", "a", "b", "b", ""]
    same = [False, True, False, True, True]
    rng = np.random.default_rng(1)
    assert write_dittos(texts, same, share=1.0, rng=rng) == ["a", '"', "b", '"', ""]
    assert write_dittos(texts, same, share=0.0, rng=rng) == texts
