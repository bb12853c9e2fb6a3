"""Between which values the log was tried."""

import numpy as np
import pandas as pd
import pytest

from outcomes.effects.tried import find_tried, two_values, value_at


def test_two_values_lie_inside_what_every_main_glaze_was_given():
    warm = np.linspace(940.0, 1000.0, 100)
    cool = np.linspace(900.0, 970.0, 100)
    values = pd.Series(np.concatenate([warm, cool]))
    glaze = pd.Series(["a"] * 100 + ["b"] * 100)
    apart = find_tried(values, glaze, 5.0)
    assert (apart.low, apart.high) == pytest.approx(values.quantile([0.05, 0.95]).tolist())
    wide = pd.Series(np.concatenate([warm - 20.0, cool]))
    tried = find_tried(wide, glaze, 5.0)
    assert tried.low == pytest.approx(923.0)
    assert tried.high == pytest.approx(966.5)
    low, high, _ = two_values(tried)
    assert 923.0 <= low < high <= 966.5


def test_a_rare_glaze_does_not_narrow_the_range():
    values = pd.Series(np.concatenate([np.linspace(0.0, 100.0, 95), np.full(5, 50.0)]))
    glaze = pd.Series(["a"] * 95 + ["b"] * 5)
    assert find_tried(values, glaze, 1.0).high > 90.0


def test_rounding_stays_inside_the_range():
    tried = find_tried(pd.Series(np.arange(100.0)), None, 50.0)
    assert value_at(tried, 0.95) == pytest.approx(50.0)
    assert value_at(tried, 0.05) == pytest.approx(50.0)
    low, high, _ = two_values(tried)
    assert (low, high) == pytest.approx((19.8, 79.2))


def test_heaped_values_fall_back_to_the_two_commonest():
    tried = find_tried(pd.Series([30.0] * 97 + [10.0] * 3), None, 5.0)
    assert two_values(tried) == (10.0, 30.0, "the two commonest")
