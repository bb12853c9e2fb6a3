"""Habits that move with a person."""

import numpy as np
import pytest

from outcomes.doubts.check_groups import find_shared_habits


def year(seed=1, *, firings=20, pieces=6):
    rng = np.random.default_rng(seed)
    each = np.repeat(np.arange(firings), pieces)
    n = len(each)
    return (
        rng,
        each,
        {
            "firing_id": [f"F{g:02d}" for g in each],
            "maker": rng.choice(["W", "K"], firings, p=[0.65, 0.35])[each].tolist(),
            "pull_temp_c": rng.normal(970.0, 20.0, firings).round()[each].tolist(),
            "seconds_to_can": rng.integers(5, 16, n).astype(float).tolist(),
            "combustible_g": (10.0 * rng.integers(3, 20, n)).tolist(),
            "combustible_kind": rng.choice(["newspaper", "straw"], n).tolist(),
            "luster": rng.integers(0, 5, n).astype(float).tolist(),
        },
    )


def with_helper(columns):
    """Make K quicker, with double the paper."""
    helper = np.array(columns["maker"]) == "K"
    seconds = np.array(columns["seconds_to_can"])
    paper = np.array(columns["combustible_g"])
    return columns | {
        "seconds_to_can": np.where(helper, 3.0 + seconds % 4, 8.0 + seconds % 6).tolist(),
        "combustible_g": np.where(helper, 190.0 + paper % 30, 80.0 + paper % 40).tolist(),
    }


def test_a_helper_with_other_habits_is_named_with_both_medians(make_log):
    _, _, columns = year()
    (finding,) = find_shared_habits(make_log(with_helper(columns)))
    helper = np.array(columns["maker"]) == "K"
    seconds = np.array(with_helper(columns)["seconds_to_can"])
    assert finding.code == "person_moves_with_settings"
    assert finding.column == "maker"
    assert (
        f"Seconds to the can: median {np.median(seconds[helper]):g} s against "
        f"{np.median(seconds[~helper]):g} s"
    ) in finding.message
    assert "Combustible: median" in finding.message
    assert "What looks like the hands of 'K' may be these settings" in finding.message


def test_a_helper_who_uses_another_kind_is_named_with_both_shares(make_log):
    _, _, columns = year()
    columns["combustible_kind"] = [
        "straw" if maker == "K" else "newspaper" for maker in columns["maker"]
    ]
    (finding,) = find_shared_habits(make_log(columns))
    assert "'straw' on 100 of 100 pieces against 0" in finding.message


def test_helpers_with_the_same_habits_stay_unnamed(make_log):
    # 5 % over all comparisons of a log: of 30 logs 1.5 are expected; 6 or more has chance 0.4 %
    alarms = sum(bool(find_shared_habits(make_log(year(seed)[2]))) for seed in range(30))
    assert alarms < 6


def test_a_helper_of_two_firings_is_not_judged(make_log):
    _, each, columns = year()
    columns["maker"] = ["K" if g in (3, 9) else "W" for g in each]
    assert find_shared_habits(make_log(with_helper(columns))) == ()


def test_a_log_without_groupings_says_nothing(make_log):
    _, _, columns = year()
    alone = {name: values for name, values in columns.items() if name != "maker"}
    assert find_shared_habits(make_log(alone)) == ()


def test_one_of_three_people_is_compared_with_the_others(make_log):
    rng, each, columns = year(2, firings=30)
    columns["maker"] = rng.choice(["W", "K", "Z"], 30)[each].tolist()
    (finding,) = find_shared_habits(make_log(with_helper(columns)))
    assert finding.message.startswith("Maker 'K'")


@pytest.mark.parametrize("blank", [None, ""])
def test_blank_cells_are_passed_over(make_log, blank):
    columns = with_helper(year()[2])
    columns["seconds_to_can"][:10] = [blank] * 10
    assert len(find_shared_habits(make_log(columns))) == 1
