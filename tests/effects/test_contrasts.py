"""Which two values are compared."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.effects.contrasts import build_contrast, choose_contrasts, factor_label, is_judged
from outcomes.errors import RequestError


@pytest.fixture
def columns(invent):
    return invent(np.random.default_rng(7))


@pytest.fixture
def choose(make_log, codebook):
    def make(columns):
        design = build_design(make_log(columns), codebook.outcome("luster"))
        contrasts = choose_contrasts(design, codebook)
        return {
            name: [c for c in contrasts if c.factor == name]
            for name in {c.factor for c in contrasts}
        }

    return make


@pytest.fixture
def design(make_log, codebook, columns):
    return build_design(make_log(columns), codebook.outcome("luster"))


def test_a_number_goes_from_its_20th_to_its_80th_percentile_in_whole_steps(columns, choose):
    (contrast,) = choose(columns)["combustible_g"]
    low, high = np.quantile(columns["combustible_g"], [0.2, 0.8])
    assert contrast.from_value == pytest.approx(low, abs=5.0)
    assert contrast.to_value == pytest.approx(high, abs=5.0)
    assert contrast.from_value % 10.0 == pytest.approx(0.0)
    assert contrast.chosen == "20th to 80th percentile of the log"
    assert contrast.unit == "g"


def test_a_window_has_three_candidates(columns, choose):
    low, high, both = choose(columns)["pull_temp_c"]
    assert low.to_value == high.from_value
    assert (both.from_value, both.to_value) == (low.from_value, high.to_value)
    assert {c.comparisons for c in (low, high, both)} == {3}


def test_yes_no_goes_from_no_to_yes(columns, choose):
    (contrast,) = choose(columns)["seal"]
    assert (contrast.from_value, contrast.to_value) == ("no", "yes")


def test_of_many_levels_the_two_commonest_are_compared_and_never_other(columns, choose):
    kinds = ["newspaper"] * 100 + ["straw"] * 60 + ["sawdust"] * 20 + ["leaves", "mixed"] * 6
    columns["combustible_kind"] = kinds
    (contrast,) = choose(columns)["combustible_kind"]
    assert {contrast.from_value, contrast.to_value} == {"newspaper", "straw"}


def test_heaped_values_still_give_two_different_ones(columns, choose):
    columns["time_in_can_min"] = ([30.0] * 9 + [10.0]) * 19 + [30.0, 10.0]
    (contrast,) = choose(columns)["time_in_can_min"]
    assert (contrast.from_value, contrast.to_value) == (10.0, 30.0)


def test_a_contrast_lies_inside_the_logs_5_to_95_per_cent_range(columns, choose):
    for name, candidates in choose(columns).items():
        for contrast in candidates:
            if not isinstance(contrast.from_value, str) and name in columns:
                low, high = np.quantile(columns[name], [0.05, 0.95])
                assert low <= contrast.from_value < contrast.to_value <= high


def test_a_contrast_may_be_asked_for(design, codebook):
    contrast = build_contrast(
        design, codebook, factor="seconds_to_can", from_value=6.0, to_value=9.0
    )
    assert contrast.chosen == "asked for"
    assert contrast.comparisons == 1


@pytest.mark.parametrize(
    ("factor", "values", "words"),
    [
        ("burps", (0.0, 1.0), "factor 'burps' is not in the model of luster; it holds glaze"),
        ("seconds_to_can", (6.0, 40.0), "40.0 lies outside 5 to 15"),
        ("seal", ("no", "perhaps"), "'perhaps' is not among the levels"),
        ("seconds_to_can", (6.0, 6.0), "both values are 6.0; give two different ones"),
    ],
)
def test_a_contrast_the_log_cannot_answer_is_refused_in_words(
    design, codebook, factor, values, words
):
    with pytest.raises(RequestError) as refused:
        build_contrast(design, codebook, factor=factor, from_value=values[0], to_value=values[1])
    assert words in str(refused.value)


def test_settings_are_judged_but_neither_the_glaze_nor_conditions(design, codebook):
    judged = {c.factor for c in choose_contrasts(design, codebook) if is_judged(c, codebook)}
    assert judged == {"pull_temp_c", "seconds_to_can", "combustible_g", "quench", "seal"}


def test_the_trend_has_a_label_of_its_own(codebook):
    assert factor_label("date_trend", codebook) == "Drift over the year"
    assert factor_label("seconds_to_can", codebook) == "Seconds to the can"
