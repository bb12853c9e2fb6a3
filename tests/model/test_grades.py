"""Grades that do not occur: which thresholds are fitted, where the others go."""

import itertools

import numpy as np
import pytest

from outcomes.model.fit import Link
from outcomes.model.grades import restored_thresholds, threshold_sources
from outcomes.model.prediction import predict_grades

NEVER = 1e-11


@pytest.mark.parametrize("link", list(Link))
def test_every_pattern_leaves_absent_grades_no_chance_and_the_others_theirs(link):
    for pattern in itertools.product([False, True], repeat=5):
        present = np.array(pattern)
        if present.sum() < 2:
            continue
        fitted = np.linspace(-1.0, 1.0, present.sum() - 1)
        thresholds = restored_thresholds(fitted, present, link)
        assert (np.diff(thresholds) >= 0.0).all()
        assert np.array_equal(fitted, np.unique(thresholds[np.abs(thresholds) <= 1.0]))
        chance = predict_grades(np.zeros((1, 0)), thresholds, 5, link)[0]
        expected = predict_grades(np.zeros((1, 0)), fitted, len(fitted) + 1, link)[0]
        np.testing.assert_allclose(expected, chance[present], atol=NEVER)
        np.testing.assert_allclose(0.0, chance[~present], atol=NEVER)


def test_a_single_grade_takes_all_the_chance():
    thresholds = restored_thresholds(np.zeros(0), np.array([False, True, False]), Link.LOGIT)
    chance = predict_grades(np.zeros((1, 0)), thresholds, 3)[0]
    np.testing.assert_allclose([0.0, 1.0, 0.0], chance, atol=NEVER)


def test_each_threshold_is_taken_from_the_nearest_fitted_one():
    present = np.array([False, True, False, True, True, False])
    assert threshold_sources(present).tolist() == [0, 0, 0, 1, 1]
