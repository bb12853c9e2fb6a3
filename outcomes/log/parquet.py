"""A Parquet file -> a grid of text, the header being row 1."""

import datetime as dt
import io
import math
from typing import Any

from outcomes.errors import LogError
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.files import FileBytes
from outcomes.log.firing_log import SourceFile
from outcomes.log.quoting import quote_text
from outcomes.log.tables import Grid, Row
from outcomes.log.workbook_cells import text_of_cell


def read_parquet(file: FileBytes, *, limits: FileLimits = DEFAULT_LIMITS) -> Grid:
    """Read a Parquet file's columns as text.

    Parameters
    ----------
    file
        Its bytes.
    limits
        Most rows, columns and unpacked bytes, checked before anything is unpacked.

    Raises
    ------
    LogError
        When it is damaged, too large, or pyarrow is not installed.
    """
    try:
        from pyarrow import ArrowException
        from pyarrow.parquet import ParquetFile
    except ImportError as error:
        raise LogError(
            f"{file.name} is a Parquet file, and the library that reads these is not installed. "
            "Run `pip install pyarrow`, or save the log as CSV."
        ) from error
    try:
        opened = ParquetFile(io.BytesIO(file.data))
        _check_size(opened, file.name, limits)
        columns = [_texts_of(column) for column in opened.read().columns]
        headers = tuple(str(name) for name in opened.schema_arrow.names)
    except MemoryError:  # pyarrow's own is an ArrowException as well
        raise
    except (ArrowException, OSError, ValueError) as error:
        raise LogError(
            f"{file.name} is a damaged Parquet file ({quote_text(str(error))}). Write it again, "
            "or save the log as CSV."
        ) from error
    rows: list[Row] = [(1, headers)]
    cells = zip(*columns, strict=True)
    rows += [(number, row) for number, row in enumerate(cells, start=2) if any(row)]
    source = SourceFile(name=file.name, sha256=file.sha256, kind="parquet", header_row=0)
    return Grid(source=source, rows=tuple(rows))


def _check_size(opened: Any, name: str, limits: FileLimits) -> None:
    about = opened.metadata
    if about.num_rows > limits.rows:
        raise LogError(
            f"{name} has {about.num_rows:,} rows, more than the {limits.rows:,} that are read at "
            "once. Keep one row per piece and leave out what is no piece."
        )
    if about.num_columns > limits.columns:
        raise LogError(
            f"{name} has {about.num_columns:,} columns, more than the {limits.columns:,} that are "
            "read. Keep the columns of the codebook only."
        )
    unpacked = sum(about.row_group(i).total_byte_size for i in range(about.num_row_groups))
    if unpacked > limits.unpacked_bytes:
        raise LogError(
            f"{name} would unpack to {unpacked:,} bytes, more than the {limits.unpacked_bytes:,} "
            "a firing log needs; it was not opened. Keep the columns of the codebook only."
        )


def _texts_of(column: Any) -> list[str]:
    """Return one column as text; distinct values are worded once."""
    seen: dict[Any, str] = {}
    texts = []
    for value in column.to_pylist():
        key = (type(value), value) if isinstance(value, str | int | float | bool) else None
        if key is None:
            texts.append(_text_of(value))
            continue
        if key not in seen:
            seen[key] = _text_of(value)
        texts.append(seen[key])
    return texts


def _text_of(value: object) -> str:
    if isinstance(value, float) and math.isnan(value):
        return ""
    if isinstance(value, bytes):
        return value.decode("utf-8", "backslashreplace")
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value.isoformat()
    return text_of_cell(value)
