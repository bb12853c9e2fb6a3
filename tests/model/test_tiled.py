"""Refits of a large log, tile by tile, against the same refits in one matrix."""

import numpy as np
import pytest

from outcomes.model import blocks
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, Penalty
from outcomes.model.tiled import update_inverse
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights

# Two routes to one optimum, both with a gradient under 1e-9 of the weight.
SAME = 1e-6


def large_log(*, firings, pieces=5000, thresholds=(-2.0, -0.7, 0.5, 2.0), seed=3):
    rng = np.random.default_rng(seed)
    firing = np.sort(rng.integers(firings, size=pieces))
    firing[:firings] = np.arange(firings)
    X = rng.normal(size=(pieces, 4))
    X[:, :2] = rng.normal(size=(firings, 2))[firing]
    score = X @ [0.5, -0.3, 0.8, 0.0] + 0.7 * rng.normal(size=firings)[firing]
    return X, np.searchsorted(thresholds, score + rng.logistic(size=pieces)), firing


def in_one_matrix(monkeypatch, *args, **options):
    monkeypatch.setattr(blocks, "_MANY_PIECES", 10**9)
    fits = fit_many(*args, **options)
    monkeypatch.undo()
    return fits


@pytest.mark.parametrize("firings", [8, 200])
@pytest.mark.parametrize("penalty", list(Penalty))
def test_tiles_and_one_matrix_give_the_same_redraws(firings, penalty, monkeypatch):
    X, y, firing = large_log(firings=firings)
    start = fit_cumulative(X, y, 5, options=FitOptions(penalty=penalty))
    weights = draw_firing_weights(firings, 20, rng=np.random.default_rng(1))
    asked = {"firing": firing, "firing_weights": weights, "start": start}
    tiles = fit_many(X, y, 5, **asked)
    expected = in_one_matrix(monkeypatch, X, y, 5, **asked)
    assert tiles.converged.all()
    np.testing.assert_allclose(tiles.values, expected.values, atol=SAME)


def test_two_grades_and_firings_left_out_agree_too(monkeypatch):
    X, y, firing = large_log(firings=40, thresholds=(0.3,))
    start = fit_cumulative(X, y, 2)
    asked = {"firing": firing, "firing_weights": leave_one_out_weights(40), "start": start}
    expected = in_one_matrix(monkeypatch, X, y, 2, **asked)
    np.testing.assert_allclose(fit_many(X, y, 2, **asked).values, expected.values, atol=SAME)


def test_a_grade_that_vanishes_from_a_redraw_is_fitted_without_it(monkeypatch):
    X, y, firing = large_log(firings=30)
    y = np.where((y == 4) & (firing > 0), 3, y)
    start = fit_cumulative(X, y, 5)
    asked = {"firing": firing, "firing_weights": leave_one_out_weights(30)[:3], "start": start}
    fits, expected = fit_many(X, y, 5, **asked), in_one_matrix(monkeypatch, X, y, 5, **asked)
    assert fits.unusual.tolist() == [True, False, False]
    np.testing.assert_allclose(fits.values, expected.values, atol=SAME)


def test_any_number_of_workers_gives_the_same_bytes():
    X, y, firing = large_log(firings=60)
    start = fit_cumulative(X, y, 5)
    weights = draw_firing_weights(60, 300, rng=np.random.default_rng(2))
    one, three = (
        fit_many(X, y, 5, firing=firing, firing_weights=weights, start=start, workers=workers)
        for workers in (1, 3)
    )
    assert one.values.tobytes() == three.values.tobytes()


def test_an_updated_inverse_maps_the_change_of_the_gradient_to_the_step():
    # The secant equation, Nocedal & Wright (2006), Numerical Optimization, equation 6.18.
    rng = np.random.default_rng(4)
    root, step = rng.normal(size=(6, 3, 3)), rng.normal(size=(3, 6))
    inverse = root @ root.transpose(0, 2, 1) + np.eye(3)
    change = step + 0.1 * rng.normal(size=(3, 6))
    change[:, 0] = -step[:, 0]
    updated = update_inverse(inverse, step, change)
    mapped = np.einsum("bij,jb->ib", updated, change)
    np.testing.assert_allclose(mapped[:, 1:], step[:, 1:], atol=1e-12)
    np.testing.assert_array_equal(updated[0], inverse[0])
    assert (np.linalg.eigvalsh(updated) > 0.0).all()
