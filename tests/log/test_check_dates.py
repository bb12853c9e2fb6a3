"""Dates against the other dates of the log, never against the clock."""

import pytest

from outcomes.finding import Severity
from outcomes.log.check_dates import check_date_order, check_far_dates

DAYS = [f"2025-03-{day:02d}" for day in (1, 4, 8, 11, 15, 18, 22, 25)]


def log_of(make_log, days, names=None, **more):
    names = names or [f"R{i + 1}" for i in range(len(days))]
    return make_log(
        {
            "firing_id": [name for name in names for _ in range(2)],
            "fired_on": [day for day in days for _ in range(2)],
            "luster": [1, 3] * len(days),
        },
        **more,
    )


def changed(at, day):
    return [*DAYS[:at], day, *DAYS[at + 1 :]]


@pytest.mark.parametrize("days", [DAYS, DAYS[::-1]])
def test_oldest_first_and_newest_first_are_both_in_order(make_log, days):
    log = log_of(make_log, days)
    assert (check_date_order(log), check_far_dates(log)) == ((), ())


def test_a_date_out_of_order_is_named_with_its_firing(make_log):
    (finding,) = check_date_order(log_of(make_log, changed(3, "2025-01-11")))
    assert (finding.code, finding.rows) == ("dates_out_of_order", (8, 9))
    assert finding.message == (
        "log.csv, column fired_on: out of order: firing 'R4' of 2025-01-11 in 2 rows. Expected the "
        "dates to follow the firings, as the other 7 do."
    )
    assert "Check day, month and year" in finding.advice


def test_firings_are_ordered_by_their_number_not_by_their_row(make_log):
    order = [7, 2, 0, 5, 1, 4, 3, 6]
    names = [f"R{i + 8}" for i in order]  # R8 ... R15: as text, R10 would come before R8
    assert check_date_order(log_of(make_log, [DAYS[i] for i in order], names)) == ()


def test_firings_without_numbers_are_ordered_by_their_rows(make_log):
    names = ["ash", "oak", "elm", "yew", "fir", "bay", "box", "ivy"]
    assert check_date_order(log_of(make_log, DAYS, names)) == ()
    (finding,) = check_date_order(log_of(make_log, changed(5, "2025-12-01"), names))
    assert "firing 'bay' of 2025-12-01" in finding.message


def test_a_log_sorted_otherwise_is_one_note_without_rows(make_log):
    shuffled = [DAYS[i] for i in (4, 1, 7, 0, 3, 6, 2, 5)]
    (finding,) = check_date_order(log_of(make_log, shuffled))
    assert (finding.severity, finding.rows) == (Severity.NOTE, ())


def test_files_are_ordered_each_for_itself(make_log):
    days = ["2025-06-01", "2025-06-02", "2025-06-03", "2025-06-04", *DAYS[:4]]
    files = ["summer.csv"] * 8 + ["spring.csv"] * 8
    names = ["S1", "S2", "S3", "S4", "R1", "R2", "R3", "R4"]
    assert check_date_order(log_of(make_log, days, names, files=files)) == ()


@pytest.mark.parametrize("year", ["2052", "1925", "2035"])
def test_a_slip_of_the_year_is_named(make_log, year):
    (finding,) = check_far_dates(log_of(make_log, changed(3, f"{year}-03-11")))
    assert (finding.code, finding.rows) == ("implausible_date", (8, 9))
    assert f"row 8 '{year}-03-11' and row 9 '{year}-03-11', far from" in finding.message
    assert "(2025-03-01 to 2025-03-25)" in finding.message


def test_a_rest_of_a_year_is_no_slip(make_log):
    days = [*DAYS[:6], *(day.replace("2025", "2026") for day in DAYS[6:])]
    assert check_far_dates(log_of(make_log, days)) == ()


def test_two_years_apart_in_equal_halves_accuse_neither(make_log):
    days = [*DAYS[:4], *(day.replace("2025", "2029") for day in DAYS[4:])]
    assert check_far_dates(log_of(make_log, days)) == ()


def test_a_date_of_the_next_century_is_fine_among_its_like(make_log):
    later = [day.replace("2025", "2131") for day in DAYS]
    assert (
        check_far_dates(log_of(make_log, later)),
        check_date_order(log_of(make_log, later)),
    ) == ((), ())


def test_blank_dates_are_no_slip(make_log):
    log = log_of(make_log, changed(3, None))
    assert (check_date_order(log), check_far_dates(log)) == ((), ())
