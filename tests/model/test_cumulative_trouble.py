"""Data no flag of a library should be trusted on: a status, finite numbers, no warning."""

import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Link, Penalty

PENALISED = [FitOptions(), FitOptions(penalty=Penalty.RIDGE, strength=2.5)]
BARE = FitOptions(penalty=Penalty.NONE)


@pytest.fixture
def log(make_design):
    return make_design(3)


def assert_finite(fit):
    assert np.isfinite(fit.parameters()).all()
    assert np.isfinite(fit.covariance).all()
    assert np.isfinite(
        [fit.log_likelihood, fit.largest_gradient, fit.condition_number, fit.smallest_eigenvalue]
    ).all()


@pytest.mark.parametrize("link", list(Link))
@pytest.mark.parametrize("options", [*PENALISED, BARE])
def test_a_constant_column_is_doubted_and_has_no_slope(options, link, log):
    X = np.column_stack([log.X, np.full(len(log.y), 7.0)])
    settings = FitOptions(link=link, penalty=options.penalty, strength=options.strength)
    fit = fit_cumulative(X, log.y, 5, options=settings)
    assert fit.status is FitStatus.DOUBTFUL
    assert fit.slopes[-1] == pytest.approx(0.0, abs=1e-9)
    assert_finite(fit)


@pytest.mark.parametrize("options", [*PENALISED, BARE])
def test_identical_columns_are_doubted_and_share_the_slope(options, log):
    alone = fit_cumulative(log.X, log.y, 5, options=BARE)
    fit = fit_cumulative(log.X[:, [0, 1, 2, 3, 0]], log.y, 5, options=options)
    assert fit.status is FitStatus.DOUBTFUL
    assert fit.slopes[0] == pytest.approx(fit.slopes[4], abs=1e-6)
    assert alone.slopes[0] == pytest.approx(fit.slopes[0] + fit.slopes[4], abs=0.05)
    assert_finite(fit)


@pytest.mark.parametrize("options", [*PENALISED, BARE])
def test_complete_separation_is_doubted_and_finite(options):
    x = np.linspace(-2.0, 2.0, 40)[:, None]
    fit = fit_cumulative(x, (x[:, 0] > 0.0).astype(np.int64), 2, options=options)
    assert fit.status is not FitStatus.CONVERGED
    assert fit.slopes[0] > 1.0
    assert_finite(fit)


@pytest.mark.parametrize("options", [*PENALISED, BARE])
def test_quasi_complete_separation_is_doubted_and_finite(options, endometrial):
    fit = fit_cumulative(endometrial.X, endometrial.y, 2, options=options)
    assert fit.status is FitStatus.DOUBTFUL
    assert_finite(fit)


def test_every_separated_log_is_doubted_and_no_clean_one(make_design):
    found = {True: set(), False: set()}
    for seed in range(60):
        log = make_design(seed, n_grades=2 + seed % 4)
        found[False].add(fit_cumulative(log.X, log.y, log.n_grades).status)
        X, y = log.X.copy(), log.y.copy()
        X[:, 0], y[log.firing == 3] = log.firing == 3, (log.n_grades - 1) * (seed % 2)
        found[True].add(fit_cumulative(X, y, log.n_grades).status)
    assert found == {True: {FitStatus.DOUBTFUL}, False: {FitStatus.CONVERGED}}


def test_one_firing_with_firing_level_columns_is_doubted(make_design):
    log = make_design(8, firings=1, pieces=12)
    fit = fit_cumulative(log.X, log.y, 5)
    assert fit.status is FitStatus.DOUBTFUL
    np.testing.assert_allclose(0.0, fit.slopes[:2], atol=1e-9)
    assert_finite(fit)


def test_more_columns_than_pieces_still_ends_finite(make_design):
    log = make_design(8, firings=5, pieces=2, columns=14)
    fit = fit_cumulative(log.X, log.y, 5)
    assert fit.status is FitStatus.DOUBTFUL
    assert_finite(fit)


@pytest.mark.parametrize("link", list(Link))
@pytest.mark.parametrize("missing", [0, 2, 4])
def test_a_grade_nobody_got_is_left_out_and_its_thresholds_put_back(missing, link, log):
    kept = log.y != missing
    y = log.y[kept]
    fit = fit_cumulative(log.X[kept], y, 5, options=FitOptions(link=link))
    four = fit_cumulative(log.X[kept], y - (y > missing), 4, options=FitOptions(link=link))
    assert fit.status is FitStatus.DOUBTFUL
    np.testing.assert_allclose(four.slopes, fit.slopes, rtol=1e-12)
    assert four.log_likelihood == pytest.approx(fit.log_likelihood, rel=1e-12)
    assert len(fit.thresholds) == 4
    assert (np.diff(fit.thresholds) >= 0.0).all()
    assert fit.covariance.shape == (8, 8)
    assert_finite(fit)


def test_a_grade_with_weight_zero_is_a_grade_nobody_got(log):
    weights = (log.y != 4).astype(float)
    fit = fit_cumulative(log.X, log.y, 5, weights=weights)
    kept = log.y != 4
    expected = fit_cumulative(log.X[kept], log.y[kept], 5)
    np.testing.assert_allclose(expected.parameters(), fit.parameters(), rtol=1e-9)


def test_a_single_grade_fails_without_numbers_that_are_not_finite(log):
    fit = fit_cumulative(log.X, np.full(len(log.y), 2), 5)
    assert fit.status is FitStatus.FAILED
    assert np.array_equal([0.0] * 4, fit.slopes)
    assert_finite(fit)


def test_a_grade_seen_once_is_fitted(make_design):
    log = make_design(4, n_grades=2)
    y = log.y.copy()
    y[0] = 2
    fit = fit_cumulative(log.X, y, 3)
    assert fit.status is FitStatus.CONVERGED
    assert_finite(fit)


def test_slopes_of_thirty_do_not_overflow():
    rng = np.random.default_rng(2)
    x = rng.normal(size=(400, 1))
    y = np.searchsorted([-20.0, 0.0, 20.0], 30.0 * x[:, 0] + rng.logistic(size=400))
    fit = fit_cumulative(x, y, 4, options=BARE)
    assert fit.status is FitStatus.CONVERGED
    assert abs(fit.slopes[0] - 30.0) < 3.0 * np.sqrt(fit.covariance[3, 3])


def test_the_arguments_are_not_changed(log):
    X, y, weights = log.X.copy(), log.y.copy(), np.ones(len(log.y))
    fit_cumulative(X, y, 5, weights=weights)
    assert np.array_equal(log.X, X)
    assert np.array_equal(log.y, y)
    assert (weights == 1.0).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"X": np.zeros((3, 2))}, "expected \\(192, p\\)"),
        ({"y": np.full(192, 5)}, "whole numbers from 0 to 4"),
        ({"X": np.full((192, 1), np.nan)}, "leave those rows out"),
        ({"weights": np.full(192, -1.0)}, "zero or more"),
        ({"weights": np.zeros(192)}, "not all zero"),
        ({"weights": np.ones(3)}, "expected \\(192, p\\)"),
    ],
)
def test_arrays_that_cannot_be_a_data_set_are_refused_with_the_reason(change, words, log):
    given = {"X": log.X, "y": log.y, "weights": np.ones(192), **change}
    with pytest.raises(RequestError, match=words):
        fit_cumulative(given["X"], given["y"], 5, weights=given["weights"])
