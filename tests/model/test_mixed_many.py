"""Weighted refits of the random-intercept model, and the upper limit of its luck."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import special

from outcomes.errors import RequestError
from outcomes.model.fit import FitOptions, Penalty
from outcomes.model.mixed import fit_mixed
from outcomes.model.mixed_climb import climb_mixed
from outcomes.model.mixed_many import fit_many_mixed
from outcomes.model.mixed_profile import firing_sd_upper
from outcomes.model.mixed_task import build_mixed_task, inward

# Refits stop at a gradient of 1e-8 per piece: parameters right to about 1e-6.
REFIT = 5e-6


@pytest.fixture
def log(make_design):
    return make_design(12, firings=14, pieces=6)


def test_a_firing_of_weight_zero_is_a_firing_left_out(log):
    start = fit_mixed(log.X, log.y, 5, firing=log.firing)
    many = fit_many_mixed(
        log.X, log.y, 5, firing=log.firing, firing_weights=1.0 - np.eye(14), start=start
    )
    assert many.converged.all()
    for g in (0, 5, 13):
        kept = log.firing != g
        alone = fit_mixed(log.X[kept], log.y[kept], 5, firing=log.firing[kept])
        np.testing.assert_allclose(alone.slopes, many.slopes[g], atol=REFIT)
        assert alone.firing_sd == pytest.approx(many.firing_sd[g], abs=10 * REFIT)
        spread = alone.covariance[4:-1, 4:-1]
        np.testing.assert_allclose(spread, many.slope_covariance[g], atol=REFIT)


def test_a_firing_of_weight_two_is_two_such_firings(log):
    start = fit_mixed(log.X, log.y, 5, firing=log.firing)
    weights = np.ones((1, 14))
    weights[0, 3] = 2.0
    many = fit_many_mixed(log.X, log.y, 5, firing=log.firing, firing_weights=weights, start=start)
    twice = np.concatenate([np.arange(len(log.y)), np.flatnonzero(log.firing == 3)])
    number = np.concatenate([log.firing, np.full((log.firing == 3).sum(), 14)])
    alone = fit_mixed(log.X[twice], log.y[twice], 5, firing=number)
    np.testing.assert_allclose(alone.slopes, many.slopes[0], atol=REFIT)
    assert alone.firing_sd == pytest.approx(many.firing_sd[0], abs=10 * REFIT)


def test_a_grade_lost_with_its_firing_leaves_the_other_grades_to_fit(log):
    y = np.where(log.y == 4, 3, log.y)
    y[np.flatnonzero(log.firing == 2)[0]] = 4
    start = fit_mixed(log.X, y, 5, firing=log.firing)
    many = fit_many_mixed(
        log.X, y, 5, firing=log.firing, firing_weights=1.0 - np.eye(14), start=start
    )
    kept = log.firing != 2
    alone = fit_mixed(log.X[kept], y[kept], 4, firing=log.firing[kept])
    np.testing.assert_allclose(alone.slopes, many.slopes[2], atol=REFIT)


def test_weights_without_a_column_for_each_firing_are_refused(log):
    start = fit_mixed(log.X, log.y, 5, firing=log.firing)
    with pytest.raises(
        RequestError, match=r"shape \(2, 3\); expected one column for each of the 14"
    ):
        fit_many_mixed(
            log.X, log.y, 5, firing=log.firing, firing_weights=np.ones((2, 3)), start=start
        )


def test_at_its_upper_limit_the_likelihood_has_fallen_as_far_as_asked(log):
    options = FitOptions(penalty=Penalty.NONE)
    fit = fit_mixed(log.X, log.y, 5, firing=log.firing, options=options)
    upper = firing_sd_upper(log.X, log.y, 5, firing=log.firing, fit=fit)
    task, centre = build_mixed_task(
        log.X, log.y, 5, firing=log.firing, options=options, points=fit.points
    )
    at = inward(np.append(fit.parameters()[:-1], upper), task, centre)
    held = climb_mixed(at[None], replace(task, holds_sd=True))
    fall = fit.log_likelihood - held.value[0]
    assert upper > fit.firing_sd
    assert float(special.ndtri(0.95)) ** 2 / 2.0 == pytest.approx(fall, abs=2e-3)


def test_luck_that_is_not_seen_still_has_an_upper_limit():
    firing = np.repeat(np.arange(10), 8)
    y = np.tile([0, 1, 2, 3], 20)
    X = np.random.default_rng(1).normal(size=(80, 1))
    fit = fit_mixed(X, y, 4, firing=firing)
    upper = firing_sd_upper(X, y, 4, firing=firing, fit=fit)
    surer = firing_sd_upper(X, y, 4, firing=firing, fit=fit, confidence=0.99)
    assert fit.firing_sd == 0.0
    assert 0.05 < upper < surer < 2.0


def test_luck_without_a_limit_is_called_infinite():
    firing = np.repeat(np.arange(12), 6)
    y = np.repeat([0, 1, 2], 4)[firing]
    X = np.zeros((72, 0))
    fit = fit_mixed(X, y, 3, firing=firing)
    assert np.isinf(firing_sd_upper(X, y, 3, firing=firing, fit=fit))
