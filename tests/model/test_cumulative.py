"""One fit against published examples (values read from tests/reference, source in its README)."""

import numpy as np
import pytest

from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Link, Penalty
from outcomes.model.prediction import predict_grades, predict_reach

BARE = FitOptions(penalty=Penalty.NONE)
# Stored values come from R with gradTol 1e-12 or an own Newton: 13 digits, so 1e-8 is theirs.
ESTIMATE_TOLERANCE = 1e-8
ERROR_TOLERANCE = 1e-6
# polr stops early; its coefficients are kept in P04 and are 3e-5 off (method.md section 1).
POLR_TOLERANCE = 1e-4


def bare_fit(data, link=Link.LOGIT):
    return fit_cumulative(
        data.X,
        data.y,
        data.n_grades,
        weights=data.weights,
        options=FitOptions(link=link, penalty=Penalty.NONE),
    )


def errors(fit) -> np.ndarray:
    return np.sqrt(np.diag(fit.covariance))


def assert_matches(expected, fit):
    np.testing.assert_allclose(
        list(expected["coef"].values()),
        fit.parameters(),
        rtol=ESTIMATE_TOLERANCE,
        atol=ESTIMATE_TOLERANCE,
    )
    np.testing.assert_allclose(list(expected["se"].values()), errors(fit), rtol=ERROR_TOLERANCE)
    assert expected["logLik"] == pytest.approx(fit.log_likelihood, rel=1e-11)
    assert fit.status is FitStatus.CONVERGED


@pytest.mark.parametrize("link", list(Link))
def test_wine_has_the_published_fit_in_every_link(link, wine):
    expected = wine.expected["links"][link.value]
    if "se" not in expected:
        expected = {**expected, "se": {}}
    fit = bare_fit(wine, link)
    np.testing.assert_allclose(
        list(expected["coef"].values()), fit.parameters(), rtol=ESTIMATE_TOLERANCE
    )
    np.testing.assert_allclose(
        list(expected["se"].values()), errors(fit)[: len(expected["se"])], rtol=ERROR_TOLERANCE
    )
    assert expected["logLik"] == pytest.approx(fit.log_likelihood, rel=1e-10)


def test_wine_has_the_published_covariance_matrix(wine):
    expected = np.array([list(row.values()) for row in wine.expected["vcov"]])
    np.testing.assert_allclose(expected, bare_fit(wine).covariance, rtol=ERROR_TOLERANCE)


def test_wine_has_the_published_likelihoods_without_each_column(wine):
    def likelihood(columns):
        return fit_cumulative(wine.X[:, columns], wine.y, 5, options=BARE).log_likelihood

    assert wine.expected["null_logLik"] == pytest.approx(likelihood([]), rel=1e-10)
    assert wine.expected["temp_only_logLik"] == pytest.approx(likelihood([0]), rel=1e-10)
    assert wine.expected["contact_only_logLik"] == pytest.approx(likelihood([1]), rel=1e-10)


def test_wine_has_the_published_chances_of_each_grade(wine):
    corners = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    expected = np.array(list(wine.expected["predicted_prob"].values()))
    found = predict_grades(corners, bare_fit(wine).parameters(), 5)
    np.testing.assert_allclose(expected, found, rtol=1e-7)


def test_wine_with_an_interaction_has_the_published_fit(wine):
    X = np.column_stack([wine.X, wine.X[:, 0] * wine.X[:, 1]])
    assert_matches(wine.expected["interaction"], fit_cumulative(X, wine.y, 5, options=BARE))


def test_housing_with_frequency_weights_has_the_published_fit(housing):
    fit = bare_fit(housing)
    assert_matches(housing.expected["main"], fit)
    polr = housing.expected["polr_coef"]
    np.testing.assert_allclose(list(polr.values()), fit.slopes, atol=POLR_TOLERANCE)
    assert housing.expected["residual_deviance"] == pytest.approx(-2.0 * fit.log_likelihood)
    np.testing.assert_allclose(
        housing.expected["prob_first_row"],
        predict_grades(housing.X[:1], fit.parameters(), 3)[0],
        rtol=1e-7,
    )


