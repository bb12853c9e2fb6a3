"""Rules about firings: named, enough of them, complete."""

from dataclasses import replace

import pytest

from outcomes.finding import Severity
from outcomes.log.check_firings import (
    check_blank_firings,
    check_few_firings,
    check_firing_column,
    check_firing_sizes,
    check_loaded_counts,
    check_unread_firings,
)
from outcomes.log.firings import firing_labels, pieces_per_firing


def firings(sizes):
    return [f"F{i + 1}" for i, size in enumerate(sizes) for _ in range(size)]


def log_of(make_log, sizes, **columns):
    n = sum(sizes)
    return make_log({"firing_id": firings(sizes), "luster": [i % 5 for i in range(n)]} | columns)


def test_a_named_firing_needs_no_word(twelve):
    assert check_firing_column(twelve()) == ()


def test_the_date_stands_for_the_firing_and_it_is_said(twelve):
    log = twelve({"fired_on": ["2025-03-01"] * 24}, drop=["firing_id"], headers={"fired_on": "Day"})
    (finding,) = check_firing_column(log)
    assert (finding.code, finding.severity) == ("no_firing_column", Severity.WARNING)
    assert finding.message == (
        "No column names the firing, so pieces of the same date (Day) count as one firing."
    )
    assert finding.advice.startswith("Add a column firing_id")


def test_without_firing_and_date_luck_is_said_to_be_understated(twelve):
    (finding,) = check_firing_column(twelve(drop=["firing_id"]))
    assert finding.severity is Severity.PROBLEM
    assert "every piece counts as a firing of its own" in finding.message
    assert "intervals come out too narrow" in finding.message


def test_an_empty_firing_column_gives_way_to_the_date(twelve):
    log = twelve({"firing_id": [None] * 24, "fired_on": ["2025-03-01"] * 24})
    (finding,) = check_firing_column(log)
    assert "pieces of the same date" in finding.message


def test_a_panel_is_spoken_of_in_its_own_words(twelve, codebook):
    panel = replace(codebook, cluster_word="judge", piece_word="glass")
    (finding,) = check_firing_column(twelve(drop=["firing_id"], codebook=panel))
    assert "No column names the judge" in finding.message
    assert "every glass counts as a judge" in finding.message


def test_pieces_without_a_firing_are_named(make_log):
    log = make_log({"firing_id": ["A", None, "A", None], "luster": [1, 2, 3, 4]})
    (finding,) = check_blank_firings(log)
    assert finding.rows == (3, 5)
    assert finding.message.startswith("log.csv, column firing_id: rows 3 and 5 name no firing.")
    assert "Write the firing" in finding.advice


def test_a_firing_written_but_unusable_is_not_called_blank(make_log):
    log = make_log(
        {"firing_id": ["A", None], "luster": [1, 2]},
        written={("firing_id", 1): "?"},
        unusable={("firing_id", 1): "not a name"},
    )
    assert check_blank_firings(log) == ()


def test_blank_firings_are_not_looked_for_where_no_column_names_them(twelve):
    assert check_blank_firings(twelve(drop=["firing_id"])) == ()


@pytest.mark.parametrize(
    ("number", "severity"), [(5, Severity.WARNING), (6, Severity.NOTE), (11, Severity.NOTE)]
)
def test_few_firings_weigh_by_the_methods_floors(make_log, number, severity):
    (finding,) = check_few_firings(log_of(make_log, [4] * number))
    assert ("few_firings", severity) == (finding.code, finding.severity)
    assert f"The log holds {number} firings." in finding.message


def test_twelve_firings_are_enough_to_say_nothing(make_log):
    assert check_few_firings(log_of(make_log, [4] * 12)) == ()


def test_of_a_single_firing_no_comparison_is_promised(make_log):
    (finding,) = check_few_firings(log_of(make_log, [4]))
    assert finding.message == (
        "The log holds 1 firing. Nothing can be told from one firing's luck, so nothing is "
        "compared."
    )


def test_under_six_firings_no_interval_is_promised(make_log):
    (finding,) = check_few_firings(log_of(make_log, [4, 4]))
    assert "The log holds 2 firings." in finding.message
    assert "no intervals and no verdict beyond 'cannot tell yet'" in finding.message


def test_firings_of_one_piece_each_are_said_once(make_log):
    (finding,) = check_firing_sizes(log_of(make_log, [1] * 8))
    assert finding.code == "one_piece_firings"
    assert "Every firing holds one piece." in finding.message


def test_single_firings_of_one_piece_are_named(make_log):
    (finding,) = check_firing_sizes(log_of(make_log, [4, 1, 4, 1]))
    assert "2 firings of 4 hold one piece only: 'F2' and 'F4'." in finding.message


def test_equal_firings_need_no_word(make_log):
    assert check_firing_sizes(log_of(make_log, [4, 4, 5, 3])) == ()


def test_a_far_larger_firing_is_named(make_log):
    (finding,) = check_firing_sizes(log_of(make_log, [4, 4, 4, 12]))
    assert finding.code == "unequal_firings"
    assert "'F4' holds 12 pieces, half of the firings hold 4 or fewer" in finding.message


