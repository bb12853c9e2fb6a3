"""Firings as clusters: sandwich, jackknife, weighted refits and average contrasts against R."""

import numpy as np
import pytest

from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, Penalty
from outcomes.model.likelihood import Pieces, gradient_by_firing, information_by_firing
from outcomes.model.prediction import predict_grades, predict_reach
from outcomes.resampling.firings import effective_firings, leave_one_out_weights
from outcomes.resampling.intervals import jackknife_covariance, jackknife_error, jackknife_interval

BARE = FitOptions(penalty=Penalty.NONE)
STORED = 1e-6  # relative; the stored values have 13 digits, their sandwich lost a few
SURVEY = 2e-4  # survey::svyolr stops early (P22's own tolerance)


def bare_fit(data):
    return fit_cumulative(data.X, data.y, data.n_grades, options=BARE)


def sandwich(data, fit) -> np.ndarray:
    """CR0; CR1 is G/(G-1) times it."""
    pieces = Pieces(X=data.X, y=data.y, weights=np.ones(len(data.y)), n_grades=data.n_grades)
    scores = gradient_by_firing(pieces, firing=data.cluster, fit=fit)
    return fit.covariance @ (scores.T @ scores) @ fit.covariance


def leave_one_out(data, fit) -> np.ndarray:
    n_clusters = int(data.cluster.max()) + 1
    return fit_many(
        data.X,
        data.y,
        data.n_grades,
        firing=data.cluster,
        firing_weights=leave_one_out_weights(n_clusters),
        start=fit,
    ).values


def test_wine_has_the_stored_sandwich_errors_by_judge(wine_clusters):
    expected, fit = wine_clusters.expected, bare_fit(wine_clusters)
    cr0 = sandwich(wine_clusters, fit)
    cr1 = cr0 * 9 / 8
    np.testing.assert_allclose(expected["CR0_se"], np.sqrt(np.diag(cr0)), rtol=STORED)
    np.testing.assert_allclose(expected["CR1_cov"], cr1, rtol=STORED)
    np.testing.assert_allclose(expected["svyolr_se"], np.sqrt(np.diag(cr1)), atol=SURVEY)
    interval = jackknife_interval(fit.slopes[0], float(np.sqrt(cr1[4, 4])), 8)
    np.testing.assert_allclose(
        expected["t_ci_CR1_t_df_8"]["tempwarm"], [interval.low, interval.high], rtol=STORED
    )


def test_wine_has_the_stored_estimates_without_each_judge(wine_clusters):
    expected, fit = wine_clusters.expected, bare_fit(wine_clusters)
    values = leave_one_out(wine_clusters, fit)
    np.testing.assert_allclose(expected["jackknife_estimates"], values, rtol=1e-8)
    np.testing.assert_allclose(expected["jackknife_se"], jackknife_error(values), rtol=1e-8)


def test_wine_has_the_stored_refit_for_every_row_of_judge_weights(wine_clusters, judge_weights):
    weights = np.column_stack([judge_weights[f"w_judge{j}"] for j in range(1, 10)])
    names = ["1|2", "2|3", "3|4", "4|5", "tempwarm", "contactyes"]
    expected = np.column_stack([judge_weights[name] for name in names])
    data, start = wine_clusters, bare_fit(wine_clusters)
    many = fit_many(data.X, data.y, 5, firing=data.cluster, firing_weights=weights, start=start)
    np.testing.assert_allclose(expected, many.values, rtol=1e-6)
    for row, likelihood in zip(weights, judge_weights["weighted_logLik"], strict=True):
        fit = fit_cumulative(data.X, data.y, 5, weights=row[data.cluster], options=BARE)
        assert likelihood == pytest.approx(fit.log_likelihood, rel=1e-8)


def test_wine_has_the_stored_refit_for_every_integer_redraw(wine_clusters):
    data, start = wine_clusters, bare_fit(wine_clusters)
    stored = np.array(data.expected["integer_resamples"])
    many = fit_many(
        data.X, data.y, 5, firing=data.cluster, firing_weights=stored[:, :9], start=start
    )
    np.testing.assert_allclose(stored[:, 9:15], many.values, rtol=1e-7)


