"""The random-intercept fit: its derivatives, its limits, what must not change it."""

import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Link, Penalty
from outcomes.model.mixed import fit_mixed
from outcomes.model.mixed_likelihood import evaluate_mixed
from outcomes.model.quadrature import build_firing_rows

LINKS = [Link.LOGIT, Link.PROBIT, Link.CLOGLOG, Link.LOGLOG]
# Central differences with 1e-5 are right to about 1e-8 of values of order 10; the score is the
# integral's and the differences are its quadrature's, which agree to 1e-6 with 25 nodes.
DIFFERENCE = 2e-5
SAME = 1e-7


def evaluated(link, log, psi, weights=None):
    rows = build_firing_rows(log.X, log.y, log.n_grades, firing=log.firing, link=link)
    firing_weights = np.ones((len(psi), len(rows.starts))) if weights is None else weights
    return evaluate_mixed(psi, rows, weights=firing_weights, points=25)


def start(log, sd=0.8):
    cuts = np.linspace(-1.2, 1.1, log.n_grades - 1)
    return np.concatenate([cuts, np.linspace(-0.4, 0.5, log.X.shape[1]), [sd]])


@pytest.mark.parametrize("link", LINKS)
def test_the_gradient_is_the_slope_of_the_likelihood(link, make_design):
    log = make_design(3, firings=9, columns=3)
    weights = np.tile(np.array([0.0, 2.0, *np.ones(7)]), (1, 1))
    psi = start(log)
    steps = 1e-5 * np.eye(len(psi))
    both = [
        evaluated(link, log, (psi + sign * steps), np.repeat(weights, len(psi), axis=0))
        for sign in (1.0, -1.0)
    ]
    slope = (both[0].log_likelihood - both[1].log_likelihood) / 2e-5
    here = evaluated(link, log, psi[None], weights)
    np.testing.assert_allclose(slope, here.gradient[0], atol=DIFFERENCE)


@pytest.mark.parametrize("link", LINKS)
def test_the_information_is_minus_the_slope_of_the_gradient(link, make_design):
    log = make_design(4, firings=9, columns=3)
    psi = start(log)
    steps = 1e-5 * np.eye(len(psi))
    ahead, behind = (evaluated(link, log, psi + sign * steps) for sign in (1.0, -1.0))
    slope = -(ahead.gradient - behind.gradient) / 2e-5
    here = evaluated(link, log, psi[None])
    np.testing.assert_allclose(slope, here.information[0], atol=50 * DIFFERENCE)


def test_at_sd_zero_it_is_the_model_without_luck(make_design):
    log = make_design(5)
    plain = fit_cumulative(log.X, log.y, 5, options=FitOptions(penalty=Penalty.NONE))
    here = evaluated(Link.LOGIT, log, np.append(plain.parameters(), 0.0)[None])
    assert plain.log_likelihood == pytest.approx(here.log_likelihood[0], abs=1e-9)
    np.testing.assert_allclose(np.zeros(9), here.gradient[0], atol=1e-6)
    inverse = np.linalg.inv(here.information[0][:-1, :-1])
    np.testing.assert_allclose(plain.covariance, inverse, rtol=1e-6, atol=1e-9)


def test_where_no_luck_is_seen_the_fit_is_the_one_without_luck():
    # Every firing holds each grade equally often: less between firings than chance gives.
    firing = np.repeat(np.arange(10), 8)
    y = np.tile([0, 1, 2, 3], 20)
    X = np.random.default_rng(1).normal(size=(80, 2))
    fit, plain = fit_mixed(X, y, 4, firing=firing), fit_cumulative(X, y, 4)
    assert fit.at_boundary
    assert fit.firing_sd == 0.0
    np.testing.assert_array_equal(plain.parameters(), fit.parameters()[:-1])
    np.testing.assert_array_equal(plain.covariance, fit.covariance[:-1, :-1])
    assert np.isnan(fit.covariance[-1]).all()
    assert fit.status is FitStatus.CONVERGED


def test_the_gradient_vanishes_and_more_nodes_change_nothing(make_design):
    log = make_design(6, firings=16, pieces=6)
    fit = fit_mixed(log.X, log.y, 5, firing=log.firing)
    finer = fit_mixed(log.X, log.y, 5, firing=log.firing, points=41)
    assert fit.largest_gradient <= 1e-9
    np.testing.assert_allclose(finer.parameters(), fit.parameters(), atol=2e-6)


