"""Habits of persons against the others of the same firings."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from outcomes.effects.people_habits import compare_habits, find_people


@pytest.fixture
def settings(codebook):
    return {factor.name: factor for factor in codebook.factors}


def compare(frame, settings, names, people=("A", "B")):
    firing = frame["firing"].to_numpy()
    return compare_habits(
        frame, person="maker", people=people, settings=[settings[n] for n in names], firing=firing
    )


def make_frame(a, b):
    """Two persons with one piece each in every firing."""
    return pd.DataFrame(
        {
            "firing": np.repeat(np.arange(len(a)), 2),
            "maker": ["A", "B"] * len(a),
            "seconds_to_can": np.column_stack([a, b]).ravel(),
        }
    )


def test_with_two_persons_it_is_the_paired_t_test(settings, rng):
    a, b = rng.normal(10, 2, 12), rng.normal(11, 2, 12)
    first, second = compare(make_frame(a, b), settings, ["seconds_to_can"])
    expected = stats.ttest_rel(a, b).confidence_interval(0.95)
    assert (expected.low, expected.high) == pytest.approx((first.low, first.high))
    assert -first.difference == pytest.approx(second.difference)


def test_what_a_whole_firing_shares_takes_no_part(settings, rng):
    a, b, shared = rng.normal(10, 1, 9), rng.normal(12, 1, 9), 40 * np.arange(9)
    alone, together = (
        compare(make_frame(a + s, b + s), settings, ["seconds_to_can"])[0] for s in (0, shared)
    )
    assert (alone.low, alone.high) == pytest.approx((together.low, together.high))


def test_the_own_habit_is_the_median_and_for_a_choice_a_share(settings):
    frame = make_frame([1, 2, 9], [5, 5, 5]).assign(quench=["dunk", "none", "none"] * 2)
    seconds, quench = (
        next(h for h in compare(frame, settings, [name]) if h.person == "A")
        for name in ("seconds_to_can", "quench")
    )
    assert seconds.own == 2
    assert quench.own == pytest.approx(1 / 3)
    assert quench.level == "dunk"


def test_the_level_that_is_counted_is_not_the_codebooks_first(settings):
    frame = make_frame([1, 2, 9], [5, 5, 5]).assign(seal=["yes", "yes", "no"] * 2)
    assert {h.level for h in compare(frame, settings, ["seal"])} == {"yes"}


def test_nothing_is_compared_in_fewer_than_three_firings(settings):
    habit = compare(make_frame([1, 2], [5, 5]), settings, ["seconds_to_can"])[0]
    assert (habit.difference, habit.low, habit.differs) == (None, None, False)
    assert habit.own == 1.5


def test_blank_cells_and_people_without_a_value_are_left_out(settings):
    habits = compare(make_frame([1, 2, 3, np.nan], [np.nan] * 4), settings, ["seconds_to_can"])
    assert [(h.person, h.pieces, h.firings) for h in habits] == [("A", 3, 0)]


def test_those_with_fewer_than_ten_pieces_are_not_compared():
    assert find_people(pd.Series(["C"] * 10 + ["B"] * 9 + ["A"] * 30 + [None] * 20)) == ("A", "C")


def test_a_class_of_equals_is_rarely_told_that_anybody_differs(settings, rng):
    # 5 % of classes at most by Bonferroni; 200 classes, so 19 is 3 standard deviations above.
    told = 0
    for _ in range(200):
        frame = pd.DataFrame(
            {
                "firing": np.repeat(np.arange(10), 4),
                "maker": list("ABCD") * 10,
                "seconds_to_can": rng.normal(10, 2, 40),
                "lid_delay_s": rng.normal(10, 2, 40),
            }
        )
        habits = compare(frame, settings, ["seconds_to_can", "lid_delay_s"], people=tuple("ABCD"))
        told += any(habit.differs for habit in habits)
    assert told <= 19
