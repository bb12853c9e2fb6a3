import pytest

from outcomes.report.amounts import (
    clamp_per_100,
    describe_change,
    describe_number,
    describe_rate,
    describe_span,
    round_up,
    whole_per_100,
)
from outcomes.report.wording import read_wording

WORDS = read_wording()


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0.08, 0.35, "from 8 to 35 more"),
        (-0.44, -0.15, "from 15 to 44 fewer"),
        (-0.06, 0.08, "from 6 fewer to 8 more"),
        (0.002, 0.12, "from less than 1 to 12 more"),
        (-0.12, -0.004, "from less than 1 to 12 fewer"),
        (-0.004, 0.12, "from less than 1 fewer to 12 more"),
    ],
)
def test_an_interval_reads_from_a_to_b_and_keeps_its_side_of_none(low, high, expected):
    assert describe_span(low, high, WORDS) == expected


@pytest.mark.parametrize(
    ("change", "expected"),
    [(-0.31, "31 fewer"), (0.125, "13 more"), (0.004, "about the same"), (1.0, "100 more")],
)
def test_a_change_is_whole_pieces_with_a_direction(change, expected):
    assert describe_change(change, WORDS) == expected


@pytest.mark.parametrize("share", [0.0, 0.001, 0.0049])
def test_a_probability_is_never_none(share):
    assert describe_rate(share, WORDS) == "fewer than 1"
    assert clamp_per_100(share) == 1


@pytest.mark.parametrize("share", [1.0, 0.999, 0.9951])
def test_a_probability_is_never_all(share):
    assert describe_rate(share, WORDS) == "more than 99"
    assert clamp_per_100(share) == 99


def test_halves_round_away_from_none_on_both_sides():
    assert (whole_per_100(0.125), whole_per_100(-0.125)) == (13, -13)


@pytest.mark.parametrize(
    ("value", "step", "unit", "expected"),
    [
        (18.0, 2.0, "s", "18"),
        (0.75, 0.05, "mm", "0.75"),
        (0.7, 0.05, "mm", "0.7"),
        (120.0, 10.0, "g", "120"),
        (1796.4, None, "F", "1796"),
        (4.23, None, "oz", "4.23"),
        (-0.2, 1.0, "C", "0"),
        (0.0, None, "oz", "0"),
    ],
)
def test_a_number_is_as_fine_as_a_practical_step(value, step, unit, expected):
    shown = describe_number(value, step=step, unit=unit)
    assert shown.removeprefix("-") == expected


@pytest.mark.parametrize(
    ("count", "expected"), [(1, 1), (20, 20), (21, 25), (101, 110), (500, 500)]
)
def test_rough_counts_are_rounded_upward(count, expected):
    assert round_up(count) == expected
