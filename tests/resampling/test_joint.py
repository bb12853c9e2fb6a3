"""The largest of correlated t statistics, held to the studentised range and to Student's t."""

import numpy as np
import pytest
from scipy import stats

from outcomes.resampling.joint import joint_confidence, joint_p

# The three differences of three equal groups: a-b, a-c, b-c.
THREE_GROUPS = np.array([[1.0, 0.5, -0.5], [0.5, 1.0, 0.5], [-0.5, 0.5, 1.0]])
RULE = 3e-4  # the rule of integration, relative


@pytest.mark.parametrize("df", [2.5, 5.0, 18.0, 60.0])
@pytest.mark.parametrize("t", [1.5, 2.2, 3.5, 5.0])
def test_three_groups_equal_the_studentised_range(df, t):
    # Tukey's test: the range of three means over their error is sqrt(2) max |t|.
    expected = stats.studentized_range.sf(t * np.sqrt(2.0), 3, df)
    assert expected == pytest.approx(joint_p(t, THREE_GROUPS, df), rel=RULE)


@pytest.mark.parametrize("df", [1.0, 4.2, 30.0])
def test_the_same_contrast_twice_is_one_student_t(df):
    expected = 2.0 * stats.t.sf(2.1, df)
    for same in (np.ones((1, 1)), np.ones((2, 2)), np.array([[1.0, -1.0], [-1.0, 1.0]])):
        assert expected == pytest.approx(joint_p(-2.1, same, df), rel=RULE)


def test_the_joint_quantile_is_tukeys():
    confidence = joint_confidence(THREE_GROUPS, 18.0)
    expected = stats.studentized_range.isf(0.05, 3, 18.0) / np.sqrt(2.0)
    assert expected == pytest.approx(stats.t.isf((1.0 - confidence) / 2.0, 18.0), rel=RULE)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
@pytest.mark.parametrize("df", [1.0, 3.0, 40.0])
def test_it_lies_between_one_look_and_bonferroni(confidence, df, rng):
    factors = rng.normal(size=(3, 2))
    covariance = factors @ factors.T
    sizes = np.sqrt(np.diag(covariance))
    each = joint_confidence(covariance / np.outer(sizes, sizes), df, confidence)
    assert confidence < each < 1.0 - (1.0 - confidence) / 3.0


def test_quantile_and_p_value_agree(rng):
    each = joint_confidence(THREE_GROUPS, 7.3, 0.9)
    t = stats.t.isf((1.0 - each) / 2.0, 7.3)
    assert pytest.approx(0.1, rel=RULE) == joint_p(t, THREE_GROUPS, 7.3)


def test_it_equals_a_simulation(rng):
    n, df = 200_000, 9.0
    factors = rng.normal(size=(3, 3))
    covariance = factors @ factors.T
    sizes = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(sizes, sizes)
    draws = rng.multivariate_normal(np.zeros(3), correlation, size=n)
    t = np.abs(draws).max(axis=1) / np.sqrt(rng.chisquare(df, n) / df)
    share = float(np.mean(t >= 2.4))
    assert abs(share - joint_p(2.4, correlation, df)) < 4.0 * np.sqrt(share / n)


def test_more_contrasts_than_dimensions_equal_a_simulation(rng):
    # Three groups and the middle one against the mean of both others: four looks at two numbers.
    n, df = 200_000, 12.0
    contrasts = np.array([[-1.0, 1.0, 0.0], [0.0, -1.0, 1.0], [-1.0, 0.0, 1.0], [-0.5, 1.0, -0.5]])
    spread = np.diag([2.0, 1.0, 3.0])
    covariance = contrasts @ spread @ contrasts.T
    sizes = np.sqrt(np.diag(covariance))
    draws = (rng.normal(size=(n, 3)) * np.sqrt(np.diag(spread))) @ contrasts.T / sizes
    t = np.abs(draws).max(axis=1) / np.sqrt(rng.chisquare(df, n) / df)
    share = float(np.mean(t >= 2.4))
    found = joint_p(2.4, covariance / np.outer(sizes, sizes), df)
    assert abs(share - found) < 4.0 * np.sqrt(share / n)


def test_one_more_look_costs_something_and_no_more_than_bonferroni():
    contrasts = np.array([[-1.0, 1.0, 0.0], [0.0, -1.0, 1.0], [-1.0, 0.0, 1.0], [-0.5, 1.0, -0.5]])
    covariance = contrasts @ contrasts.T
    sizes = np.sqrt(np.diag(covariance))
    shared = covariance / np.outer(sizes, sizes)
    three, four = joint_p(2.5, shared[:3, :3], 18.0), joint_p(2.5, shared, 18.0)
    assert three < four < 8.0 * stats.t.sf(2.5, 18.0)
