"""Rows that are no pieces are set aside with their text; pieces that look odd stay."""

import pytest

from outcomes.log.no_pieces import A_REMARK, ANOTHER_TABLE, NOTHING_WRITTEN
from outcomes.log.reading import read_log

HEAD = "firing,date,piece,glaze,seconds_to_can,luster\n"
ROWS = "F1,2025-03-01,1,Moss,8,3\nF1,2025-03-01,2,Tarn,9,2\n"


@pytest.fixture
def aside(tmp_path, codebook):
    """Row -> (reason, text) of what is set aside from a log with these lines at its end."""

    def read(more):
        (tmp_path / "log.csv").write_text(HEAD + ROWS + more, encoding="utf-8")
        account = read_log([tmp_path / "log.csv"], codebook).account
        return {row.row: (row.reason, row.written) for row in account.set_aside}

    return read


def test_a_table_below_a_blank_line_is_no_pieces(aside):
    found = aside("\nrecipe,frit,copper\nTarn,80,5\nMoss,75,0\n")
    assert {5: ANOTHER_TABLE, 6: ANOTHER_TABLE, 7: ANOTHER_TABLE} == {
        row: reason for row, (reason, _) in found.items()
    }
    assert "recipe | frit | copper" == found[5][1]


def test_a_sparse_firing_below_a_blank_line_stays(aside):
    assert {} == aside("\nF2,2025-03-08,1\nF2,,2,,,4\n")


def test_a_firing_whose_first_cell_cannot_be_read_stays(aside):
    assert {} == aside("\nF2,spring,1,Moss,a few,meh\nF2,2025-03-08,2,Tarn,7,1\n")


def test_the_same_rows_without_a_blank_line_stay(aside):
    assert {} == aside("recipe,frit,copper\nTarn,80,5\n")


def test_a_remark_is_no_piece_but_a_firing_may_begin_with_a_number_sign(aside):
    assert {4: (A_REMARK, "# hot | windy")} == aside("# hot,windy\n#12b,2025-03-08,1,Moss,7,3\n")


def test_a_row_of_names_alone_is_empty(aside):
    assert {4: (NOTHING_WRITTEN, "F2 | 2025-03-08")} == aside("F2,2025-03-08,,,,\n")
