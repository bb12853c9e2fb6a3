"""What a whole firing shares must be written once."""

import pytest

from outcomes.finding import Severity
from outcomes.log.check_conditions import check_firing_values

SIX_FIRINGS = [f"F{i // 4}" for i in range(24)]


def by_firing(values):
    return [value for value in values for _ in range(4)]


def six(make_log, **columns):
    return make_log({"firing_id": SIX_FIRINGS, "luster": [i % 5 for i in range(24)]} | columns)


def changed(values, at, value):
    return [*values[:at], value, *values[at + 1 :]]


def test_one_value_for_each_firing_needs_no_word(make_log):
    log = six(
        make_log,
        air_temp_c=by_firing([3, 4, 5, 6, 7, 8]),
        fired_on=by_firing([f"2025-03-0{d}" for d in range(1, 7)]),
        pull_temp_c=[960 + i for i in range(24)],
    )
    assert check_firing_values(log) == ()


def test_a_condition_that_differs_within_a_firing_is_named(make_log):
    air = changed(by_firing([3, 4, 5, 6, 7, 8]), 9, 50)
    (finding,) = check_firing_values(six(make_log, air_temp_c=air))
    assert (finding.code, finding.rows) == ("firing_value_differs", (11,))
    assert finding.severity is Severity.WARNING
    assert finding.message == (
        "log.csv, column air_temp_c: it differs within one firing: firing 'F2', row 11 '50' "
        "(elsewhere '5'). Expected one value for a whole firing."
    )
    assert finding.advice == "Correct the cell, or the firing of the row; nothing was changed."


def test_where_two_values_tie_all_rows_are_named(make_log):
    air = [*by_firing([3, 4, 5, 6, 7]), 8, 8, 9, 9]
    (finding,) = check_firing_values(six(make_log, air_temp_c=air))
    assert finding.rows == (22, 23, 24, 25)


def test_a_value_written_once_for_the_firing_is_no_difference(make_log):
    air = [value for first in (3, 4, 5, 6, 7, 8) for value in (first, None, None, None)]
    assert check_firing_values(six(make_log, air_temp_c=air)) == ()


def test_a_date_is_compared_by_its_day(make_log):
    days = by_firing([f"2025-03-0{d}" for d in range(1, 7)])
    noon = changed(days, 9, "2025-03-03T12:30")
    assert check_firing_values(six(make_log, fired_on=noon)) == ()
    (finding,) = check_firing_values(six(make_log, fired_on=changed(days, 9, "2025-05-03")))
    assert "row 11 '2025-05-03' (elsewhere '2025-03-03')" in finding.message


def test_firing_names_that_start_anew_every_day_are_suspected(make_log):
    days = [f"2025-03-{1 + i:02d}" for i in range(24)]
    (finding,) = check_firing_values(six(make_log, fired_on=days))
    assert (finding.severity, finding.rows) == (Severity.WARNING, ())
    assert "it varies within 6 firings" in finding.message
    assert "start anew" in finding.advice


def test_weather_written_piece_by_piece_is_one_note(make_log):
    (finding,) = check_firing_values(six(make_log, humidity_pct=[40 + i for i in range(24)]))
    assert (finding.severity, finding.rows) == (Severity.NOTE, ())
    assert "piece by piece" in finding.advice


def test_a_pull_temperature_may_differ_from_piece_to_piece(make_log):
    assert check_firing_values(six(make_log, pull_temp_c=[960 + i for i in range(24)])) == ()


def test_one_pull_temperature_off_where_all_firings_keep_to_one_is_a_note(make_log):
    pulls = changed(by_firing([950, 960, 970, 980, 990, 1000]), 5, 690)
    (finding,) = check_firing_values(six(make_log, pull_temp_c=pulls))
    assert (finding.severity, finding.rows) == (Severity.NOTE, (7,))
    assert "row 7 '690' (elsewhere '960')" in finding.message


@pytest.mark.parametrize("wind", [["calm"] * 24, ["calm", "strong"] * 12])
def test_without_named_firings_nothing_is_compared(make_log, wind):
    log = make_log({"fired_on": ["2025-03-01"] * 24, "wind": wind, "luster": [1, 2] * 12})
    assert check_firing_values(log) == ()
