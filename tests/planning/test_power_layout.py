import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.planning.plan import Unit
from outcomes.planning.power_layout import Layout, draw_side_sizes, smallest_p


def sides_of(layout: Layout, trials: int = 2) -> np.ndarray:
    return draw_side_sizes(layout, trials, rng=np.random.default_rng(1))


def test_whole_firings_go_to_the_two_sides_in_turn():
    sides = sides_of(Layout(firings=4, sizes=(6,), assigned=Unit.FIRING))
    assert [[6, 0], [0, 6], [6, 0], [0, 6]] == sides[0].tolist()


def test_an_odd_piece_goes_to_the_two_sides_in_turn():
    sides = sides_of(Layout(firings=3, sizes=(5,), assigned=Unit.PIECE))
    assert [[3, 2], [2, 3], [3, 2]] == sides[0].tolist()


def test_of_three_values_two_are_compared():
    by_firing = sides_of(Layout(firings=6, sizes=(4,), assigned=Unit.FIRING, values=3))
    assert [8, 8] == by_firing[0].sum(axis=0).tolist()
    by_piece = sides_of(Layout(firings=3, sizes=(4,), assigned=Unit.PIECE, values=3))
    assert [4, 4] == by_piece[0].sum(axis=0).tolist()


def test_observed_sizes_are_drawn_as_often_as_they_were_seen():
    sides = sides_of(Layout(firings=10, sizes=(2, 2, 8), assigned=Unit.FIRING), trials=3000)
    assert 1 / 3 == pytest.approx(np.mean(sides.sum(axis=2) == 8), abs=0.015)


@pytest.mark.parametrize(
    ("layout", "expected"),
    [
        (Layout(firings=6, sizes=(8,), assigned=Unit.FIRING), 2 / 20),
        (Layout(firings=7, sizes=(8,), assigned=Unit.FIRING), 1 / 35),
        (Layout(firings=8, sizes=(8,), assigned=Unit.FIRING, blocks=4), 0.125),  # P31
        (Layout(firings=6, sizes=(2,), assigned=Unit.PIECE), 2 / 2**6),
        (Layout(firings=48, sizes=(8,), assigned=Unit.PIECE), 1 / 10_000),
    ],
)
def test_the_smallest_p_value_counts_the_ways_the_lot_can_fall(layout, expected):
    assert expected == pytest.approx(smallest_p(layout))


def test_a_one_sided_test_reaches_half_of_it():
    layout = Layout(firings=6, sizes=(8,), assigned=Unit.FIRING)
    assert 0.05 == pytest.approx(smallest_p(layout, two_sided=False))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"firings": 1}, r"1 firings were asked for; 2 to 500 .* --firings 8,12,24"),
        ({"firings": 501}, "501 firings were asked for"),
        ({"sizes": ()}, "No pieces a firing were asked for"),
        ({"sizes": (0,)}, "0 pieces a firing were asked for; 1 to 1000"),
        ({"sizes": (1,), "assigned": Unit.PIECE}, "2 to 1000 .* where the lot falls on each piece"),
    ],
)
def test_a_trial_that_cannot_be_laid_out_is_refused(changed, said):
    with pytest.raises(RequestError, match=said):
        Layout(**{"firings": 8, "sizes": (6,), "assigned": Unit.FIRING, **changed})
