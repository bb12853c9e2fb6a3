"""A DataFrame -> a grid of text, the column names being row 1."""

import hashlib
from datetime import date, datetime

import numpy as np
import pandas as pd

from outcomes.errors import LogError
from outcomes.log.firing_log import SourceFile
from outcomes.log.tables import Grid, Row
from outcomes.log.workbook_cells import text_of_cell

NAME = "DataFrame"


def build_grid(frame: pd.DataFrame) -> Grid:
    """Return a DataFrame as a file's grid of text: what was typed is read by the same rules.

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        One row a piece. Its first row is called row 2, as in a spreadsheet with a header; its
        index is not read. It is not changed.

    Raises
    ------
    LogError
        When it has no column or no row.

    Examples
    --------
    >>> build_grid(pd.DataFrame({"Glaze": ["Tarn", None], "Luster": [3.0, 2.0]})).rows
    ((1, ('Glaze', 'Luster')), (2, ('Tarn', '3')), (3, ('', '2')))
    """
    if frame.empty:
        raise LogError(
            f"{NAME}: found {frame.shape[0]} rows and {frame.shape[1]} columns. Expected one row a "
            "piece and a column for each thing written down. Read the file into it again."
        )
    rows: list[Row] = [(1, tuple(str(name) for name in frame.columns))]
    for number, cells in enumerate(frame.itertuples(index=False, name=None), start=2):
        texts = tuple(_text_of(cell) for cell in cells)
        rows += [(number, texts)] if any(texts) else []
    digest = hashlib.sha256(repr(rows).encode("utf-8", "backslashreplace")).hexdigest()
    source = SourceFile(name=NAME, sha256=digest, kind="table", header_row=0)
    return Grid(source=source, rows=tuple(rows))


def _text_of(cell: object) -> str:
    """Return a cell as a spreadsheet would show it; "" for every way to write missing."""
    if cell is None or cell is pd.NA or cell is pd.NaT or cell != cell:  # noqa: PLR0124 - NaN
        return ""
    value = cell.item() if isinstance(cell, np.generic) else cell
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    return text_of_cell(value)
