"""Positions become the maker's files, rows and headers."""

import numpy as np

from outcomes.finding import Severity
from outcomes.log.places import (
    CellWords,
    about_cells,
    header_of,
    list_cells,
    list_rows,
    rows_at,
    split_by_file,
)


def two_files(make_log):
    return make_log(
        {"luster": [0, 1, 2, 3, 4, 0]},
        files=["b.csv"] * 2 + ["a.csv"] * 4,
        headers={"luster": "Lustre"},
    )


def test_rows_are_those_of_the_sheet_sorted_and_each_once(make_log):
    assert rows_at(two_files(make_log), [3, 0, 1]) == (2, 3)


def test_files_keep_the_order_they_were_given_in(make_log):
    split = split_by_file(two_files(make_log), np.array([0, 3, 5]))
    assert [(name, at.tolist()) for name, at in split] == [("b.csv", [0]), ("a.csv", [3, 5])]


def test_a_header_is_the_one_typed_and_else_the_canonical_name(make_log):
    log = two_files(make_log)
    assert (header_of(log, "luster"), header_of(log, "glaze")) == ("Lustre", "glaze")


def test_at_most_five_rows_are_listed():
    assert list_rows((2, 3, 4, 5, 6)) == "rows 2, 3, 4, 5 and 6"
    assert list_rows((2, 3, 4, 5, 6, 7)) == "rows 2, 3, 4, 5, 6 and 1 more"


def test_at_most_five_cells_are_listed(make_log):
    log = make_log({"luster": [0, 1, 2, 3, 4, 0, 1]})
    expected = "row 2 '0', row 3 '1', row 4 '2', row 5 '3', row 6 '4' and 2 more"
    assert expected == list_cells(log, np.arange(7), "luster")


def test_cells_of_two_files_make_two_findings_worded_by_their_file(make_log):
    first, second = about_cells(
        two_files(make_log),
        np.array([1, 4]),
        column="luster",
        code="odd",
        severity=Severity.NOTE,
        words=lambda file: CellWords(case="odd", expected=f"See {file}.", advice="Look."),
    )
    assert first.message == "b.csv, column Lustre: 1 cell odd: row 3 '1'. See b.csv."
    assert (
        second.file,
        second.rows,
        second.column,
        second.advice,
    ) == ("a.csv", (4,), "Lustre", "Look.")


def test_no_position_makes_no_finding(make_log):
    none = about_cells(
        two_files(make_log),
        np.array([], dtype=np.int64),
        column="luster",
        code="odd",
        severity=Severity.NOTE,
        words=lambda file: CellWords(case="", expected="", advice=""),
    )
    assert none == ()
