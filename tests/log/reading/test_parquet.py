"""Parquet files: typed columns come in as text like everything else."""

import builtins
import datetime as dt
import io
from collections.abc import Callable
from dataclasses import replace

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from outcomes.errors import LogError
from outcomes.log.file_limits import DEFAULT_LIMITS
from outcomes.log.files import FileBytes
from outcomes.log.parquet import read_parquet


def parquet_of(columns: dict[str, list[object]]) -> bytes:
    held = io.BytesIO()
    pq.write_table(pa.table(columns), held)
    return held.getvalue()


COLUMNS: dict[str, list[object]] = {
    "firing_id": ["007", "7", None],
    "fired_on": [dt.date(2025, 4, 1), dt.date(2025, 4, 8), None],
    "pull_temp_f": [1850, 1800, None],
    "air_temp_c": [0.1 + 0.2, float("nan"), None],
    "cracked": [True, False, None],
    "luster": [3, 4, None],
}


def file_of(data: bytes) -> FileBytes:
    return FileBytes(name="log.parquet", data=data, sha256="", kind="parquet")


def test_typed_columns_are_read_as_their_values(read: Callable) -> None:
    log = read(parquet_of(COLUMNS), "log.parquet")
    assert ["007", "7"] == log.values["firing_id"].tolist()
    assert ["2025-04-01", "2025-04-08"] == [str(day)[:10] for day in log.values["fired_on"]]
    assert 1010.0 == log.values["pull_temp_c"][0]
    assert ("0.3", "blank") == (log.written["air_temp_c"][0], log.how["air_temp_c"][1])
    assert [1.0, 0.0] == log.values["cracked"].tolist()
    assert [3.0, 4.0] == log.values["luster"].tolist()


def test_rows_count_from_the_header_and_empty_ones_are_no_rows(read: Callable) -> None:
    log = read(parquet_of(COLUMNS), "log.parquet")
    assert ([2, 3], 2) == (log.origin["row"].tolist(), log.account.rows_read)
    assert ("parquet", "") == (log.files[0].kind, log.files[0].encoding)


def test_a_damaged_file_is_refused() -> None:
    with pytest.raises(LogError, match=r"log\.parquet is a damaged Parquet file"):
        read_parquet(file_of(parquet_of(COLUMNS)[:-20]))


@pytest.mark.parametrize(
    ("limit", "at", "message"),
    [
        ("rows", 3, "has 3 rows, more than the 2"),
        ("columns", 6, "has 6 columns, more than the 5"),
    ],
)
def test_limits_are_checked_before_anything_is_unpacked(limit: str, at: int, message: str) -> None:
    file = file_of(parquet_of(COLUMNS))
    assert 3 == len(read_parquet(file, limits=replace(DEFAULT_LIMITS, **{limit: at})).rows)
    with pytest.raises(LogError, match=message):
        read_parquet(file, limits=replace(DEFAULT_LIMITS, **{limit: at - 1}))


def test_unpacked_bytes_at_the_edge() -> None:
    file = file_of(parquet_of(COLUMNS))
    about = pq.ParquetFile(io.BytesIO(file.data)).metadata
    size = sum(about.row_group(i).total_byte_size for i in range(about.num_row_groups))
    assert 3 == len(read_parquet(file, limits=replace(DEFAULT_LIMITS, unpacked_bytes=size)).rows)
    with pytest.raises(LogError, match="it was not opened"):
        read_parquet(file, limits=replace(DEFAULT_LIMITS, unpacked_bytes=size - 1))


def test_a_missing_library_is_named_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: object, **more: object) -> object:
        if name.startswith("pyarrow"):
            raise ImportError(name)
        return real(name, *rest, **more)  # type: ignore[arg-type]

    data = parquet_of(COLUMNS)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(LogError, match="Run `pip install pyarrow`, or save the log as CSV"):
        read_parquet(file_of(data))
