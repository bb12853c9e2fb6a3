"""Settings the log cannot tell from something else."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.doubts.check_tangled import find_tangles
from outcomes.model.cumulative import fit_cumulative


@pytest.fixture
def tangles(make_log, codebook):
    def find(columns):
        design = build_design(make_log(columns), codebook.outcome("luster"))
        fit = fit_cumulative(design.X, design.y, len(design.grades))
        return {tangle.factor: tangle for tangle in find_tangles(design, codebook, fit=fit)}

    return find


def year(seed=1, *, firings=24, pieces=8, effect=0.0):
    """Independent habits; seconds to the can act on luster by ``effect`` a standard deviation."""
    rng = np.random.default_rng(seed)
    each = np.repeat(np.arange(firings), pieces)
    n = len(each)
    to_can = rng.normal(10.0, 3.0, n).round(1)
    score = (
        effect * (to_can - 10.0) / 3.0 + rng.logistic(size=n) + rng.normal(0, 0.7, firings)[each]
    )
    return (
        rng,
        each,
        {
            "firing_id": [f"F{g:02d}" for g in each],
            "glaze": rng.choice(["Tarn Lantern", "Moth Ledger"], n).tolist(),
            "pull_temp_c": rng.normal(970.0, 20.0, firings).round()[each].tolist(),
            "seconds_to_can": np.maximum(to_can, 1.0).tolist(),
            "combustible_g": (10.0 * rng.integers(3, 20, n)).tolist(),
            "quench": rng.choice(["none", "dunk"], n).tolist(),
            "seal": rng.choice(["no", "yes"], firings)[each].tolist(),
            "humidity_pct": rng.integers(40, 90, firings).astype(float)[each].tolist(),
            "luster": np.digitize(score, [-1.5, -0.3, 0.6, 1.8]).astype(float).tolist(),
        },
    )


def test_two_habits_that_move_closely_together_are_tangled(tangles):
    rng, _, columns = year(effect=-1.0)
    columns["lid_delay_s"] = (
        (30.0 - 2.0 * np.array(columns["seconds_to_can"]) + rng.normal(0.0, 0.9, 192))
        .round(1)
        .tolist()
    )
    found = tangles(columns)
    assert set(found) == {"seconds_to_can", "lid_delay_s"}
    assert found["seconds_to_can"].with_factors == ("lid_delay_s",)
    assert found["lid_delay_s"].with_factors == ("seconds_to_can",)
    assert found["seconds_to_can"].explained > 0.8


def test_the_three_changes_of_a_tangle_tell_its_story(tangles):
    rng, _, columns = year(effect=-1.0)
    columns["lid_delay_s"] = (
        (30.0 - 2.0 * np.array(columns["seconds_to_can"]) + rng.normal(0.0, 0.9, 192))
        .round(1)
        .tolist()
    )
    one = tangles(columns)["seconds_to_can"]
    assert one.alone < -0.15
    assert one.twin_alone > 0.15
    # The twin, a window, moves over 10-90 % of its values, the setting alone over 20-80 %.
    assert one.joint == pytest.approx(one.alone, abs=0.2)


@pytest.mark.parametrize("firings", [8, 12, 24])
def test_independent_habits_are_not_called_tangled(tangles, firings):
    # 20 logs each; a false alarm on any would fail here
    assert [tangles(year(seed, firings=firings)[2]) for seed in range(20)] == [{}] * 20


def test_two_irrelevant_unrelated_settings_are_not_twins_for_their_deviance(tangles):
    assert tangles(year(7, effect=0.0)[2]) == {}


def test_two_firing_habits_that_differ_in_one_firing_are_tangled(tangles):
    _, each, columns = year(3)
    seal = np.array(columns["seal"])[::8]
    other = np.where(seal == "yes", "dunk", "none")
    other[0] = "none" if other[0] == "dunk" else "dunk"
    columns["quench"] = other[each].tolist()
    found = tangles(columns)
    assert found["seal"].with_factors == ("quench",)
    assert found["quench"].with_factors == ("seal",)


def test_two_firing_habits_that_differ_in_eight_firings_are_not(tangles):
    _, each, columns = year(3)
    seal = np.array(columns["seal"])[::8]
    other = np.where(seal == "yes", "dunk", "none")
    other[:8] = np.where(other[:8] == "dunk", "none", "dunk")
    columns["quench"] = other[each].tolist()
    assert tangles(columns) == {}


def test_exactly_repeated_settings_name_each_other_and_share_one_number(tangles):
    _, _, columns = year(4)
    columns["form"] = ["bowl" if q == "dunk" else "cup" for q in columns["quench"]]
    found = tangles(columns)
    assert found["quench"].with_factors == ("form",)
    assert found["form"].with_factors == ("quench",)
    assert found["quench"].explained == 1.0
    assert found["quench"].alone == found["quench"].twin_alone == found["quench"].joint


def test_a_setting_only_one_person_uses_is_tangled_with_that_person(tangles):
    rng, each, columns = year(5)
    helper = rng.random(24) < 0.5
    columns["maker"] = np.where(helper, "K", "W")[each].tolist()
    columns["combustible_g"] = np.where(helper[each], 200.0, 80.0) + 10.0 * rng.integers(-1, 2, 192)
    columns["combustible_g"] = columns["combustible_g"].tolist()
    found = tangles(columns)
    assert found["combustible_g"].with_factors == ("maker",)
    assert "maker" not in found


def test_drift_that_moves_with_a_setting_is_named(tangles):
    _, each, columns = year(6)
    columns["fired_on"] = [str(np.datetime64("2025-01-04") + 14 * int(g)) for g in each]
    columns["pull_temp_c"] = [900.0 + 5.0 * g + (g % 3) for g in each.tolist()]
    assert "date_trend" in tangles(columns)["pull_temp_c"].with_factors
