"""Gradient and information against finite differences, away from the optimum."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, Link, Penalty
from outcomes.model.likelihood import (
    Pieces,
    evaluate,
    gradient_by_firing,
    information_by_firing,
)
from outcomes.model.newton import _halved

GRADIENT_TOLERANCE = 1e-7  # relative to the largest entry; five-point error is about 1e-9
INFORMATION_TOLERANCE = 1e-6
POINTS_PER_CASE = 14  # 15 cases: 210 random points


def five_point(function, at: np.ndarray, step: float = 1e-3) -> np.ndarray:
    """Derivative by every coordinate, error O(step^4)."""
    columns = []
    for direction in np.eye(len(at)) * step:
        near = function(at + direction) - function(at - direction)
        far = function(at + 2 * direction) - function(at - 2 * direction)
        columns.append((8.0 * near - far) / (12.0 * step))
    return np.array(columns).T


def random_case(rng: np.random.Generator) -> tuple[np.ndarray, Pieces]:
    n_grades, p = int(rng.integers(2, 6)), int(rng.integers(1, 4))
    y = np.concatenate([np.arange(n_grades), rng.integers(n_grades, size=30 - n_grades)])
    pieces = Pieces(
        X=rng.normal(size=(30, p)), y=y, weights=rng.exponential(size=30), n_grades=n_grades
    )
    thresholds = np.cumsum(rng.uniform(0.3, 1.5, size=n_grades - 1)) - 1.5
    return np.concatenate([thresholds, rng.normal(size=p)]), pieces


@pytest.mark.parametrize("penalty", list(Penalty))
@pytest.mark.parametrize("link", list(Link))
def test_gradient_and_information_are_the_derivatives_of_the_likelihood(link, penalty, rng):
    options = FitOptions(link=link, penalty=penalty, strength=1.7)
    for _ in range(POINTS_PER_CASE):
        at, pieces = random_case(rng)

        def value(psi, pieces=pieces):
            here = evaluate(psi, pieces, options)
            return here.log_likelihood + here.penalty

        def slope(psi, pieces=pieces):
            here = evaluate(psi, pieces, options)
            return here.gradient + here.penalty_gradient

        here = evaluate(at, pieces, options)
        score = here.gradient + here.penalty_gradient
        information = here.information + np.diag(here.penalty_information)
        np.testing.assert_allclose(
            five_point(value, at), score, atol=GRADIENT_TOLERANCE * np.abs(score).max()
        )
        np.testing.assert_allclose(
            -five_point(slope, at),
            information,
            atol=INFORMATION_TOLERANCE * np.abs(information).max(),
        )


@pytest.mark.parametrize("link", list(Link))
def test_scores_and_information_by_firing_add_up_to_the_whole(link, make_design):
    log = make_design(5, firings=9)
    options = FitOptions(link=link)
    fit = fit_cumulative(log.X, log.y, log.n_grades, options=options)
    pieces = Pieces(X=log.X, y=log.y, weights=np.ones(len(log.y)), n_grades=log.n_grades)
    whole = evaluate(fit.parameters(), pieces, options)
    by_firing = information_by_firing(log.X, log.y, log.n_grades, log.firing, fit)
    scores = gradient_by_firing(pieces, firing=log.firing, fit=fit)
    assert by_firing.shape == (9, 8, 8)
    np.testing.assert_allclose(whole.information, by_firing.sum(axis=0), atol=1e-11)
    np.testing.assert_allclose(whole.gradient, scores.sum(axis=0), atol=1e-11)


def test_the_information_of_one_firing_is_that_of_its_pieces_alone(make_design):
    log = make_design(6, firings=9)
    fit = fit_cumulative(log.X, log.y, log.n_grades)
    only = (log.firing == 4).astype(float)
    pieces = Pieces(X=log.X, y=log.y, weights=only, n_grades=log.n_grades)
    alone = evaluate(fit.parameters(), pieces, fit.options).information
    by_firing = information_by_firing(log.X, log.y, log.n_grades, log.firing, fit)
    np.testing.assert_allclose(alone, by_firing[4], atol=1e-12)


def test_a_step_that_would_turn_thresholds_round_is_halved_until_it_does_not(make_design):
    log = make_design(7)
    pieces = Pieces(X=log.X, y=log.y, weights=np.ones(len(log.y)), n_grades=log.n_grades)
    start = np.array([-9.0, -1.0, 1.0, 2.0, 0.0, 0.0, 0.0, 0.0])
    step = np.array([12.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    at = evaluate(start, pieces, FitOptions())
    there, reached = _halved(start, step, at=at, pieces=pieces, options=FitOptions())
    assert there[0] == -3.0
    assert reached.log_likelihood == evaluate(there, pieces, FitOptions()).log_likelihood


@pytest.mark.parametrize("link", list(Link))
def test_a_weight_multiplies_a_piece(link, rng):
    at, pieces = random_case(rng)
    doubled = replace(pieces, weights=2.0 * pieces.weights)
    options = FitOptions(link=link, penalty=Penalty.NONE)
    once, twice = evaluate(at, pieces, options), evaluate(at, doubled, options)
    assert 2.0 * once.log_likelihood == pytest.approx(twice.log_likelihood, rel=1e-14)
    np.testing.assert_allclose(2.0 * once.information, twice.information, rtol=1e-12)
