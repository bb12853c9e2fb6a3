"""The firing-score error: textbook identities in a linear model, and what must not matter."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from outcomes.resampling.intervals import two_sided_p
from outcomes.resampling.leverage import (
    Pull,
    build_pull,
    corrected_error,
    corrected_errors,
    map_pull,
    score_interval,
)

SIZES = [2, 12, 5, 7, 3, 8, 6, 4, 10]
CONTRAST = np.array([0.0, 1.0, 0.3])


def linear_pull(X: np.ndarray, y: np.ndarray, firing: np.ndarray) -> Pull:
    """The pull of every firing on a least-squares fit; variance of the pieces 1."""
    inverse = np.linalg.inv(X.T @ X)
    scores = X * (y - X @ inverse @ X.T @ y)[:, None]
    names = np.unique(firing)
    return build_pull(
        inverse,
        np.array([X[firing == g].T @ X[firing == g] for g in names]),
        np.array([scores[firing == g].sum(axis=0) for g in names]),
    )


@pytest.fixture
def pieces(rng) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Columns, outcome and firing of 57 pieces: one column of the firing, one of the piece."""
    firing = np.repeat(np.arange(9), SIZES)
    X = np.column_stack([np.ones(57), rng.normal(size=9)[firing], rng.normal(size=57)])
    return X, rng.normal(size=9)[firing] + rng.normal(size=57), firing


def test_the_error_of_two_groups_is_welchs(rng):
    # Firings of one piece: the square root correction gives each group's own variance over
    # its size, and the df of two equal variances (Bell & McCaffrey 2002; Welch 1947).
    y = rng.normal(size=11)
    treated = np.arange(11) < 3
    pull = linear_pull(np.column_stack([np.ones(11), treated]), y, np.arange(11))
    error, df = corrected_error(np.array([0.0, 1.0]), pull)
    welch = stats.ttest_ind(y[treated], y[~treated], equal_var=False)
    gap = y[treated].mean() - y[~treated].mean()
    assert gap / welch.statistic == pytest.approx(error, rel=1e-6)
    parts = np.array([1 / 3, 1 / 8])
    assert parts.sum() ** 2 / (parts**2 / np.array([2, 7])).sum() == pytest.approx(df, rel=1e-6)


def test_the_error_is_the_published_one_of_a_linear_model(pieces):
    # Bell & McCaffrey (2002), section 3, in the space of the pieces: residuals of each firing
    # times (1 - H_gg)^(-1/2), and Satterthwaite's df from the covariance of the moves.
    X, y, firing = pieces
    inverse = np.linalg.inv(X.T @ X)
    left = np.eye(57) - X @ inverse @ X.T
    a = np.zeros((9, 57))
    for g in range(9):
        here = np.flatnonzero(firing == g)
        values, vectors = np.linalg.eigh(left[np.ix_(here, here)])
        a[g, here] = (vectors / np.sqrt(values)) @ vectors.T @ X[here] @ inverse @ CONTRAST
    covariance = a @ left @ a.T
    expected = np.sqrt(np.sum((a @ left @ y) ** 2))
    expected_df = np.trace(covariance) ** 2 / np.sum(covariance**2)
    error, df = corrected_error(CONTRAST, linear_pull(*pieces))
    assert expected == pytest.approx(error, rel=1e-8)
    assert expected_df == pytest.approx(df, rel=1e-8)


def test_with_one_piece_a_firing_the_error_is_hc2(pieces):
    # MacKinnon & White (1985), Journal of Econometrics 29, 305-325; as statsmodels has it.
    X, y, _ = pieces
    robust = sm.OLS(y, X).fit(cov_type="HC2")
    expected = np.sqrt(CONTRAST @ robust.cov_params() @ CONTRAST)
    error, _ = corrected_error(CONTRAST, linear_pull(X, y, np.arange(57)))
    assert expected == pytest.approx(error, rel=1e-8)


def test_the_order_of_firings_does_not_matter(pieces, rng):
    X, y, firing = pieces
    turned = rng.permutation(9)[firing]
    expected = corrected_error(CONTRAST, linear_pull(X, y, firing))
    assert expected == pytest.approx(corrected_error(CONTRAST, linear_pull(X, y, turned)))


def test_the_order_of_pieces_and_columns_does_not_matter(pieces, rng):
    X, y, firing = pieces
    rows, columns = rng.permutation(57), np.array([2, 0, 1])
    turned = linear_pull(X[rows][:, columns], y[rows], firing[rows])
    expected = corrected_error(CONTRAST, linear_pull(X, y, firing))
    assert expected == pytest.approx(corrected_error(CONTRAST[columns], turned))


def test_firings_of_the_same_name_are_one_firing(pieces):
    X, y, firing = pieces
    same = np.where(firing == 8, 0, firing)
    apart, joined = (
        corrected_error(CONTRAST, linear_pull(X, y, labels)) for labels in (firing, same)
    )
    rows = np.concatenate([np.flatnonzero(same == g) for g in range(8)])
    assert joined == pytest.approx(
        corrected_error(
            CONTRAST, linear_pull(X[rows], y[rows], np.repeat(range(8), [12, *SIZES[1:8]]))
        )
    )
    assert apart != pytest.approx(joined, rel=1e-3)


def test_the_unit_of_a_column_does_not_matter(pieces):
    X, y, firing = pieces
    units = np.array([1.0, 60.0, 0.1])
    expected = corrected_error(CONTRAST, linear_pull(X, y, firing))
    other = corrected_error(CONTRAST / units, linear_pull(X / units, y, firing))
    assert expected == pytest.approx(other)


def test_many_contrasts_are_measured_as_each_alone(pieces, rng):
    pull, contrasts = linear_pull(*pieces), rng.normal(size=(4, 3))
    errors, df = corrected_errors(contrasts, pull)
    for k, contrast in enumerate(contrasts):
        assert corrected_error(contrast, pull) == pytest.approx((errors[k], df[k]))


def test_a_mapped_pull_measures_the_mapped_parameters(pieces, rng):
    pull, linear = linear_pull(*pieces), rng.normal(size=(2, 3))
    contrast = np.array([0.4, -1.0])
    expected = corrected_error(linear.T @ contrast, pull)
    assert expected == pytest.approx(corrected_error(contrast, map_pull(pull, linear)))


def test_degrees_of_freedom_stay_between_one_and_the_firings_less_one(pieces, rng):
    _, df = corrected_errors(rng.normal(size=(50, 3)), linear_pull(*pieces))
    assert df.min() >= 1.0
    assert df.max() <= 8.0


def test_a_contrast_that_one_firing_alone_tells_is_finite(pieces):
    X, y, firing = pieces
    alone = np.column_stack([X, firing == 3])
    error, df = corrected_error(np.array([0.0, 0.0, 0.0, 1.0]), linear_pull(alone, y, firing))
    assert np.isfinite(error)
    assert df >= 1.0


def test_a_contrast_nothing_tells_of_has_no_error(pieces):
    assert corrected_error(np.zeros(3), linear_pull(*pieces)) == (0.0, 1.0)


def test_the_interval_and_the_p_value_agree_at_the_edge():
    interval = score_interval(0.3, 0.1, 6.3)
    assert interval.method == "firing-score t"
    assert two_sided_p(0.3 - interval.low, 0.1, 6.3) == pytest.approx(0.05)
