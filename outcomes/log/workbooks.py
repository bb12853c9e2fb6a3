"""An XLSX workbook -> a grid of text with the sheet's own row numbers."""

import io
import re
import warnings
from collections.abc import Mapping, Sequence
from typing import Any

from openpyxl import load_workbook

from outcomes.errors import LogError
from outcomes.log.codebook import Codebook
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.files import FileBytes
from outcomes.log.firing_log import SourceFile
from outcomes.log.quoting import quote_text
from outcomes.log.sheet_choice import choose_sheet, note_choice
from outcomes.log.sheet_marks import SheetMarks, read_marks
from outcomes.log.sheet_merges import fill_merged, note_marks
from outcomes.log.tables import Grid
from outcomes.log.workbook_cells import NOT_COMPUTED, text_of_cell

SHEET_ROWS = 1_048_576
# How openpyxl names what it expected: "expected <class 'int'>".
_CLASS = re.compile(r"<class '(?:\w+\.)*(\w+)'>")


def read_workbook(
    file: FileBytes, codebook: Codebook, *, limits: FileLimits = DEFAULT_LIMITS
) -> Grid:
    """Read the sheet asked for, or the one that names most columns of the codebook.

    Raises
    ------
    LogError
        When the workbook is damaged, has no such sheet, or holds more than `limits`.
    """
    try:
        with warnings.catch_warnings():
            # openpyxl warns of drawings and drop-downs it leaves out; neither is data
            warnings.simplefilter("ignore")
            return _read(file, codebook, limits)
    except (LogError, MemoryError):
        raise
    except Exception as error:  # a damaged package raises anything, from KeyError to ParseError
        what = quote_text(_CLASS.sub(r"\1", str(error)))
        raise LogError(
            f"{file.name} is a damaged workbook, or not one a spreadsheet program wrote "
            f"({type(error).__name__}: {what}). Open it in a spreadsheet "
            "program, save it again as .xlsx, or save the sheet as CSV."
        ) from error


def _read(file: FileBytes, codebook: Codebook, limits: FileLimits) -> Grid:
    book = load_workbook(io.BytesIO(file.data), read_only=True, data_only=True)
    try:
        sheet, choice = choose_sheet(book, file, codebook)
        marks = read_marks(file.data, sheet.title)
        texts = _read_sheet(sheet, marks, name=file.name, limits=limits)
    finally:
        book.close()
    if len(texts) > limits.rows + 1:
        raise LogError(_too_many(file.name, "rows", len(texts) - 1, limits.rows))
    filled = fill_merged(texts, marks)
    source = SourceFile(
        name=file.name, sha256=file.sha256, kind="xlsx", header_row=0, sheet=sheet.title
    )
    width = max((len(cells) for cells in filled.rows.values()), default=0)
    rows = tuple(
        (number, (*cells, *[""] * (width - len(cells))))
        for number, cells in sorted(filled.rows.items())
    )
    return Grid(
        source=source,
        rows=rows,
        faults={(row, column - 1): NOT_COMPUTED for row, column in marks.uncomputed},
        findings=(*note_choice(choice, file), *note_marks(marks, filled, file.name)),
    )


def _read_sheet(
    sheet: Any, marks: SheetMarks, *, name: str, limits: FileLimits
) -> dict[int, list[str]]:
    """Stream a sheet's cells as text, by row number; rows without any are left out."""
    formulas: dict[int, dict[int, str]] = {}
    for (row, column), formula in marks.uncomputed.items():
        formulas.setdefault(row, {})[column] = formula
    rows: dict[int, list[str]] = {}
    sheet.reset_dimensions()  # a sheet may claim any size; only its cells count
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        if number > SHEET_ROWS or len(rows) > limits.rows + 1:
            raise LogError(_too_many(name, "rows", len(rows) - 1, limits.rows))
        texts = _show_formulas([_text_of(cell) for cell in cells], formulas.get(number, {}))
        if texts:
            _check_row(texts, number, name, limits)
            rows[number] = texts
    return rows


def _text_of(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    return value if isinstance(value, str) else text_of_cell(value, cell.number_format)


def _show_formulas(texts: Sequence[str], formulas: Mapping[int, str]) -> list[str]:
    """Return a row with its formulas without a result as typed, no blank cells at its end."""
    row = [*texts, *[""] * (max(formulas, default=0) - len(texts))]
    for column, formula in formulas.items():
        row[column - 1] = formula
    while row and not row[-1].strip():
        row.pop()
    return row


def _check_row(texts: Sequence[str], number: int, name: str, limits: FileLimits) -> None:
    if len(texts) > limits.columns:
        raise LogError(_too_many(name, "columns", len(texts), limits.columns))
    longest = max(map(len, texts))
    if longest > limits.cell_characters:
        raise LogError(
            f"{name} row {number} has a cell of {longest:,} characters, more than the "
            f"{limits.cell_characters:,} that are read. Shorten it."
        )


def _too_many(name: str, what: str, found: int, limit: int) -> str:
    return (
        f"{name} has {found:,} {what} or more, more than the {limit:,} that are read. Copy the "
        "log's own cells into a new workbook."
    )
