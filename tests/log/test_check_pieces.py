"""Every row a piece of its own."""

import pytest

from outcomes.log.check_pieces import check_duplicate_ids, check_identical_rows


def test_a_clean_log_has_no_double(twelve):
    assert (check_duplicate_ids(twelve()), check_identical_rows(twelve())) == ((), ())


def test_a_number_used_twice_is_named_with_both_rows(twelve):
    ids = [f"p{i}" for i in range(24)]
    log = twelve({"piece_id": [*ids[:20], "p3", *ids[21:]]}, headers={"piece_id": "Pot #"})
    (finding,) = check_duplicate_ids(log)
    assert (finding.code, finding.rows) == ("duplicate_piece_id", (5, 22))
    assert finding.message == (
        "log.csv, column Pot #: the same piece stands in several rows: 'p3' in rows 5 and 22. "
        "Expected each piece once."
    )
    assert "give each its own number" in finding.advice


def test_numbers_that_restart_with_every_firing_are_no_doubles(twelve):
    assert check_duplicate_ids(twelve({"piece_id": ["1", "2"] * 12})) == ()


def test_a_number_used_twice_within_a_firing_is_found_where_numbers_restart(twelve):
    log = twelve({"piece_id": ["1", "2"] * 6 + ["1", "1"] + ["1", "2"] * 5})
    (finding,) = check_duplicate_ids(log)
    assert finding.rows == (14, 15)


def test_blank_numbers_are_no_doubles(twelve):
    assert (
        check_duplicate_ids(twelve({"piece_id": [None, None] + [f"p{i}" for i in range(22)]})) == ()
    )


def test_a_double_across_files_names_the_other_file(twelve):
    ids = [f"p{i}" for i in range(24)]
    log = twelve({"piece_id": [*ids[:20], "p3", *ids[21:]]}, files=["a.csv"] * 12 + ["b.csv"] * 12)
    first, second = check_duplicate_ids(log)
    assert (first.file, first.rows) == ("a.csv", (5,))
    assert (second.file, second.rows) == ("b.csv", (10,))
    assert "'p3' in row 5 and row 10 of b.csv" in first.message
    assert "'p3' in row 5 of a.csv and row 10" in second.message


@pytest.fixture
def copied(twelve):
    """Row 9 repeats row 4, piece number and all."""

    def make(drop=(), **more):
        clean = twelve(drop=drop)
        columns = {name: list(clean.values[name]) for name in clean.values}
        for values in columns.values():
            values[7] = values[2]
        return twelve(columns, drop=drop, **more)

    return make


def test_a_row_written_twice_is_a_copy_and_not_also_a_double_number(copied):
    log = copied()
    (finding,) = check_identical_rows(log)
    assert (finding.code, finding.rows) == ("identical_rows", (9,))
    assert "log.csv: row 9 repeats row 4, cell by cell." in finding.message
    assert "they count twice" in finding.advice
    assert check_duplicate_ids(log) == ()


def test_a_row_that_differs_in_a_column_kept_aside_is_no_copy(copied, make_log):
    log = copied()
    shelf = [str(i) for i in range(24)]
    columns = {name: list(log.values[name]) for name in log.values} | {"shelf": shelf}
    assert check_identical_rows(make_log(columns)) == ()


def test_alike_rows_without_piece_numbers_may_be_two_pieces(copied):
    assert check_identical_rows(copied(drop=["piece_id"])) == ()


def test_a_copy_in_another_file_names_the_file(copied):
    (finding,) = check_identical_rows(copied(files=["a.csv"] * 6 + ["b.csv"] * 18))
    assert (finding.file, finding.rows) == ("b.csv", (3,))
    assert "row 3 repeats row 4 of a.csv" in finding.message
