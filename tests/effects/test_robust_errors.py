"""Standard errors by firing of thresholds and slopes, and effects as odds ratios."""

import math

import numpy as np
import pytest

from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.odds import measure_log_odds
from outcomes.effects.robust_errors import measure_robust_errors
from outcomes.resampling.intervals import jackknife_error


@pytest.fixture(scope="module")
def evidence(make_log, invent, learn):
    return learn(make_log(invent(np.random.default_rng(5), window=0.6)), "luster")


def test_the_jackknife_covariance_has_the_errors_of_leaving_firings_out(evidence):
    robust = measure_robust_errors(evidence)
    expected = jackknife_error(evidence.without)
    np.testing.assert_allclose(np.sqrt(np.diag(robust.jackknife)), expected, rtol=1e-10)
    assert robust.df == evidence.n_firings - 1


def test_the_sandwich_lies_beside_the_jackknife_and_is_the_smaller(evidence):
    robust = measure_robust_errors(evidence)
    ratio = np.sqrt(np.diag(robust.sandwich) / np.diag(robust.jackknife))
    assert 0.7 < np.median(ratio) < 1.0


def test_under_six_firings_there_are_none(make_log, invent, learn):
    few = learn(make_log(invent(np.random.default_rng(5), firings=5, pieces=12)), "luster")
    assert measure_robust_errors(few) is None
    effects = estimate_contrasts(few, choose_contrasts(few.design, few.codebook))
    odds = measure_log_odds(few, effects, None)
    assert all(one.interval is None and math.isfinite(one.value) for one in odds)


def test_log_odds_are_those_of_the_effects_in_their_order(evidence):
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    odds = measure_log_odds(evidence, effects, measure_robust_errors(evidence))
    assert [e.contrast.factor for e in effects] == [one.factor for one in odds]
    assert [e.log_odds for e in effects] == pytest.approx([one.value for one in odds])
    seconds = next(one for one in odds if one.factor == "seconds_to_can")
    assert seconds.ratio == pytest.approx(math.exp(seconds.value))


def test_a_straight_setting_has_the_error_of_its_slope_times_the_step(evidence):
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    robust = measure_robust_errors(evidence)
    odds = {one.factor: one for one in measure_log_odds(evidence, effects, robust)}
    term = next(t for t in evidence.design.spec.terms if t.factor == "seconds_to_can")
    contrast = next(e.contrast for e in effects if e.contrast.factor == "seconds_to_can")
    slot = evidence.n_grades - 1 + term.slots[0]
    steps = (contrast.to_value - contrast.from_value) / term.scale
    expected = abs(steps) * math.sqrt(robust.jackknife[slot, slot])
    assert expected == pytest.approx(odds["seconds_to_can"].error)


def test_a_windows_odds_allow_for_the_contrasts_looked_at(evidence):
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    robust = measure_robust_errors(evidence)
    widths = {
        one.factor: one.interval.width() / (2 * one.error)
        for one in measure_log_odds(evidence, effects, robust)
    }
    assert widths["pull_temp_c"] > 1.15 * widths["seconds_to_can"]