def test_fewer_rows_than_pieces_loaded_is_named_with_its_danger(make_log):
    log = log_of(make_log, [3, 2], pieces_loaded=[3, 3, 3, 6, None])
    (finding,) = check_loaded_counts(log)
    assert (finding.code, finding.rows) == ("fewer_pieces_than_loaded", (5, 6))
    assert "firing 'F2': 6 loaded, 2 rows" in finding.message
    assert "survivors only" in finding.message
    assert "broken" in finding.advice


def test_more_rows_than_pieces_loaded_is_named(make_log):
    (finding,) = check_loaded_counts(log_of(make_log, [3], pieces_loaded=[2, 2, 2]))
    assert finding.code == "more_pieces_than_loaded"
    assert "firing 'F1': 2 loaded, 3 rows" in finding.message


def test_as_many_rows_as_pieces_loaded_needs_no_word(make_log):
    assert check_loaded_counts(log_of(make_log, [3, 2], pieces_loaded=[3, 3, 3, 2, 2])) == ()


def test_pieces_loaded_is_not_compared_where_no_column_names_the_firing(make_log):
    assert check_loaded_counts(make_log({"pieces_loaded": [5, 5], "luster": [1, 2]})) == ()


DAYS = ["2025-05-01", "2025-05-01", "2025-05-09", "2025-05-09"]


def log_of_days(make_log, days, **more):
    """A log by dates in which those without a year could not be read."""
    unread = {("fired_on", i): day for i, day in enumerate(days) if "20" not in day}
    return make_log(
        {
            "fired_on": [None if "20" not in day else day for day in days],
            "luster": [i % 5 for i in range(len(days))],
        },
        written=unread,
        unusable=dict.fromkeys(unread, "this date has no year"),
        **more,
    )


def test_dates_that_cannot_be_read_are_to_settle_first(make_log):
    log = log_of_days(make_log, ["2025-05-01", "Fri 9 May", "Fri 9 May", "Sun 18 May"])
    (finding,) = check_unread_firings(log)
    assert (finding.code, finding.severity) == ("unread_firing", Severity.PROBLEM)
    assert finding.rows == (3, 4, 5)
    assert finding.message.startswith(
        "log.csv, column fired_on: the date of 3 pieces cannot be read, from row 3 on: "
        "'Fri 9 May' (2 rows) and 'Sun 18 May' (1 row). Expected the date of every piece"
    )
    assert "such as 2025-03-04 or 4 March 2025" in finding.advice


def test_dates_that_can_be_read_have_nothing_to_settle(make_log):
    assert check_unread_firings(log_of_days(make_log, DAYS)) == ()


def test_a_blank_date_is_not_called_unreadable(make_log):
    log = make_log({"fired_on": ["2025-05-01", None], "luster": [1, 2]})
    assert check_unread_firings(log) == ()


def test_a_firing_that_cannot_be_read_is_to_settle_first_too(make_log):
    log = make_log(
        {"firing_id": ["A", None], "luster": [1, 2]},
        written={("firing_id", 1): "?!"},
        unusable={("firing_id", 1): "not a name"},
    )
    (finding,) = check_unread_firings(log)
    assert "the firing of 1 piece cannot be read" in finding.message


def test_no_dates_are_asked_for_where_the_firings_are_named(make_log):
    log = make_log(
        {"firing_id": ["A", "B"], "fired_on": [None, None], "luster": [1, 2]},
        written={("fired_on", 0): "9 May"},
        unusable={("fired_on", 0): "this date has no year"},
    )
    assert check_unread_firings(log) == ()


def test_unreadable_dates_part_the_pieces_as_readable_ones_do(make_log):
    bare = [f"{int(day[-2:])} May" for day in DAYS]
    read, unread = log_of_days(make_log, DAYS), log_of_days(make_log, bare)
    assert list(pieces_per_firing(read).values()) == [2, 2]
    assert pieces_per_firing(unread) == {"1 May": 2, "9 May": 2}


def test_one_unreadable_text_in_two_files_is_two_firings(make_log):
    log = log_of_days(make_log, ["3", "3", "3"], files=["march.csv", "march.csv", "april.csv"])
    assert pieces_per_firing(log) == {"3 in march.csv": 2, "3 in april.csv": 1}


def test_a_ditto_mark_below_an_unreadable_date_is_of_its_firing(make_log):
    log = log_of_days(make_log, ["9 May", '"', "18 May", '"', '"'])
    assert pieces_per_firing(log) == {"9 May": 2, "18 May": 3}


def test_a_ditto_mark_with_nothing_above_stays_without_a_firing(make_log):
    log = log_of_days(make_log, ['"', "9 May"])
    assert firing_labels(log).tolist() == [None, "9 May"]


def test_a_mark_for_nothing_names_no_firing(make_log):
    log = make_log({"firing_id": ["A", None], "luster": [1, 2]}, written={("firing_id", 1): "-"})
    (finding,) = check_blank_firings(log)
    assert finding.rows == (3,)
