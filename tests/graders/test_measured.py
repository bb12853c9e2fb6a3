import numpy as np
import pytest

from outcomes.graders.measured import NoInterval, Scale, from_leaving_out, measure
from outcomes.resampling.proportion import wilson_interval


def mean_of(sums):
    return sums[..., 0] / sums[..., 1]


@pytest.fixture
def parts(rng):
    return np.stack([rng.normal(3.0, 1.0, size=9), np.ones(9)], axis=1)


def test_of_a_plain_mean_the_interval_is_students(parts):
    told = measure(parts, mean_of, confidence=0.95)
    error = parts[:, 0].std(ddof=1) / 3
    expected = parts[:, 0].mean() + 2.306004135 * error  # t with 8 degrees of freedom, 97.5 %
    assert told.interval.high == pytest.approx(expected)
    assert told.clusters == 9


def test_firings_that_add_nothing_are_not_counted(parts):
    more = np.vstack([parts, np.zeros((4, 2))])
    assert measure(more, mean_of, confidence=0.95) == measure(parts, mean_of, confidence=0.95)


def test_under_six_firings_there_is_no_interval(parts):
    told = measure(parts[:5], mean_of, confidence=0.95)
    assert (told.interval, told.why_none) == (None, NoInterval.FEW)


def test_where_all_agree_a_share_has_the_interval_of_its_firings():
    parts = np.ones((8, 2)) * 5
    told = measure(parts, mean_of, confidence=0.95, scale=Scale.SHARE)
    assert told.interval == wilson_interval(8, 8)


def test_where_all_agree_a_coefficient_has_no_interval():
    told = from_leaving_out(1.0, np.ones(8), confidence=0.95, scale=Scale.CORRELATION)
    assert (told.value, told.interval, told.why_none) == (1.0, None, NoInterval.ALIKE)


def test_a_number_that_hangs_on_one_firing_has_no_interval():
    without = np.array([0.5] * 7 + [np.nan])
    assert from_leaving_out(0.6, without, confidence=0.95).why_none is NoInterval.FRAGILE


@pytest.mark.parametrize(("scale", "least"), [(Scale.SHARE, 0.0), (Scale.CORRELATION, -1.0)])
def test_an_interval_stays_where_the_number_can_be(scale, least):
    told = from_leaving_out(0.95, np.linspace(0.7, 1.0, 8), confidence=0.99, scale=scale)
    assert least <= told.interval.low < 0.95 < told.interval.high <= 1.0
