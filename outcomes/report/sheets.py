"""What a maker takes to the kiln: blank logs, the grading card and the log's schema."""

import csv
import io
from pathlib import Path

from outcomes.errors import ReportError
from outcomes.log.codebook import Codebook
from outcomes.report.filled import refuse_filled
from outcomes.report.sheet_card import render_card
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_log import render_log_sheet
from outcomes.report.sheet_packing import pack_workbook
from outcomes.report.sheet_schema import render_schema
from outcomes.report.sheet_workbook import build_workbook
from outcomes.report.single_file import write_files

LOG_CSV = "log.csv"
LOG_XLSX = "log.xlsx"
GRADING_CARD = "grading_card.html"
LOG_SCHEMA = "log-schema.json"
LOG_SHEET = "log_sheet.html"


def build_sheets(codebook: Codebook) -> dict[str, bytes]:
    """Return the sheets made from a codebook, by file name; the same bytes every time."""
    return {
        LOG_CSV: build_blank_csv(codebook),
        LOG_XLSX: pack_workbook(build_workbook(codebook)),
        GRADING_CARD: render_card(codebook).encode(),
        LOG_SCHEMA: render_schema(codebook).encode(),
        LOG_SHEET: render_log_sheet(codebook).encode(),
    }


def build_blank_csv(codebook: Codebook) -> bytes:
    """Return a CSV file that holds the header line only (RFC 4180, UTF-8)."""
    text = io.StringIO(newline="")
    csv.writer(text).writerow(column.name for column in build_columns(codebook))
    header = text.getvalue()
    # Without the mark, spreadsheet programs misread headers beyond ASCII.
    return header.encode("ascii" if header.isascii() else "utf-8-sig")


def write_sheets(codebook: Codebook, folder: Path) -> tuple[Path, ...]:
    """Write the blank logs (CSV, XLSX, paper), the grading card and the schema into a folder.

    Parameters
    ----------
    codebook
        What the sheets are made from.
    folder
        Made when it does not exist; other files in it are left alone.

    Returns
    -------
    tuple of Path
        The files written.

    Raises
    ------
    ReportError, RequestError
        When a log of that name with anything in it would be written over, or the disk
        refuses. Nothing has been written then.
    """
    sheets = build_sheets(codebook)
    logs = {name: sheets[name] for name in (LOG_CSV, LOG_XLSX)}
    refuse_filled(logs, folder, what="the blank log", option="--out")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_files(sheets, folder)
    except OSError as error:
        raise ReportError(
            f"{folder}: the sheets could not be written ({error.strerror or error}). Expected a "
            "folder of yours with room in it. Name another one with --out."
        ) from error
    return tuple(folder / name for name in sheets)
