"""The invented studios: a year with planted effects, and a year with none."""

import numpy as np
import pandas as pd
import pytest

from outcomes.log.codebook import Role
from outcomes.log.codebook_file import read_default_codebook
from outcomes.simulate.chance import true_change, true_reach
from outcomes.simulate.greywether import HABITS, greywether_habits, greywether_truth, null_year
from outcomes.simulate.hollowmere import FIRINGS, hollowmere_truth, hollowmere_year


@pytest.fixture(scope="module")
def year():
    return hollowmere_year(np.random.default_rng(2))


def test_a_hollowmere_year_has_about_two_hundred_pieces_in_about_thirty_firings(year):
    assert year["firing_id"].nunique() == FIRINGS
    assert 160 <= len(year) <= 256


@pytest.mark.parametrize(
    ("outcome", "factor", "ends", "between"),
    [
        ("luster", "seconds_to_can", (6.0, 14.0), (-0.45, -0.25)),
        ("crackle_density", "seconds_to_can", (6.0, 14.0), (0.25, 0.45)),
        ("crackle_density", "glaze_thickness_mm", (0.5, 1.1), (0.25, 0.45)),
        ("luster", "combustible_g", (40.0, 130.0), (0.20, 0.45)),
        ("cracked", "wall_thickness_mm", (5.0, 8.0), (0.25, 0.45)),
        ("cracked", "quench", ("none", "dunk"), (0.20, 0.45)),
        ("color_shift", "lid_delay_s", (3.0, 12.0), (0.30, 0.65)),
        ("luster", "pull_temp_c", (940.0, 980.0), (0.30, 0.65)),
        ("luster", "time_in_can_min", (8.0, 40.0), (0.0, 0.005)),
        ("luster", "seal", ("no", "yes"), (0.0, 0.0)),
        ("luster", "maker", ("W", "K"), (0.0, 0.0)),
    ],
)
def test_hollowmere_effects_have_the_planted_size(year, outcome, factor, ends, between):
    start, end = ends
    change = true_change(
        hollowmere_truth(), year, factor=factor, from_value=start, to_value=end, outcome=outcome
    )
    assert between[0] <= change <= between[1]


def test_the_helper_is_quicker_and_uses_more_paper(year):
    by_puller = year.groupby("maker")[["seconds_to_can", "combustible_g"]].median()
    assert by_puller.loc["K", "seconds_to_can"] < 0.8 * by_puller.loc["W", "seconds_to_can"]
    assert by_puller.loc["K", "combustible_g"] > 1.5 * by_puller.loc["W", "combustible_g"]


def test_the_can_never_varies_and_the_time_in_it_is_nearly_always_past_six_minutes(year):
    assert year["can_volume_l"].nunique() == 1
    assert (year["time_in_can_min"] > 6).mean() > 0.95


def test_temperatures_stand_on_the_scale_of_the_firing_they_were_read_from(year):
    fahrenheit = year["pull_temp_c"] * 1.8 + 32
    on_grid = np.where(
        year["thermometer"] == "F",
        np.isclose(fahrenheit % 10, 0, atol=1e-6) | np.isclose(fahrenheit % 10, 10, atol=1e-6),
        year["pull_temp_c"] % 5 == 0,
    )
    assert on_grid.all()
    assert set(year["thermometer"]) == {"F", "C"}


def test_a_null_year_has_fourteen_settings_of_the_codebook_that_all_vary():
    frame = null_year(np.random.default_rng(1))
    settings = {f.name for f in read_default_codebook().factors if f.role is Role.SETTING}
    habits = [habit.name for habit in greywether_habits().scored() if habit.name != "glaze"]
    assert len(habits) == HABITS
    assert set(habits) <= settings
    assert (frame[habits].nunique() > 1).all()


def test_nothing_is_planted_in_a_null_year():
    truth, frame = greywether_truth(), null_year(np.random.default_rng(1))
    for outcome in truth.outcomes:
        assert outcome.effects == ()
        assert np.ptp(true_reach(truth, frame, outcome.name)) < 1e-12


def test_over_many_null_years_no_habit_goes_with_a_grade():
    # Mean correlation of a habit with a grade over 60 years of 210 pieces: standard error about
    # 0.009 (0.07 / sqrt(60)), more for a firing habit (effective 30 firings: 0.18/sqrt(60)=0.024).
    years = [null_year(np.random.default_rng(seed)) for seed in range(60)]
    numbers = ["pull_temp_c", "seconds_to_can", "combustible_g", "burps", "can_volume_l"]
    correlations = pd.DataFrame([year[numbers].corrwith(year["luster"]) for year in years])
    assert correlations.mean().abs().max() < 4 * 0.024
