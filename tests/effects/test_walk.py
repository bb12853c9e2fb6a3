"""Averages along many values, against the averages at each value alone."""

import numpy as np
import pytest

from outcomes.effects import walk as rooms
from outcomes.effects.averages import reach_gradient
from outcomes.effects.walk import Walk, walk_chances, walk_gradients
from outcomes.model.fit import Link
from outcomes.model.prediction import predict_reach

PARAMETERS = np.array([-0.5, 0.8, 0.6, -0.3, 0.2])
SLOTS = [2, 0]


@pytest.fixture
def walk(rng) -> Walk:
    return Walk(X=rng.normal(size=(30, 3)), slots=SLOTS, places=rng.normal(size=(7, 2)))


def moved(walk: Walk, place: int) -> np.ndarray:
    columns = walk.X.copy()
    columns[:, SLOTS] = walk.places[place]
    return columns


@pytest.mark.parametrize("link", list(Link))
@pytest.mark.parametrize("cells", [1, 20, 2**15])
def test_every_place_has_the_averages_of_pieces_set_there(walk, link, cells, monkeypatch):
    monkeypatch.setattr(rooms, "_MOST_CELLS", cells)
    chances = walk_chances(walk, PARAMETERS, n_grades=3, link=link)
    slopes = walk_gradients(walk, PARAMETERS, n_grades=3, grade=2, link=link)
    for m in range(7):
        columns = moved(walk, m)
        for k in (1, 2):
            expected = predict_reach(columns, PARAMETERS, 3, k, link).mean()
            assert expected == pytest.approx(chances[m, k - 1], rel=1e-13)
        gradient = reach_gradient(columns, PARAMETERS, n_grades=3, grade=2, link=link)
        np.testing.assert_allclose(slopes[m], gradient, atol=1e-14)


def test_no_places_have_no_averages(rng):
    nowhere = Walk(X=rng.normal(size=(5, 3)), slots=SLOTS, places=np.empty((0, 2)))
    assert walk_chances(nowhere, PARAMETERS, n_grades=3, link=Link.LOGIT).shape == (0, 2)
