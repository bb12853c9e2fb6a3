"""Intervals: formulas against their sources and SciPy, and t tests."""

import numpy as np
import pytest
from scipy import stats

from outcomes.resampling.intervals import (
    effective_df,
    expanded_percentile,
    expanded_tail,
    jackknife_covariance,
    jackknife_error,
    jackknife_interval,
    two_sided_p,
)


@pytest.mark.parametrize("n_firings", [6, 12, 24, 48, 1000])
@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
def test_the_expanded_tail_is_hesterbergs_formula(n_firings, confidence):
    # Hesterberg (2015), section 5.3: alpha'/2 = Phi(-sqrt(n/(n-1)) t_{alpha/2, n-1}).
    t = stats.t.ppf(1.0 - (1.0 - confidence) / 2.0, n_firings - 1)
    expected = stats.norm.cdf(-np.sqrt(n_firings / (n_firings - 1)) * t)
    assert expected == pytest.approx(expanded_tail(n_firings, confidence), rel=1e-10)


def test_many_firings_need_no_expansion():
    assert expanded_tail(10**7) == pytest.approx(0.025, rel=1e-5)


def test_the_expanded_interval_of_normal_draws_is_the_t_interval_of_the_mean():
    # What the expansion is for: with draws of variance s^2 (G-1)/G it gives estimate +- t s.
    n_firings = 12
    share = (np.arange(200_000) + 0.5) / 200_000
    draws = np.sqrt((n_firings - 1) / n_firings) * stats.norm.ppf(share)
    found = expanded_percentile(draws, n_firings)
    t = stats.t.ppf(0.975, n_firings - 1)
    assert (-t, t) == pytest.approx((found.low, found.high), rel=2e-4)
    assert (found.method, found.confidence) == ("expanded percentile", 0.95)


def test_the_jackknife_error_of_a_mean_is_its_standard_error():
    # Efron & Tibshirani (1993), section 11.2: exactly s/sqrt(n).
    data = np.array([3.1, 4.7, 0.2, 5.5, 2.9, 3.3])
    without_each = (data.sum() - data) / (len(data) - 1)
    assert stats.sem(data) == pytest.approx(float(jackknife_error(without_each)))


def test_the_jackknife_error_keeps_the_shape_of_what_it_is_given(rng):
    values = rng.normal(size=(9, 4, 3))
    errors = jackknife_error(values)
    assert errors.shape == (4, 3)
    assert float(jackknife_error(values[:, 2, 1])) == pytest.approx(errors[2, 1])


def test_the_jackknife_covariance_is_symmetric_with_the_errors_on_its_diagonal(rng):
    values = rng.normal(size=(9, 4))
    covariance = jackknife_covariance(values)
    np.testing.assert_array_equal(covariance, covariance.T)
    np.testing.assert_allclose(jackknife_error(values) ** 2, np.diag(covariance))


@pytest.mark.parametrize("df", [1.0, 2.6, 4.5, 23.0])
def test_the_jackknife_interval_is_t_with_any_degrees_of_freedom(df):
    found = jackknife_interval(0.2, 0.1, df, 0.9)
    expected = stats.t.interval(0.9, df, loc=0.2, scale=0.1)
    assert expected == pytest.approx((found.low, found.high), rel=1e-9)


def test_fewer_than_one_degree_of_freedom_counts_as_one():
    assert jackknife_interval(0.0, 1.0, 0.3) == jackknife_interval(0.0, 1.0, 1.0)


def test_the_atanh_interval_never_leaves_minus_one_to_one():
    wide = jackknife_interval(0.8, 0.3, 3.0, scale="atanh")
    assert -1.0 < wide.low < 0.8 < wide.high < 1.0
    assert jackknife_interval(0.8, 0.3, 3.0).high > 1.0


def test_the_atanh_interval_is_the_plain_one_for_small_differences():
    plain = jackknife_interval(0.01, 0.002, 11.0)
    bent = jackknife_interval(0.01, 0.002, 11.0, scale="atanh")
    assert (plain.low, plain.high) == pytest.approx((bent.low, bent.high), rel=1e-3)


@pytest.mark.parametrize(
    ("firings", "effective", "expected"), [(24, 5.5, 4.5), (24, 24.0, 23.0), (8, 1.4, 1.0)]
)
def test_degrees_of_freedom_follow_the_effective_firings(firings, effective, expected):
    assert expected == effective_df(firings, effective)


@pytest.mark.parametrize("df", [1.0, 4.5, 23.0])
@pytest.mark.parametrize("estimate", [-3.0, 0.0, 0.7, 12.0])
def test_the_p_value_is_the_two_sided_t_probability(df, estimate):
    expected = 2.0 * stats.t.sf(abs(estimate), df)
    assert expected == pytest.approx(two_sided_p(estimate, 1.0, df), rel=1e-9)


def test_the_p_value_and_the_interval_agree_at_the_border():
    edge = jackknife_interval(0.0, 0.4, 6.3).high
    assert two_sided_p(edge, 0.4, 6.3) == pytest.approx(0.05)


def test_no_error_at_all_leaves_no_doubt():
    assert two_sided_p(0.0, 0.0, 5.0) == 1.0
    assert two_sided_p(0.1, 0.0, 5.0) == 0.0
