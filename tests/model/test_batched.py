"""Weighted refits all at once against the careful single fit, one by one."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outcomes.errors import RequestError
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Link, Penalty
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights

# Two routes to one optimum, each with a gradient under 1e-11 (batched) or 1e-9 (single, whose
# last step leaves far less): 1e-8 on the estimate is promised.
SAME = 1e-8


@pytest.fixture
def log(make_design):
    return make_design(21)


def refits(log, *, link=Link.LOGIT, resamples=60, seed=1, workers=1):
    start = fit_cumulative(log.X, log.y, log.n_grades, options=FitOptions(link=link))
    weights = draw_firing_weights(
        int(log.firing.max()) + 1, resamples, rng=np.random.default_rng(seed)
    )
    many = fit_many(
        log.X,
        log.y,
        log.n_grades,
        firing=log.firing,
        firing_weights=weights,
        start=start,
        workers=workers,
    )
    return many, weights, start


def one_by_one(log, weights, options):
    return np.array(
        [
            fit_cumulative(
                log.X, log.y, log.n_grades, weights=row[log.firing].astype(float), options=options
            ).parameters()
            for row in weights
        ]
    )


@pytest.mark.parametrize("link", list(Link))
def test_every_refit_equals_its_own_single_fit(link, log):
    many, weights, start = refits(log, link=link)
    expected = one_by_one(log, weights, start.options)
    np.testing.assert_allclose(expected, many.values, rtol=SAME, atol=SAME)
    assert many.converged.all()
    assert many.largest_gradient.max() <= start.options.tolerance


@pytest.mark.parametrize("n_grades", [2, 3, 7])
@pytest.mark.parametrize("penalty", list(Penalty))
def test_any_number_of_grades_and_any_penalty_agree_with_single_fits(
    n_grades, penalty, make_design
):
    log = make_design(5, n_grades=n_grades, columns=3)
    options = FitOptions(penalty=penalty, strength=2.0)
    start = fit_cumulative(log.X, log.y, n_grades, options=options)
    weights = np.random.default_rng(4).exponential(size=(30, 24))
    many = fit_many(log.X, log.y, n_grades, firing=log.firing, firing_weights=weights, start=start)
    expected = one_by_one(log, weights, options)
    np.testing.assert_allclose(expected, many.values, rtol=SAME, atol=SAME)
    assert not many.unusual.any()


def test_a_firing_of_weight_zero_equals_a_refit_without_its_rows(log):
    start = fit_cumulative(log.X, log.y, 5)
    many = fit_many(
        log.X,
        log.y,
        5,
        firing=log.firing,
        firing_weights=leave_one_out_weights(24),
        start=start,
    )
    expected = [
        fit_cumulative(log.X[log.firing != g], log.y[log.firing != g], 5).parameters()
        for g in range(24)
    ]
    np.testing.assert_allclose(expected, many.values, rtol=SAME, atol=SAME)


def test_integer_weights_equal_repeated_rows(log):
    many, weights, start = refits(log, resamples=5)
    for row, values in zip(weights, many.values, strict=True):
        times = np.repeat(np.arange(len(log.y)), row[log.firing])
        expected = fit_cumulative(log.X[times], log.y[times], 5, options=start.options)
        np.testing.assert_allclose(expected.parameters(), values, rtol=SAME, atol=SAME)


def test_weights_for_each_piece_are_accepted_too(log):
    many, weights, start = refits(log, resamples=10)
    by_piece = fit_many(log.X, log.y, 5, weights=weights[:, log.firing], start=start)
    np.testing.assert_allclose(many.values, by_piece.values, rtol=SAME, atol=SAME)


def test_equal_weights_give_the_full_fit_back(log):
    start = fit_cumulative(log.X, log.y, 5)
    many = fit_many(log.X, log.y, 5, weights=np.ones((3, len(log.y))), start=start)
    np.testing.assert_allclose([start.parameters()] * 3, many.values, rtol=SAME, atol=SAME)


@pytest.mark.parametrize("workers", [2, 3, 4])
def test_any_number_of_workers_gives_the_same_bytes(workers, log):
    def digest(number):
        many, _, _ = refits(log, resamples=700, workers=number)
        parts = (many.values, many.largest_gradient, many.iterations, many.unusual)
        return hashlib.sha256(b"".join(part.tobytes() for part in parts)).hexdigest()

    assert digest(1) == digest(workers)


def test_progress_adds_up_to_the_number_of_refits(log):
    start = fit_cumulative(log.X, log.y, 5)
    weights = draw_firing_weights(24, 900, rng=np.random.default_rng(3))
    finished: list[int] = []
    fit_many(
        log.X,
        log.y,
        5,
        firing=log.firing,
        firing_weights=weights,
        start=start,
        workers=2,
        progress=finished.append,
    )
    assert sum(finished) == 900
    assert len(finished) > 1


def test_an_interrupted_run_stops(log):
    def interrupt(_):
        raise KeyboardInterrupt

    start = fit_cumulative(log.X, log.y, 5)
    with pytest.raises(KeyboardInterrupt):
        fit_many(
            log.X,
            log.y,
            5,
            weights=np.ones((2000, len(log.y))),
            start=start,
            workers=2,
            progress=interrupt,
        )


@pytest.fixture
def log_with_a_rare_grade(log):
    # Grade 2 occurs in firing 7 only, grade 4 in firings 8 and 9 only.
    y = log.y.copy()
    y[(y == 2) & (log.firing != 7)] = 1
    y[(y == 4) & (log.firing != 8) & (log.firing != 9)] = 3
    y[np.flatnonzero(log.firing == 7)[0]] = 2
    y[np.flatnonzero(log.firing == 8)[0]] = 4
    return replace(log, y=y)


@pytest.mark.parametrize("link", list(Link))
def test_a_vanished_grade_is_fitted_without_it_and_counted(link, log_with_a_rare_grade):
    log = log_with_a_rare_grade
    many, weights, start = refits(log, link=link, resamples=80)
    has_two = weights[:, 7] > 0
    has_four = weights[:, 8] + weights[:, 9] * np.any(log.y[log.firing == 9] == 4) > 0
    assert 0 < has_two.sum() < 80
    assert many.unusual[~(has_two & has_four)].all()
    if link is not Link.CAUCHIT:  # not concave: a few of its replicates need the careful fit
        assert np.array_equal(~(has_two & has_four), many.unusual)
    assert many.converged.all()
    assert (np.diff(many.values[:, :4], axis=1) >= 0.0).all()
    expected = one_by_one(log, weights, start.options)
    np.testing.assert_allclose(expected, many.values, rtol=SAME, atol=SAME)
    # An inner grade that vanished has no room; the chance of it is nought.
    np.testing.assert_array_equal(0.0, np.diff(many.values[:, 1:3], axis=1)[~has_two])


def test_a_replicate_with_one_grade_is_finite_and_not_converged(log):
    weights = np.ones((2, len(log.y)))
    weights[1] = log.y == 3
    start = fit_cumulative(log.X, log.y, 5)
    many = fit_many(log.X, log.y, 5, weights=weights, start=start)
    assert [True, False] == many.converged.tolist()
    assert [False, True] == many.unusual.tolist()
    assert np.isfinite(many.values).all()


def test_a_column_that_became_constant_has_no_slope_and_is_counted(log):
    X = log.X.copy()
    X[:, 0] = (log.firing == 2) | (log.firing == 5)
    start = fit_cumulative(X, log.y, 5)
    weights = draw_firing_weights(24, 300, rng=np.random.default_rng(8))
    many = fit_many(X, log.y, 5, firing=log.firing, firing_weights=weights, start=start)
    constant = weights[:, 2] + weights[:, 5] == 0
    assert constant.sum() > 10
    assert np.array_equal(constant, many.unusual)
    np.testing.assert_allclose(0.0, many.values[constant, 4], atol=1e-8)
    assert many.converged.all()


def test_separated_replicates_stay_finite_and_agree_with_single_fits(endometrial):
    start = fit_cumulative(endometrial.X, endometrial.y, 2)
    weights = np.random.default_rng(1).multinomial(79, np.full(79, 1 / 79), size=40)
    many = fit_many(endometrial.X, endometrial.y, 2, weights=weights, start=start)
    expected = [
        fit_cumulative(endometrial.X, endometrial.y, 2, weights=row.astype(float)).parameters()
        for row in weights
    ]
    np.testing.assert_allclose(expected, many.values, rtol=1e-6, atol=1e-6)
    assert many.converged.all()


def test_identical_columns_share_their_slope_in_every_replicate(log):
    X = log.X[:, [0, 1, 2, 3, 1]]
    start = fit_cumulative(X, log.y, 5)
    assert start.status is FitStatus.DOUBTFUL
    weights = draw_firing_weights(24, 50, rng=np.random.default_rng(8))
    many = fit_many(X, log.y, 5, firing=log.firing, firing_weights=weights, start=start)
    assert many.converged.all()
    np.testing.assert_allclose(many.values[:, 5], many.values[:, 8], atol=1e-6)


def test_a_design_without_columns_has_the_weighted_shares_as_thresholds(log):
    start = fit_cumulative(log.X[:, :0], log.y, 5)
    weights = np.random.default_rng(2).exponential(size=(6, len(log.y)))
    many = fit_many(log.X[:, :0], log.y, 5, weights=weights, start=start)
    shares = [np.average(log.y <= 1, weights=row) for row in weights]
    np.testing.assert_allclose(np.log(shares) - np.log1p(-np.array(shares)), many.values[:, 1])


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    n_grades=st.integers(2, 5),
    firings=st.integers(2, 10),
    columns=st.integers(0, 4),
)
def test_every_replicate_of_any_small_log_ends_finite_and_flat(
    make_design, seed, n_grades, firings, columns
):
    log = make_design(seed, firings=firings, pieces=4, columns=columns, n_grades=n_grades)
    many, _, _ = refits(log, resamples=25, seed=seed)
    assert np.isfinite(many.values).all()
    assert many.largest_gradient[many.converged].max(initial=0.0) <= 1e-9
    several = np.array([len(np.unique(log.y)) > 1])
    assert several.all()
    assert (np.diff(many.values[:, : n_grades - 1], axis=1) >= 0.0).all()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"firing_weights": -np.ones((2, 24))}, "zero or more"),
        ({"firing_weights": np.full((2, 24), np.nan)}, "finite"),
        ({"firing_weights": np.zeros((2, 24))}, "every weight is zero"),
        ({"firing_weights": np.ones((2, 23))}, "one column per firing"),
        ({"firing_weights": None}, "needs firing and firing_weights, or weights"),
    ],
)
def test_weights_that_make_no_sense_are_refused_with_the_reason(change, words, log):
    start = fit_cumulative(log.X, log.y, 5)
    given = {"firing": log.firing, "firing_weights": np.ones((2, 24)), **change}
    with pytest.raises(RequestError, match=words):
        fit_many(
            log.X,
            log.y,
            5,
            firing=given["firing"],
            firing_weights=given["firing_weights"],
            start=start,
        )
