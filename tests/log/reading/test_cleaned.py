"""The cleaned table: reads straight back, and no spreadsheet takes it for a formula."""

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.log.cleaned import build_cleaned_table, neutralise_cell
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.formula_guard import strip_guard
from outcomes.log.reading import read_log

Rows = list[dict[str, str]]
Typed = Callable[..., str]
MESSY = {
    (2, "seconds_to_can"): "~30",
    (3, "seconds_to_can"): "1'30\"",
    (4, "seconds_to_can"): "a few",
    (5, "pull_temp_f"): "985 C",
    (6, "fired_on"): "4 March 2025",
    (7, "maker"): "same",
    (8, "luster"): "meh",
    (9, "combustible_g"): "2-3 oz",
    (10, "glaze"): "=cmd()",
    (11, "notes"): "- hot, and @odd",
    (12, "piece_id"): "007",
    (13, "air_temp_c"): "-3.5",
}


def read_back(log: FiringLog, tmp_path: Path, codebook: Codebook) -> FiringLog:
    """Write the cleaned table as the export does and read it again."""
    table = build_cleaned_table(log).map(neutralise_cell)
    table.to_csv(tmp_path / "cleaned.csv", index=False, encoding="utf-8")
    return read_log([tmp_path / "cleaned.csv"], codebook)


def test_it_reads_straight_back(
    tmp_path: Path, codebook: Codebook, read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, MESSY))
    again = read_back(log, tmp_path, codebook)
    pd.testing.assert_frame_equal(log.values, again.values)
    assert 0 == len(again.unusable)
    assert [str(row) for row in log.origin["row"]] == again.aside["source_row"].tolist()


def test_a_second_export_is_the_same(
    tmp_path: Path, codebook: Codebook, read: Callable, type_text: Typed, plain: Rows
) -> None:
    once = build_cleaned_table(read(type_text(plain, MESSY)))
    twice = build_cleaned_table(read_back(read(type_text(plain, MESSY)), tmp_path, codebook))
    shared = [column for column in once.columns if not column.startswith("source_")]
    assert once[shared].equals(twice[shared])


def test_headers_stay_as_typed_where_they_say_the_same(read: Callable) -> None:
    log = read("Firing ID,Pull_Temp_F,lustre,To can (min),glaze,x\nV1,1850,3,0.5,Moth,y\n")
    table = build_cleaned_table(log)
    expected = ["Firing ID", "glaze", "Pull_Temp_F", "seconds_to_can", "luster", "x"]
    assert ["source_file", "source_row", *expected] == list(table.columns)
    assert ["log.csv", "2", "V1", "Moth", "1850", "30", "3", "y"] == table.iloc[0].tolist()


def test_files_that_differ_in_scale_share_the_base_unit(tmp_path: Path, codebook: Codebook) -> None:
    (tmp_path / "a.csv").write_text("firing_id,pull_temp_f,luster\nV1,1850,3\n")
    (tmp_path / "b.csv").write_text("firing_id,pull_temp_c,luster\nV2,985,3\n")
    table = build_cleaned_table(read_log([tmp_path / "a.csv", tmp_path / "b.csv"], codebook))
    assert ["1010", "985"] == table["pull_temp_c"].tolist()


def test_a_column_aside_never_takes_another_columns_place(read: Callable) -> None:
    log = read("source_row,firing_id,luster,Luster\n9,V1,3,4\n")
    table = build_cleaned_table(log)
    assert ["2", "9"] == [table["source_row"][0], table["source_row (2)"][0]]
    assert ("3", "4") == (table["luster"][0], table["Luster"][0])


def test_rows_set_aside_are_not_in_it(read: Callable, type_text: Typed, plain: Rows) -> None:
    table = build_cleaned_table(read(type_text(plain) + "Total,,,,,,99,,,,,,\n"))
    assert [str(row) for row in range(2, 22)] == table["source_row"].tolist()


@pytest.mark.parametrize(
    "typed",
    [
        *("=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "  =1", "＝1", "＠x"),
        *("－x", "＋x", "-", "\u200b=1", "\n=1"),
    ],
)
def test_what_a_spreadsheet_would_run_is_neutralised(typed: str) -> None:
    assert f"'{typed}" == neutralise_cell(typed)
    assert typed == strip_guard(neutralise_cell(typed))


@pytest.mark.parametrize(
    "typed", ["-3", "-3,5", "+4.25", "-1e-7", "3", "", "Moth", "'twas", "a=b", '6" bowl']
)
def test_plain_numbers_and_words_are_left_alone(typed: str) -> None:
    assert typed == neutralise_cell(typed)
    assert typed == strip_guard(typed)


@given(st.text(max_size=12))
def test_neutralising_is_undone_and_is_not_done_twice(typed: str) -> None:
    safe = neutralise_cell(typed)
    assert safe == neutralise_cell(safe)
    if not typed.startswith("'"):
        assert typed == strip_guard(safe)


@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    names=st.lists(st.text(alphabet="aB7 =-+@'\"éß½,;#.", max_size=6), min_size=3, max_size=3),
    temperature=st.integers(14_000, 19_400),
    seconds=st.floats(0.001, 600),
)
def test_any_names_and_numbers_come_back(
    tmp_path: Path,
    codebook: Codebook,
    read: Callable,
    names: list[str],
    temperature: int,
    seconds: float,
) -> None:
    cells = [names[0], names[1], f"{temperature / 10:g}", f"{seconds!r}", "3", names[2]]
    quoted = ['"{}"'.format(cell.replace('"', '""')) for cell in cells]
    header = "firing_id,glaze,pull_temp_f,seconds_to_can,luster,notes"
    log = read(f"{header}\n{','.join(quoted)}\n")
    again = read_back(log, tmp_path, codebook)
    pd.testing.assert_frame_equal(log.values, again.values)
