"""Whether one firing decides a contrast."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.measured import is_fragile, measure_contrast


@pytest.fixture
def measured(year):
    (contrast,) = [
        c for c in choose_contrasts(year.design, year.codebook) if c.factor == "seconds_to_can"
    ]
    return measure_contrast(year, contrast)


def moved(measured, moves: list[float]):
    """The contrast with a change of 0.40, and these changes when a firing is left out."""
    without = 0.40 + np.resize(np.array([0.005, -0.005]), len(measured.without))
    without[: len(moves)] = 0.40 + np.array(moves)
    return replace(measured, rate_from=0.3, rate_to=0.7, without=without, df=20.0)


def test_firings_that_move_it_alike_do_not_decide(year, measured):
    assert not is_fragile(year, moved(measured, []))


def test_a_firing_that_hides_how_clear_an_effect_is_does_not_decide(year, measured):
    # It holds nearly all of the variance, but without it the effect is as clear as can be.
    assert not is_fragile(year, moved(measured, [0.06]))


def test_a_firing_without_which_nothing_clear_is_left_decides(year, measured):
    assert is_fragile(year, moved(measured, [-0.36, 0.14, -0.14]))


def test_a_firing_that_turns_the_sign_decides(year, measured):
    assert is_fragile(year, moved(measured, [-0.41]))


def test_a_fit_that_failed_without_a_firing_decides(year, measured):
    assert is_fragile(replace(year, jackknife_ok=False), moved(measured, []))