def test_the_order_of_the_pieces_and_the_names_of_firings_do_not_matter(make_design):
    log = make_design(7, firings=14)
    order = np.random.default_rng(0).permutation(len(log.y))
    fit = fit_mixed(log.X, log.y, 5, firing=log.firing)
    named = 3 * log.firing + 5
    shuffled = fit_mixed(log.X[order], log.y[order], 5, firing=named[order])
    np.testing.assert_allclose(fit.parameters(), shuffled.parameters(), atol=SAME)
    np.testing.assert_allclose(fit.firing_modes, shuffled.firing_modes, atol=1e-5)


def test_other_units_change_slopes_by_their_scale_and_nothing_else(make_design):
    log = make_design(8)
    options = FitOptions(penalty=Penalty.NONE)
    fit = fit_mixed(log.X, log.y, 5, firing=log.firing, options=options)
    moved = fit_mixed(1.8 * log.X + 32.0, log.y, 5, firing=log.firing, options=options)
    np.testing.assert_allclose(fit.slopes, 1.8 * moved.slopes, atol=SAME)
    assert fit.firing_sd == pytest.approx(moved.firing_sd, abs=SAME)
    assert fit.log_likelihood == pytest.approx(moved.log_likelihood, abs=1e-8)


@pytest.mark.parametrize(
    ("link", "mirror"), [(Link.LOGIT, Link.LOGIT), (Link.CLOGLOG, Link.LOGLOG)]
)
def test_the_scale_turned_round_turns_the_signs(link, mirror, make_design):
    log = make_design(9)
    fit = fit_mixed(log.X, log.y, 5, firing=log.firing, options=FitOptions(link=link))
    turned = fit_mixed(log.X, 4 - log.y, 5, firing=log.firing, options=FitOptions(link=mirror))
    np.testing.assert_allclose(fit.slopes, -turned.slopes, atol=SAME)
    np.testing.assert_allclose(fit.thresholds, -turned.thresholds[::-1], atol=SAME)
    np.testing.assert_allclose(fit.firing_modes, -turned.firing_modes, atol=1e-5)


def test_firings_that_decide_everything_give_a_doubtful_finite_fit():
    firing = np.repeat(np.arange(12), 6)
    y = np.repeat([0, 1, 2], 4)[firing]
    fit = fit_mixed(np.zeros((72, 0)), y, 3, firing=firing)
    assert fit.status is not FitStatus.CONVERGED
    assert np.isfinite(fit.parameters()).all()
    assert fit.firing_sd > 5.0


def test_a_grade_nobody_got_is_put_back_and_the_fit_doubted(make_design):
    log = make_design(10, n_grades=4)
    gap = np.array([0, 1, 3, 4])[log.y]
    fit = fit_mixed(log.X, gap, 5, firing=log.firing)
    known = fit_mixed(log.X, log.y, 4, firing=log.firing)
    np.testing.assert_array_equal(known.slopes, fit.slopes)
    assert fit.thresholds[1] == fit.thresholds[2]
    assert fit.status is FitStatus.DOUBTFUL


def test_one_grade_only_is_a_failed_fit():
    fit = fit_mixed(np.zeros((6, 1)), np.ones(6, dtype=int), 3, firing=np.arange(6) // 2)
    assert fit.status is FitStatus.FAILED


def test_the_cauchit_is_refused_with_the_links_that_will_do(make_design):
    log = make_design(11)
    with pytest.raises(RequestError, match="cauchit link; logit, probit, cloglog, loglog can"):
        fit_mixed(log.X, log.y, 5, firing=log.firing, options=FitOptions(link=Link.CAUCHIT))


def test_too_few_nodes_are_refused(make_design):
    log = make_design(11)
    with pytest.raises(RequestError, match="1 quadrature points were asked for; use at least 5"):
        fit_mixed(log.X, log.y, 5, firing=log.firing, points=1)


def test_firing_numbers_of_another_length_are_refused(make_design):
    log = make_design(11)
    with pytest.raises(RequestError, match=r"shape \(3,\) for 192 grades"):
        fit_mixed(log.X, log.y, 5, firing=np.arange(3))
