"""A log from which nothing can be learnt is refused with what would make it usable."""

import pytest

from outcomes.log.checks import refusal
from outcomes.log.refusal import refuse_log


def test_a_usable_log_is_not_refused(twelve):
    assert refusal(twelve(), ()) is None


def test_findings_alone_refuse_nothing(tiny_log):
    assert refusal(tiny_log, ()) is None


def test_a_log_without_outcome_says_what_was_seen_and_which_names_would_do(make_log):
    log = make_log({"shelf": [1, 2], "seconds_to_can": [5, 9]})
    assert refusal(log, ()) == (
        "Nothing can be learnt from log.csv: none of its headers names an outcome. Headers seen: "
        "'shelf' and 'seconds_to_can'. Name at least one column luster, crackle_density, "
        "color_shift or cracked and write a grade for every piece."
    )


def test_many_headers_are_counted_not_listed(make_log):
    refused = refusal(make_log({f"sensor_{i}": [1, 2] for i in range(3000)}), ())
    assert "'sensor_11' and 2988 more" in refused


def test_a_header_full_of_control_characters_is_spelled_out(make_log):
    refused = refusal(make_log({"\x1b[2J": [1, 2]}), ())
    assert "'\\x1b[2J'" in refused
    assert "\x1b" not in refused


def test_a_log_without_rows_is_refused(make_log):
    refused = refusal(make_log({"luster": [], "glaze": []}), ())
    assert "below its header there is no row. Headers seen: 'luster' and 'glaze'." in refused
    assert "Write one row for every piece, at least two, under the header." in refused


def test_a_log_whose_rows_were_all_set_aside_names_the_first_reason(make_log):
    log = make_log({"luster": [], "glaze": []}, set_aside=[(2, "it repeats the header.")])
    assert "1 row was read and none can be used (row 2: it repeats the header)." in refusal(log, ())


def test_one_piece_has_nothing_to_be_compared_with(make_log):
    refused = refusal(make_log({"luster": [3], "seconds_to_can": [5]}), ())
    assert "it holds one usable piece" in refused


def test_outcome_columns_without_a_grade_say_which_grades_would_do(make_log):
    refused = refusal(make_log({"luster": [None] * 3, "seconds_to_can": [5, 6, 7]}), ())
    assert "no piece carries a usable grade in 'luster'" in refused
    assert "for luster one of 0, 1, 2, 3 or 4" in refused


def test_grades_without_anything_done_are_refused(make_log):
    refused = refusal(make_log({"firing_id": ["A", "B"], "luster": [1, 2]}), ())
    assert "no column that says what was done to the pieces" in refused
    assert "Headers seen: 'firing_id' and 'luster'." in refused
    assert "Name at least one column glaze" in refused


def test_columns_of_settings_without_a_usable_cell_are_refused(make_log):
    refused = refusal(make_log({"seconds_to_can": [9999, 9999], "luster": [1, 2]}), ())
    assert "nothing usable is written in 'seconds_to_can'" in refused


def test_one_grade_for_everything_is_refused_with_that_grade(make_log):
    log = make_log(
        {"luster": [3, 3, 3], "cracked": ["no", None, "no"], "seconds_to_can": [5, 6, 7]}
    )
    refused = refusal(log, ())
    assert "(luster: 3 grades, always '3' and cracked: 2 grades, always 'no')" in refused
    assert "Log pieces of every grade" in refused


def test_one_outcome_that_differs_is_enough(make_log):
    log = make_log({"luster": [3, 3], "cracked": ["no", "yes"], "seconds_to_can": [5, 6]})
    assert refusal(log, ()) is None


def test_pieces_all_made_alike_are_refused(make_log):
    refused = refusal(
        make_log({"luster": [1, 3], "seconds_to_can": [5, 5], "glaze": ["a"] * 2}), ()
    )
    assert "never varies: 'seconds_to_can', 'glaze'" not in refused
    assert "was made alike" in refused
    assert "'glaze' and 'seconds_to_can'" in refused


def test_a_refusal_points_at_the_findings_where_there_are_some(make_log):
    log = make_log({"luster": [], "glaze": []})
    pointer = "The findings name the cells."
    assert pointer not in refuse_log(log, ())
    assert refuse_log(log, ["a finding"]).endswith(pointer)


@pytest.mark.parametrize("n_files", [2, 5])
def test_a_refusal_names_the_files(make_log, n_files):
    log = make_log({"shelf": [1] * n_files}, files=[f"part{i}.csv" for i in range(n_files)])
    assert "part0.csv" in refusal(log, ())
