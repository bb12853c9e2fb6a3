"""What a maker takes to the kiln: blank logs, the grading card and the log's schema."""

import csv
import io
import os
from collections.abc import Mapping
from pathlib import Path

from outcomes.errors import ReportError
from outcomes.log.codebook import Codebook
from outcomes.report.sheet_card import render_card
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_log import render_log_sheet
from outcomes.report.sheet_packing import pack_workbook
from outcomes.report.sheet_schema import render_schema
from outcomes.report.sheet_workbook import build_workbook

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
    ReportError
        When a log of that name with anything in it would be written over, or the disk
        refuses. Nothing has been written then.
    """
    sheets = build_sheets(codebook)
    _refuse_filled_logs(sheets, folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return _write_all(sheets, folder)
    except OSError as error:
        raise ReportError(
            f"{folder}: the sheets could not be written ({error.strerror or error}). Expected a "
            "folder of yours with room in it. Name another one with --out."
        ) from error


def _refuse_filled_logs(sheets: Mapping[str, bytes], folder: Path) -> None:
    """Refuse to write a blank log over one that somebody may have filled in."""
    for name in (LOG_CSV, LOG_XLSX):
        path = folder / name
        if path.exists() and not (path.is_file() and path.read_bytes() == sheets[name]):
            raise ReportError(
                f"{path}: found a file of that name that is not the blank log. Expected none, as "
                "a filled log is never written over. Name another folder with --out, or rename "
                "that file. Nothing was written."
            )


def _write_all(sheets: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write every file beside its place first, then put all of them in place."""
    staged = {folder / name: folder / f".{name}.part" for name in sheets}
    try:
        for path, part in staged.items():
            part.write_bytes(sheets[path.name])
        for path, part in staged.items():
            os.replace(part, path)
    finally:
        for part in staged.values():
            part.unlink(missing_ok=True)
    return tuple(staged)