def test_cheese_with_frequencies_zeros_included_has_the_published_fit(cheese):
    assert_matches(cheese.expected["main"], bare_fit(cheese))
    null = fit_cumulative(
        cheese.X[:, :0], cheese.y, cheese.n_grades, weights=cheese.weights, options=BARE
    )
    assert cheese.expected["m2ll_null"] == pytest.approx(-2.0 * null.log_likelihood, rel=1e-10)


def test_mental_impairment_has_the_published_fit(mental):
    fit = bare_fit(mental)
    assert_matches(mental.expected["main"], fit)
    null = fit_cumulative(mental.X[:, :0], mental.y, mental.n_grades, options=BARE)
    ratio = 2.0 * (fit.log_likelihood - null.log_likelihood)
    assert mental.expected["LR"] == pytest.approx(ratio, rel=1e-9)
    X = np.column_stack([mental.X, mental.X[:, 0] * mental.X[:, 1]])
    assert_matches(
        mental.expected["interaction"], fit_cumulative(X, mental.y, mental.n_grades, options=BARE)
    )


def test_graduate_school_has_the_published_fit(gradschool):
    fit = bare_fit(gradschool)
    assert_matches(gradschool.expected, fit)


def test_graduate_school_has_the_published_average_contrasts(gradschool):
    expected = gradschool.expected["average_contrast_pared_1_minus_0"]
    parameters = bare_fit(gradschool).parameters()
    with_it, without = gradschool.X.copy(), gradschool.X.copy()
    with_it[:, 0], without[:, 0] = 1.0, 0.0
    change = predict_grades(with_it, parameters, 3) - predict_grades(without, parameters, 3)
    for k in range(3):
        assert expected[f"P{k}"]["estimate"] == pytest.approx(change[:, k].mean(), abs=1e-9)
    reach = predict_reach(with_it, parameters, 3, 1) - predict_reach(without, parameters, 3, 1)
    assert expected["exceed_0"]["estimate"] == pytest.approx(reach.mean(), abs=1e-9)
    grades = change @ np.arange(3)
    assert expected["mean_grade"]["estimate"] == pytest.approx(grades.mean(), abs=1e-9)


def test_synthetic_firings_have_the_stored_fit_and_likelihood_ratios(synthetic_firings):
    data = synthetic_firings
    stored = data.expected["clm"]
    fit = bare_fit(data)
    np.testing.assert_allclose(stored["coef"], fit.parameters(), rtol=ESTIMATE_TOLERANCE)
    np.testing.assert_allclose(stored["se"], errors(fit), rtol=ERROR_TOLERANCE)
    assert stored["logLik"] == pytest.approx(fit.log_likelihood, rel=1e-11)
    left_out = {"z": [0], "z2": [1], "red10": [2], "paper": [3], "glaze": [4, 5], "thickness": [6]}
    for name, columns in left_out.items():
        rest = np.delete(data.X, columns, axis=1)
        smaller = fit_cumulative(rest, data.y, data.n_grades, options=BARE)
        ratio = 2.0 * (fit.log_likelihood - smaller.log_likelihood)
        assert data.expected["LR_drop"][name] == pytest.approx(ratio, abs=1e-7), name


def test_two_grades_are_logistic_regression(synthetic_cracks, bacteria):
    stored = synthetic_cracks.expected["crack_glm"]
    fit = bare_fit(synthetic_cracks)
    expected = np.array(list(stored["coef"].values())) * [-1.0, 1.0, 1.0, 1.0, 1.0]
    np.testing.assert_allclose(expected, fit.parameters(), rtol=ESTIMATE_TOLERANCE)
    np.testing.assert_allclose(list(stored["se"].values()), errors(fit), rtol=ERROR_TOLERANCE)
    stored, fit = bacteria.expected["glm"], bare_fit(bacteria)
    expected = np.array(stored["coef"]) * [-1.0, 1.0, 1.0, 1.0]
    np.testing.assert_allclose(expected, fit.parameters(), rtol=ESTIMATE_TOLERANCE)
    assert stored["logLik"] == pytest.approx(fit.log_likelihood, rel=1e-10)
