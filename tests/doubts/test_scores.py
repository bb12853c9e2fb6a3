"""Ranked probability scores against hand-computable values."""

import numpy as np
import pytest

from outcomes.doubts.scores import average_by_firing, rank_scores, reach_of
from outcomes.doubts.skill import compare_scores

EXACT = 1e-10  # the reference's own tolerance


def test_scores_of_grades_equal_the_reference(reference) -> None:
    # P29: definition Epstein (1969); first row checked by hand: .01 + .09 + .09 + .01 = .20.
    case = reference("P29_rps_scores")
    reach = reach_of(np.array(case["data"]["forecast"]))
    scores = rank_scores(reach, np.array(case["data"]["outcome"]))
    assert case["expected"]["rps"] == pytest.approx(scores, abs=EXACT)


def test_skill_equals_the_reference(reference) -> None:
    case = reference("P29_rps_scores")
    y = np.array(case["data"]["outcome"])
    model = rank_scores(reach_of(np.array(case["data"]["forecast"])), y)
    base = rank_scores(np.tile(reach_of(np.array(case["data"]["base_rates"])), (4, 1)), y)
    assert case["expected"]["base_rps"] == pytest.approx(base, abs=EXACT)
    assert case["expected"]["skill"] == pytest.approx(compare_scores(model, base).value, abs=EXACT)


def test_two_grades_give_the_brier_score(reference) -> None:
    case = reference("P29_rps_scores")
    reach = reach_of(np.array(case["data"]["forecast"]))[:, 2:3]
    y = (np.array(case["data"]["outcome"]) >= 3).astype(np.int64)
    assert case["expected"]["brier_ge_3"] == pytest.approx(rank_scores(reach, y), abs=EXACT)


def test_pieces_count_within_their_firing_before_firings_are_averaged() -> None:
    scores = np.array([0.0, 0.0, 0.0, 1.0])
    by_firing = average_by_firing(scores, np.array([0, 0, 0, 1]))
    assert by_firing.mean() == 0.5


def test_a_skill_interval_is_that_of_the_firing_wise_differences() -> None:
    # Differences 1, 2, 3 over a mean reference of 4: mean 2, error 1/sqrt(3), t(2) = 4.3027.
    skill = compare_scores(np.array([3.0, 2.0, 1.0]), np.array([4.0, 4.0, 4.0]))
    assert skill.value == 0.5
    assert skill.low == pytest.approx((2.0 - 4.302653 / 3**0.5) / 4.0, abs=1e-6)
