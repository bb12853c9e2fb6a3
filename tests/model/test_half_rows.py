"""The batched gradient and information are those of the single fit's likelihood."""

import numpy as np
import pytest

from outcomes.model.arrangement import build_arrangement
from outcomes.model.fit import FitOptions, Link
from outcomes.model.half_rows import (
    build_half_weights,
    build_scratch,
    gradient,
    half_terms,
    packed_information,
)
from outcomes.model.likelihood import Pieces, evaluate

SAME = 1e-11


@pytest.mark.parametrize("n_grades", [2, 3, 4, 6])
@pytest.mark.parametrize("link", list(Link))
def test_gradient_and_information_of_three_replicates_equal_the_single_ones(
    link, n_grades, make_design, rng
):
    log = make_design(9, n_grades=n_grades, columns=3)
    arrangement = build_arrangement(log.X, log.y, n_grades)
    columns = (log.X - arrangement.centre) / arrangement.spread
    thresholds = np.cumsum(rng.uniform(0.4, 1.2, size=(n_grades - 1, 3)), axis=0) - 1.5
    psi = np.vstack([thresholds, rng.normal(size=(3, 3))])
    weights = rng.exponential(size=(len(log.y), 3))
    scratch = build_scratch(len(arrangement.half_piece), 5)
    halves = build_half_weights(weights, arrangement.half_piece, arrangement, scratch=scratch)
    terms = half_terms(psi, arrangement, weights=halves, link=link, scratch=scratch)
    scores = gradient(terms, arrangement)
    information = packed_information(terms, arrangement, scratch=scratch)[arrangement.packing]
    for b in range(3):
        pieces = Pieces(X=columns, y=log.y, weights=weights[:, b], n_grades=n_grades)
        single = evaluate(psi[:, b], pieces, FitOptions(link=link))
        np.testing.assert_allclose(single.gradient, scores[:, b], rtol=SAME, atol=SAME)
        size = np.abs(single.information).max()
        np.testing.assert_allclose(
            single.information, information[..., b], rtol=SAME, atol=SAME * size
        )


def test_grade_weights_add_up_each_grades_pieces(make_design, rng):
    log = make_design(9)
    arrangement = build_arrangement(log.X, log.y, 5)
    weights = rng.exponential(size=(len(log.y), 2))
    expected = [np.bincount(log.y, weights[:, b]) for b in range(2)]
    halves = build_half_weights(
        weights,
        arrangement.half_piece,
        arrangement,
        scratch=build_scratch(len(arrangement.half_piece), 2),
    )
    np.testing.assert_allclose(np.transpose(expected), halves.grades, rtol=1e-13)
    np.testing.assert_array_equal(weights[arrangement.half_piece], halves.halves)


def test_an_eta_of_thousands_stays_finite(make_design):
    log = make_design(9)
    arrangement = build_arrangement(log.X, log.y, 5)
    psi = np.concatenate([[-1.0, 0.0, 1.0, 2.0], np.full(4, 4000.0)])[:, None]
    firing, scratch = arrangement.half_piece, build_scratch(len(arrangement.half_piece), 1)
    weights = build_half_weights(np.ones((192, 1)), firing, arrangement, scratch=scratch)
    terms = half_terms(psi, arrangement, weights=weights, link=Link.LOGIT, scratch=scratch)
    assert np.isfinite(gradient(terms, arrangement)).all()
    assert np.isfinite(packed_information(terms, arrangement, scratch=scratch)).all()


def test_parameters_go_in_and_come_out_unchanged(make_design, rng):
    log = make_design(9)
    arrangement = build_arrangement(1e3 * log.X + 50.0, log.y, 5)
    parameters = rng.normal(size=(6, 8))
    back = arrangement.outward(arrangement.inward(parameters))
    np.testing.assert_allclose(parameters, back, rtol=1e-12, atol=1e-9)
