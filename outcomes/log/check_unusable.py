"""Which cells were written but could not be used, so that none is lost without a word."""

import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.expectations import describe_expected
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import MOST_CELLS
from outcomes.log.quoting import list_words, quote_text, show_text

UNUSABLE = "unusable_cell"
# A column of free text can give every cell a reason of its own; then reasons go by the cell.
MOST_REASONS = 6


def check_unusable(log: FiringLog) -> tuple[Finding, ...]:
    """Return one finding per file, column and reason for the cells that reading set aside.

    Cells a finding of the reading already names (its column and row) are not said twice; whole
    rows (no column) are the row account's.
    """
    cells = log.unusable[~_is_told(log) & (log.unusable["column"] != "")]
    found: list[Finding] = []
    for _, column in cells.groupby(["file", "column"], sort=False):
        if column["reason"].nunique() <= MOST_REASONS:
            found += [_gather(log, group) for _, group in column.groupby("reason", sort=False)]
        else:
            found.append(_gather(log, column))
    return tuple(found)


def column_of_header(log: FiringLog, header: str, *, file: str) -> str:
    """Return the canonical column a typed header was matched to in a file, "" for none."""
    for match in log.headers:
        if match.written == header and match.file == file and match.column:
            return match.column
    return ""


def _gather(log: FiringLog, cells: pd.DataFrame) -> Finding:
    """Word cells of one column of one file: how many, which, what was expected, what to do."""
    file, header = str(cells["file"].iloc[0]), str(cells["column"].iloc[0])
    name = column_of_header(log, header, file=file)
    expected = describe_expected(log, name, file=file)
    empty = "" if name == log.codebook.date else ", or leave the cell empty when nobody looked"
    count = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
    message = (
        f"{show_text(file)}, column {show_text(header)}: {count} set aside: {_list_cells(cells)}"
    )
    return Finding(
        code=UNUSABLE,
        severity=Severity.WARNING,
        message=f"{message} Expected {expected}." if expected else message,
        advice=f"Write what was meant{empty}.",
        column=header,
        rows=tuple(sorted({int(row) for row in cells["row"]})),
        file=file if len(log.files) > 1 else None,
    )


def _list_cells(cells: pd.DataFrame) -> str:
    """List the cells, a shared reason once behind them, different reasons cell by cell."""
    few = cells.head(MOST_CELLS)
    reasons = [show_text(str(reason)).rstrip(".") for reason in few["reason"]]
    listed = [
        f"row {row} {quote_text(str(text))}"
        for row, text in zip(few["row"], few["written"], strict=True)
    ]
    if cells["reason"].nunique() == 1:
        reason = reasons[0][:1].upper() + reasons[0][1:]
        return f"{list_words(listed, total=len(cells))}. {reason}."
    each = [f"{cell} ({reason})" for cell, reason in zip(listed, reasons, strict=True)]
    return f"{list_words(each, total=len(cells))}."


def _is_told(log: FiringLog) -> "pd.Series[bool]":
    """Whether a finding of the reading already names each unusable cell."""
    told = {
        (finding.file, finding.column, row)
        for finding in log.findings
        if finding.severity is not Severity.NOTE
        for row in finding.rows
    }
    cells = zip(log.unusable["file"], log.unusable["column"], log.unusable["row"], strict=True)
    is_told = [
        (file, column, row) in told or (None, column, row) in told for file, column, row in cells
    ]
    return pd.Series(is_told, index=log.unusable.index, dtype=bool)
