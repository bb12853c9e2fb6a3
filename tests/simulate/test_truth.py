"""The shapes of a truth, by hand-computed values."""

import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.simulate.truth import (
    FactorEffect,
    Nothing,
    OutcomeTruth,
    Saturating,
    Steps,
    Straight,
    Threshold,
    Truth,
    Window,
    null_truth,
    shape_effect,
)


@pytest.mark.parametrize(
    ("shape", "values", "expected"),
    [
        (Nothing(), [3.0, 9.0], [0.0, 0.0]),
        (Straight(per_step=-0.5, step=5.0, centre=10.0), [10.0, 20.0, 0.0], [0.0, -1.0, 1.0]),
        (Window(best=8.0, width=2.0, height=3.0, parabola=True), [8.0, 10.0, 4.0], [0, -3, -12]),
        (Window(best=8.0, width=2.0, height=3.0), [8.0, 10.0], [0.0, -3 * (1 - np.exp(-0.5))]),
        (Saturating(gain=2.0, scale=60.0), [0.0, 60.0], [0.0, 2 * (1 - np.exp(-1.0))]),
        (Threshold(at=50.0, gain=4.0, width=2.0), [50.0, 0.0, 100.0], [2.0, 0.0, 4.0]),
        (Steps(gains=(("dunk", 1.5),)), ["none", "dunk"], [0.0, 1.5]),
    ],
)
def test_a_shape_adds_the_log_odds_its_formula_says(shape, values, expected):
    np.testing.assert_allclose(shape_effect(shape, values), expected, atol=1e-9)


def test_a_bump_never_loses_more_than_its_height():
    lost = shape_effect(Window(best=0.0, width=1.0, height=2.5), np.linspace(-50, 50, 101))
    assert lost.min() == pytest.approx(-2.5)
    assert lost.max() == 0.0


def test_thresholds_out_of_order_are_refused_by_name():
    with pytest.raises(RequestError, match=r"luster: thresholds .* ascending; got \(1\.0, 0\.0\)"):
        OutcomeTruth(name="luster", thresholds=(1.0, 0.0), aim=1)


def test_an_aim_outside_the_grades_is_refused():
    with pytest.raises(RequestError, match="luster: aim must be a grade from 1 to 2, got 3"):
        OutcomeTruth(name="luster", thresholds=(0.0, 1.0), aim=3)


def test_a_negative_luck_is_refused():
    with pytest.raises(RequestError, match=r"luster: firing_sd cannot be negative, got -0\.1"):
        OutcomeTruth(name="luster", thresholds=(0.0,), aim=1, firing_sd=-0.1)


def test_asking_for_an_outcome_that_is_not_there_names_those_that_are():
    truth = Truth(outcomes=(OutcomeTruth(name="luster", thresholds=(0.0,), aim=1),))
    with pytest.raises(RequestError, match="no outcome 'sheen'; it has luster"):
        truth.outcome("sheen")


def test_a_null_truth_keeps_luck_and_thresholds_and_loses_every_effect():
    effect = FactorEffect(factor="seal", shape=Steps(gains=(("yes", 1.0),)))
    outcome = OutcomeTruth(
        name="luster", thresholds=(0.0,), aim=1, firing_sd=0.7, effects=(effect,)
    )
    (null,) = null_truth(Truth(outcomes=(outcome,))).outcomes
    assert null == OutcomeTruth(name="luster", thresholds=(0.0,), aim=1, firing_sd=0.7)