def test_wine_has_the_published_average_contrasts_with_their_errors(wine_contrasts):
    data, fit = wine_contrasts, bare_fit(wine_contrasts)
    expected = data.expected["diff_warm_minus_cold"]
    cluster = sandwich(data, fit) * 9 / 8

    def reach(parameters):
        return contrast(data.X, parameters, grade=3)

    def mean_grade(parameters):
        warm, cold = set_to(data.X, 0, 1.0), set_to(data.X, 0, 0.0)
        change = predict_grades(warm, parameters, 5) - predict_grades(cold, parameters, 5)
        return float((change @ np.arange(5)).mean())

    for name, function in (("P_ge_4", reach), ("mean_grade", mean_grade)):
        gradient = numeric_gradient(function, fit.parameters())
        naive = np.sqrt(gradient @ fit.covariance @ gradient)
        assert expected[name] == pytest.approx([function(fit.parameters()), naive], rel=STORED)
        robust = np.sqrt(gradient @ cluster @ gradient)
        assert expected[f"{name}_cluster_se"] == pytest.approx(robust, rel=1e-5)


def test_synthetic_firings_have_the_stored_cluster_errors(synthetic_firings):
    data, fit = synthetic_firings, bare_fit(synthetic_firings)
    cr1 = np.sqrt(np.diag(sandwich(data, fit)) * 24 / 23)
    np.testing.assert_allclose(data.expected["CR1_se"], cr1, rtol=STORED)
    error = jackknife_error(leave_one_out(data, fit))
    np.testing.assert_allclose(data.expected["jackknife_se"], error, rtol=1e-7)


def test_synthetic_firings_have_the_stored_average_contrasts(synthetic_firings):
    data, fit = synthetic_firings, bare_fit(synthetic_firings)
    stored = data.expected["average_contrasts"]["paper_1_vs_0:P_ge_3"]
    change = contrast(data.X, fit.parameters(), grade=3, column=3)
    assert stored["estimate"] == pytest.approx(change, rel=1e-7)
    gradient = numeric_gradient(
        lambda at: contrast(data.X, at, grade=3, column=3), fit.parameters()
    )
    cr1 = sandwich(data, fit) * 24 / 23
    robust = np.sqrt(gradient @ cr1 @ gradient)
    assert stored["cluster_CR1_se"] == pytest.approx(robust, rel=1e-5)


def test_bacteria_have_the_stored_sandwich_and_jackknife_errors(bacteria):
    fit = bare_fit(bacteria)
    cr0 = np.sqrt(np.diag(sandwich(bacteria, fit)))
    np.testing.assert_allclose(bacteria.expected["CR0"]["se"], cr0, rtol=STORED)
    cr1 = cr0 * np.sqrt(50 / 49)
    np.testing.assert_allclose(bacteria.expected["CR1"]["se"], cr1, rtol=STORED)
    values = leave_one_out(bacteria, fit)
    centred = bacteria.expected["delete_cluster_jackknife_se_centered_at_mean"]
    np.testing.assert_allclose(centred, jackknife_error(values), rtol=STORED)


def test_jackknife_covariance_has_the_errors_on_its_diagonal(wine_clusters):
    values = leave_one_out(wine_clusters, bare_fit(wine_clusters))
    covariance = jackknife_covariance(values)
    np.testing.assert_allclose(jackknife_error(values) ** 2, np.diag(covariance), rtol=1e-13)


def test_a_column_balanced_in_every_firing_rests_on_all_of_them(wine_clusters):
    # Every judge tasted every combination the same number of times.
    data, fit = wine_clusters, bare_fit(wine_clusters)
    by_judge = information_by_firing(data.X, data.y, 5, data.cluster, fit)
    gradient = np.eye(6)[4]
    assert 8.0 < effective_firings(gradient, fit.covariance, by_judge) <= 9.0


def test_a_setting_tried_in_four_of_24_firings_rests_on_about_five(make_design):
    log = make_design(2)
    X = np.column_stack([log.firing < 4, log.X[:, 2:]]).astype(float)
    fit = fit_cumulative(X, log.y, 5)
    information = information_by_firing(X, log.y, 5, log.firing, fit)
    # method_in_depth section 1 gives 5-6 for 4 of 24 on, simulated with six pieces a firing.
    assert 4.0 < effective_firings(np.eye(7)[4], fit.covariance, information) < 7.0


def set_to(X, column, value):
    changed = X.copy()
    changed[:, column] = value
    return changed


def contrast(X, parameters, *, grade, column=0):
    warm = predict_reach(set_to(X, column, 1.0), parameters, 5, grade)
    return float((warm - predict_reach(set_to(X, column, 0.0), parameters, 5, grade)).mean())


def numeric_gradient(function, at, step=1e-5):
    return np.array(
        [(function(at + d) - function(at - d)) / (2 * step) for d in np.eye(len(at)) * step]
    )
