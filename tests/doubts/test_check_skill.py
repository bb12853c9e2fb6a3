"""What the report says about foretelling new firings."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.doubts.check_skill import check_skill, describe_skill
from outcomes.doubts.skill import SkillValue, learn_skill
from outcomes.finding import Severity
from outcomes.resampling.interval import Interval


@pytest.fixture
def skill(sound):
    return learn_skill(sound, rng=np.random.default_rng(1))


def with_skill(skill, low: float, high: float):
    return replace(skill, overall=SkillValue(value=(low + high) / 2, low=low, high=high))


def with_slope(skill, low: float, high: float):
    interval = Interval(low=low, high=high, confidence=0.95, method="jackknife t")
    calibration = replace(skill.calibration, slope=(low + high) / 2, slope_interval=interval)
    return replace(skill, calibration=calibration)


def test_a_model_that_predicts_and_is_calibrated_raises_no_doubt(skill, codebook) -> None:
    assert check_skill(with_slope(skill, 0.8, 1.2), codebook) == ()


def test_a_model_not_shown_to_predict_says_so(skill, codebook) -> None:
    (finding,) = check_skill(with_skill(skill, -0.05, 0.25), codebook)
    assert finding.code == "does_not_predict"
    assert finding.column == "luster"
    assert "is not shown to foretell a firing it has not seen" in finding.message
    assert "10 % smaller (from 5 % larger to 25 % smaller)" in finding.message
    assert "leads to try" in finding.advice


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (-0.05, 0.25, Severity.NOTE),  # the estimate is above 0, its interval covers 0
        (-0.25, 0.25, Severity.WARNING),
        (-0.25, 0.05, Severity.WARNING),
        (-0.35, -0.05, Severity.PROBLEM),
    ],
)
def test_what_is_only_not_yet_shown_is_a_note(skill, codebook, low, high, expected) -> None:
    (finding,) = check_skill(with_skill(skill, low, high), codebook)
    assert finding.severity is expected


def test_a_model_worse_than_the_average_is_a_problem(skill, codebook) -> None:
    (finding,) = check_skill(with_skill(skill, -0.35, -0.05), codebook)
    assert finding.severity is Severity.PROBLEM
    assert "worse than simply expecting the same grades as ever" in finding.message
    assert "Do not plan by these effects" in finding.advice


def test_effects_larger_than_in_new_firings_are_called_over_confident(skill, codebook) -> None:
    (finding,) = check_skill(with_slope(skill, 0.3, 0.7), codebook)
    assert finding.code == "over_confident"
    assert "differences came out about 50 % as large as foretold" in finding.message


def test_a_low_slope_that_may_be_luck_is_not_called_over_confident(skill, codebook) -> None:
    assert check_skill(with_slope(skill, 0.4, 0.9), codebook) == ()


def test_a_year_of_nothing_but_luck_does_not_predict(make_log, learn, invent, codebook) -> None:
    luck = learn(make_log(invent(np.random.default_rng(8), seconds=0.0)))
    (finding,) = check_skill(learn_skill(luck, rng=np.random.default_rng(1)), codebook)
    assert finding.code == "does_not_predict"


def test_the_sentence_gives_the_error_saved_with_its_interval(skill, codebook) -> None:
    told = describe_skill(with_skill(skill, 0.1, 0.3), codebook)
    assert "20 % smaller than guessing the same grade shares as ever" in told
    assert "(from 10 % smaller to 30 % smaller)" in told
