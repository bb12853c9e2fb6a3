"""How much columns repeat one another."""

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from statsmodels.stats.outliers_influence import variance_inflation_factor

from outcomes.doubts.collinearity import (
    adjusted_share,
    chance_of_share,
    explained_share,
    scaled_condition_indexes,
    variance_inflation,
)

REFERENCE = Path(__file__).parents[1] / "reference"
# P24: "tol": rel 1e-6. The largest index is 4e4: the data themselves carry 7 digits.
TOLERANCE = 1e-6


@pytest.fixture
def longley():
    # P24: Longley (1967), JASA 62, 819-841; VIF and scaled condition indexes recomputed in R
    expected = json.loads((REFERENCE / "P24_longley_collinearity.json").read_text("utf-8"))
    table = pd.read_csv(REFERENCE / "longley.csv")
    return table[list(expected["expected"]["vif"])].to_numpy(float), expected["expected"]


def test_the_published_inflation_factors_are_reproduced(longley):
    X, expected = longley
    assert variance_inflation(X) == pytest.approx(list(expected["vif"].values()), rel=TOLERANCE)


def test_the_published_condition_indexes_are_reproduced(longley):
    X, expected = longley
    assert scaled_condition_indexes(X) == pytest.approx(
        expected["scaled_condition_indexes"], rel=TOLERANCE
    )


def test_statsmodels_agrees_on_inflation():
    X = np.random.default_rng(1).normal(size=(40, 3)) @ np.array(
        [[1.0, 0.9, 0.2], [0.0, 0.4, 0.1], [0.0, 0.0, 1.0]]
    )
    with_intercept = np.column_stack([np.ones(40), X])
    referee = [variance_inflation_factor(with_intercept, j) for j in (1, 2, 3)]
    assert variance_inflation(X) == pytest.approx(referee)


def test_unrelated_columns_have_inflation_one_and_share_nothing():
    X = np.array([[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]])
    assert variance_inflation(X) == pytest.approx([1.0, 1.0])
    assert explained_share(X[:, :1], X[:, 1:]) == pytest.approx(0.0)


def test_inflation_and_explained_share_say_the_same(longley):
    X, _ = longley
    share = explained_share(X[:, :1], X[:, 1:])
    assert 1.0 / (1.0 - share) == pytest.approx(variance_inflation(X)[0], rel=TOLERANCE)


def test_a_factor_of_two_columns_is_explained_as_a_whole():
    first = np.array([[0.0, 1.0], [1.0, 0.0], [2.0, 1.0], [3.0, 0.0]])
    assert explained_share(first, first[:, :1] * 5.0) == pytest.approx(0.5 * (1.0 + 0.2))


def test_without_freedom_nothing_is_claimed():
    assert adjusted_share(0.99, units=8, regressors=7) == 0.0
    assert chance_of_share(0.99, units=8, regressors=7) == 1.0


def test_the_chance_of_a_share_is_that_of_the_correlation_test():
    rng = np.random.default_rng(5)
    x, y = rng.normal(size=(2, 20))
    referee = stats.pearsonr(x, y)
    chance = chance_of_share(referee.statistic**2, units=20, regressors=1)
    assert chance == pytest.approx(referee.pvalue)
