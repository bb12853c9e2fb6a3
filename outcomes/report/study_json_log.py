"""The part of study.json that says how the log was read."""

import pandas as pd

from outcomes.log.firing_log import FiringLog, How, RowAccount


def build_account(account: RowAccount) -> dict[str, object]:
    """Return every row: read = used + set aside, each of these with its reason."""
    return {
        "rows_read": account.rows_read,
        "rows_used": account.rows_used,
        "set_aside": [
            {"file": row.file, "row": row.row, "reason": row.reason} for row in account.set_aside
        ],
    }


def build_log_entries(log: FiringLog) -> dict[str, object]:
    """Return files, headers, conversions and cells set aside."""
    return {
        "files": [
            {
                "name": file.name,
                "sha256": file.sha256,
                "kind": file.kind,
                "sheet": file.sheet or None,
                "header_row": file.header_row,
                "encoding": file.encoding or None,
                "delimiter": file.delimiter or None,
                "decimal": file.decimal or None,
            }
            for file in log.files
        ],
        "headers": [
            {
                "file": header.file,
                "written": header.written,
                "column": header.column,
                "unit": header.unit or None,
                "how": header.how,
            }
            for header in log.headers
        ],
        "conversions": [
            {"column": column, **counts} for column, counts in count_cells(log).items()
        ],
        "cells_set_aside": list_cells_aside(log.unusable),
    }


def list_cells_aside(unusable: pd.DataFrame) -> list[dict[str, object]]:
    """Return every cell that is written but not usable, from `FiringLog.unusable`."""
    return [
        {
            "file": str(cell.file),
            "row": int(str(cell.row)),
            "column": str(cell.column),
            "written": str(cell.written),
            "reason": str(cell.reason),
        }
        for cell in unusable.itertuples(index=False)
    ]


def count_cells(log: FiringLog) -> dict[str, dict[str, int]]:
    """Return, for every matched column, how many cells were read in which way.

    Every way of `How` is a key of every column, so that the counts of a column add up to the
    rows used.
    """
    counts: dict[str, dict[str, int]] = {}
    for column in log.how.columns:
        found = log.how[column].astype(str).value_counts().to_dict()
        counts[str(column)] = {str(how): found.get(str(how), 0) for how in How}
    return counts
