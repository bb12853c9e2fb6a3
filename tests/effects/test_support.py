"""What the log supports."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.effects.contrasts import build_contrast, choose_contrasts
from outcomes.effects.support import build_reach, count_arm_firings, far_share, find_supported


@pytest.fixture
def build(make_log, codebook):
    def make(columns):
        return build_design(make_log(columns), codebook.outcome("luster"))

    return make


@pytest.fixture
def columns(invent):
    return invent(np.random.default_rng(7))


def contrast(design, codebook, factor, values):
    return build_contrast(design, codebook, factor=factor, from_value=values[0], to_value=values[1])


def test_pieces_of_a_glaze_on_which_both_values_were_tried_are_supported(build, codebook, columns):
    design = build(columns)
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    assert find_supported(design, asked, codebook).all()


def test_pieces_of_a_glaze_always_carried_quickly_leave_the_average(build, codebook, columns):
    columns["seconds_to_can"] = [
        5.0 + value % 3 if glaze == "Tarn Lantern" else value
        for value, glaze in zip(columns["seconds_to_can"], columns["glaze"], strict=True)
    ]
    design = build(columns)
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    supported = find_supported(design, asked, codebook)
    assert set(design.frame["glaze"][supported]) == {"Brackwater Nine"}


def test_a_level_a_glaze_never_met_in_two_firings_is_not_supported(build, codebook, columns):
    columns["quench"] = [
        "none" if glaze == "Tarn Lantern" else value
        for value, glaze in zip(columns["quench"], columns["glaze"], strict=True)
    ]
    design = build(columns)
    supported = find_supported(
        design, contrast(design, codebook, "quench", ("none", "dunk")), codebook
    )
    assert set(design.frame["glaze"][supported]) == {"Brackwater Nine"}


def test_the_glaze_itself_is_compared_over_all_pieces(build, codebook, columns):
    design = build(columns)
    asked = contrast(design, codebook, "glaze", ("Tarn Lantern", "Brackwater Nine"))
    assert find_supported(design, asked, codebook).all()


def test_independent_settings_reach_no_farther_than_the_log(build, codebook, columns):
    design = build(columns)
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    share = far_share(
        design, asked, build_reach(design), supported=np.ones(len(design.y), dtype=bool)
    )
    assert share < 0.15


def test_moving_one_of_two_habits_that_go_together_reaches_beyond_the_log(build, codebook, columns):
    rng = np.random.default_rng(1)
    slow = rng.random(192) < 0.5
    columns["seconds_to_can"] = np.where(slow, 14.0, 5.0) + rng.integers(0, 2, 192)
    columns["combustible_g"] = np.where(slow, 200.0, 40.0) + 10.0 * rng.integers(0, 2, 192)
    columns = {name: list(values) for name, values in columns.items()}
    columns["quench"] = ["none"] * 192
    columns["seal"] = ["no"] * 192
    design = build(columns)
    asked = contrast(design, codebook, "seconds_to_can", (5.0, 15.0))
    everything = np.ones(len(design.y), dtype=bool)
    assert far_share(design, asked, build_reach(design), supported=everything) > 0.40


def test_firings_near_each_value_are_counted(build, codebook, columns):
    columns["seal"] = ["yes" if name in ("F02", "F09") else "no" for name in columns["firing_id"]]
    design = build(columns)
    assert count_arm_firings(design, contrast(design, codebook, "seal", ("no", "yes"))) == (22, 2)
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    assert count_arm_firings(design, asked) == (24, 24)


def test_pieces_without_a_glaze_are_compared_with_their_like(build, codebook, columns):
    columns["glaze"] = [None] * 100 + columns["glaze"][100:]
    design = build(columns)
    assert "glaze" not in {term.factor for term in design.spec.terms}
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    assert find_supported(design, asked, codebook).all()


def test_a_very_large_log_is_looked_at_in_part(build, codebook, invent):
    design = build(invent(np.random.default_rng(3), firings=300, pieces=20))
    reach = build_reach(design)
    assert reach.squared.shape == (1000, 5000)
    asked = contrast(design, codebook, "seconds_to_can", (7.0, 13.0))
    assert far_share(design, asked, reach, supported=np.ones(6000, dtype=bool)) < 0.15


def test_rare_levels_counted_together_are_found_in_their_firings(build, codebook, columns):
    columns["form"] = ["bowl"] * 150 + [f"form {i}" for i in range(42)]
    design = build(columns)
    (asked,) = [c for c in choose_contrasts(design, codebook) if c.factor == "form"]
    assert (asked.from_value, asked.to_value) == ("bowl", "other")
    assert count_arm_firings(design, asked) == (19, 6)
