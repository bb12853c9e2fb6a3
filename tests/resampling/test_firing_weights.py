"""Weights per firing."""

import numpy as np
import pytest

from outcomes.resampling.firings import (
    draw_firing_weights,
    effective_firings,
    leave_one_out_weights,
)


def test_every_redraw_holds_as_many_firings_as_the_log():
    weights = draw_firing_weights(17, 500, rng=np.random.default_rng(1))
    assert weights.shape == (500, 17)
    assert (weights.sum(axis=1) == 17).all()
    assert weights.min() == 0


def test_each_firing_is_drawn_once_on_average_and_missed_as_theory_says():
    weights = draw_firing_weights(24, 20_000, rng=np.random.default_rng(2))
    # 480 000 draws: six standard errors of a mean of 1 with variance 23/24.
    np.testing.assert_allclose(1.0, weights.mean(axis=0), atol=6.0 / np.sqrt(20_000))
    missed = (1.0 - 1.0 / 24.0) ** 24
    assert missed == pytest.approx((weights == 0).mean(), abs=6 * np.sqrt(missed / 480_000))


def test_the_same_seed_draws_the_same_weights():
    first = draw_firing_weights(9, 50, rng=np.random.default_rng(5))
    second = draw_firing_weights(9, 50, rng=np.random.default_rng(5))
    assert np.array_equal(first, second)


def test_leaving_one_out_leaves_each_out_once():
    weights = leave_one_out_weights(5)
    assert np.array_equal(1.0 - np.eye(5), weights)


@pytest.mark.parametrize("n_firings", [1, 6, 48])
def test_equal_firings_all_count(n_firings):
    information = np.repeat(np.eye(2)[None], n_firings, axis=0)
    found = effective_firings(np.array([1.0, -2.0]), np.eye(2) / n_firings, information)
    assert n_firings == pytest.approx(found)


def test_firings_that_say_nothing_about_the_contrast_do_not_count():
    information = np.zeros((10, 1, 1))
    information[:4] = 1.0
    assert effective_firings(np.ones(1), np.eye(1), information) == pytest.approx(4.0)


def test_a_contrast_nothing_speaks_about_rests_on_one():
    assert effective_firings(np.zeros(2), np.eye(2), np.ones((5, 2, 2))) == 1.0
