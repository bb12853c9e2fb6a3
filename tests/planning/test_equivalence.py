"""Two one-sided tests against Lakens' worked example (P28)."""

import json
from pathlib import Path

import pytest

from outcomes.planning.equivalence import Estimate, p_inside, p_outside, t_interval

CASE = json.loads(
    (Path(__file__).parents[1] / "reference" / "P28_tost.json").read_text(encoding="utf-8")
)


@pytest.fixture
def worked() -> Estimate:
    data, expected = CASE["data"], CASE["expected"]
    return Estimate(value=data["m1"] - data["m2"], error=expected["se"], df=expected["df"])


def test_the_larger_of_both_p_values_equals_the_published_one(worked) -> None:
    margin = CASE["expected"]["margin_raw"]
    assert CASE["expected"]["tost_p"] == pytest.approx(p_inside(worked, margin), abs=1e-6)


def test_the_90_percent_interval_equals_the_published_one(worked) -> None:
    found = t_interval(worked, 0.90)
    assert CASE["expected"]["ci90"] == pytest.approx([found.low, found.high], abs=1e-6)


@pytest.mark.parametrize("margin", [0.15, 0.2, 0.247, 0.248, 0.3, 0.5])
def test_p_is_at_most_5_percent_just_when_the_interval_lies_inside(worked, margin) -> None:
    interval = t_interval(worked, 0.90)
    inside = -margin < interval.low and interval.high < margin
    assert inside == (p_inside(worked, margin) <= 0.05)


def test_inside_and_outside_are_two_sides_of_one_question(worked) -> None:
    assert p_inside(worked, 0.1) + p_outside(worked, 0.1) == pytest.approx(1.0)


def test_without_any_error_the_estimate_decides() -> None:
    sharp = Estimate(value=0.1, error=0.0, df=5.0)
    assert (0.0, 1.0) == (p_inside(sharp, 0.2), p_inside(sharp, 0.1))
