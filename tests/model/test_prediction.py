"""Chances of grades: exact tails, and one shape rule."""

import numpy as np
import pytest

from outcomes.model.fit import Link
from outcomes.model.prediction import predict_grades, predict_reach

THRESHOLDS = np.array([-1.0, 0.3, 0.3, 2.0])


@pytest.mark.parametrize("link", list(Link))
def test_reach_is_the_sum_of_the_grades_from_there_up(link, rng):
    X, parameters = rng.normal(size=(20, 3)), rng.normal(size=(7, 7))
    parameters[:, :4] = THRESHOLDS
    chance = predict_grades(X, parameters, 5, link)
    assert chance.shape == (7, 20, 5)
    np.testing.assert_allclose(1.0, chance.sum(axis=-1), rtol=1e-13)
    for grade in range(5):
        reach = predict_reach(X, parameters, 5, grade, link)
        np.testing.assert_allclose(chance[..., grade:].sum(axis=-1), reach, atol=1e-14)


def test_one_parameter_and_a_batch_of_one_agree(rng):
    X, parameters = rng.normal(size=(20, 3)), np.concatenate([THRESHOLDS, rng.normal(size=3)])
    one, batch = predict_reach(X, parameters, 5, 2), predict_reach(X, parameters[None], 5, 2)
    np.testing.assert_allclose(batch[0], one, rtol=1e-14)


def test_a_grade_between_thresholds_that_meet_has_no_chance():
    chance = predict_grades(np.zeros((1, 1)), np.append(THRESHOLDS, 0.0), 5)
    assert chance[0, 2] == 0.0


def test_a_chance_of_one_in_ten_to_the_forty_is_not_lost():
    far = predict_reach(np.array([[-90.0]]), np.array([2.1034, 1.0]), 2, 1)
    assert far[0] == pytest.approx(np.exp(-92.1034), rel=1e-12)
