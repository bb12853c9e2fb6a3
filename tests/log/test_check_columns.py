"""Columns that teach nothing, times judged by eye, names that look alike."""

import pytest

from outcomes.finding import Severity
from outcomes.log.check_columns import (
    check_columns_that_never_vary,
    check_look_alike_names,
    check_rare_levels,
    check_time_heaping,
)


def test_columns_that_vary_need_no_word(twelve):
    assert check_columns_that_never_vary(twelve()) == ()


def test_a_setting_that_never_varies_is_named_with_its_value_and_remedy(twelve):
    log = twelve({"can_volume_l": [30] * 23 + [None]}, headers={"can_volume_l": "Can (L)"})
    (finding,) = check_columns_that_never_vary(log)
    assert (finding.code, finding.severity) == ("column_never_varies", Severity.NOTE)
    assert "Column Can (L): it is always 30 L." in finding.message
    assert "change it for some pieces" in finding.advice


def test_a_condition_that_never_varies_gets_no_advice_to_change_it(twelve):
    (finding,) = check_columns_that_never_vary(twelve({"wind": ["calm"] * 24}))
    assert "it is always 'calm'" in finding.message
    assert finding.advice == "Nothing needs doing."


def test_an_empty_column_is_named(twelve):
    (finding,) = check_columns_that_never_vary(twelve({"burps": [None] * 24}))
    assert finding.code == "column_blank"
    assert "nothing usable is written in it" in finding.message


def test_a_mostly_blank_column_is_named(twelve):
    (finding,) = check_columns_that_never_vary(twelve({"burps": [1, 2, 3] + [None] * 21}))
    assert finding.code == "column_mostly_blank"
    assert "written for 3 pieces of 24 only" in finding.message


def test_times_on_fives_are_called_judged_by_eye(twelve):
    log = twelve({"time_in_can_min": [5, 10, 15, 20, 30, 60] * 3 + [12, 13, 17, 21, 22, 26]})
    (finding,) = check_time_heaping(log)
    assert (finding.code, finding.severity) == ("time_heaping", Severity.NOTE)
    assert "75 of every 100 values are whole multiples of 5 min" in finding.message
    assert "stopwatch" in finding.advice


def test_evenly_spread_times_are_not_heaped(twelve):
    assert check_time_heaping(twelve({"seconds_to_can": list(range(1, 25))})) == ()


def test_a_planned_set_of_times_is_not_heaped(twelve):
    assert check_time_heaping(twelve({"time_in_can_min": [5, 10, 20, 40] * 6})) == ()


def test_an_amount_on_fives_is_not_heaped(twelve):
    assert check_time_heaping(twelve({"combustible_g": [10 + 5 * i for i in range(24)]})) == ()


def test_a_rare_level_is_named_with_its_rows(twelve):
    glazes = ["Tarn Lantern", "Moth Ledger"] * 11 + ["Brackwater Nine", "Ash Skin"]
    (finding,) = check_rare_levels(twelve({"glaze": glazes}))
    assert (
        finding.code,
        finding.severity,
        finding.rows,
    ) == ("rare_level", Severity.NOTE, (24, 25))
    assert "'Ash Skin' and 'Brackwater Nine' stand each on fewer than 3 pieces" in finding.message


def test_in_a_small_log_every_level_is_rare_and_none_is_named(make_log):
    assert check_rare_levels(make_log({"glaze": ["a", "b", "c"], "luster": [1, 2, 3]})) == ()


@pytest.mark.parametrize("other", ["tarn lantern", "Tarn  Lantern", "Tarn-Lantern", "TarnLantern"])
def test_names_that_differ_by_case_or_signs_are_named(twelve, other):
    glazes = ["Tarn Lantern", "Moth Ledger"] * 10 + [other, "Moth Ledger"] * 2
    (finding,) = check_look_alike_names(twelve({"glaze": glazes}))
    assert (finding.code, finding.rows) == ("look_alike_names", (22, 24))
    assert f"'{other}' beside 'Tarn Lantern'" in finding.message
    assert "count as two" in finding.message


def test_a_name_one_slip_away_from_a_common_one_is_named(twelve):
    glazes = ["Tarn Lantern", "Moth Ledger"] * 11 + ["Tarn Lanten", "Moth Ledger"]
    (finding,) = check_look_alike_names(twelve({"glaze": glazes}))
    assert "'Tarn Lanten' beside 'Tarn Lantern'" in finding.message


def test_batches_that_differ_in_their_number_are_not_alike(twelve):
    glazes = ["Batch 11", "Batch 12"] * 11 + ["Batch 13", "Batch 14"]
    assert check_look_alike_names(twelve({"glaze": glazes})) == ()


def test_firings_written_in_two_ways_are_named(twelve):
    names = [f"F{1 + i // 2}" for i in range(23)] + ["f12"]
    (finding,) = check_look_alike_names(twelve({"firing_id": names}))
    assert "'f12' beside 'F12'" in finding.message


def test_different_names_need_no_word(twelve):
    assert check_look_alike_names(twelve()) == ()
