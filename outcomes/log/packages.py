"""Zip packages: which are workbooks, and which of those may be unpacked."""

import io
import zipfile
import zlib
from collections.abc import Sequence

from outcomes.errors import LogError
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits

AS_CSV = "Save the log as CSV (UTF-8) or as .xlsx and give that file."
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, ValueError, OSError, RuntimeError)
_START = 4096  # bytes; a document type declaration stands before anything else


def refuse_kind(name: str, what: str, advice: str) -> str:
    """Return the message for a file of another kind."""
    return (
        f"{name} is {what}, expected a table as CSV, TSV, XLSX or Parquet with a header row of "
        f"column names. {advice}"
    )


def check_package(data: bytes, name: str, *, limits: FileLimits = DEFAULT_LIMITS) -> None:
    """Refuse a zip package that is no workbook or would unpack to too much; unpack nothing.

    Raises
    ------
    LogError
        Naming what was found.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            parts = package.infolist()
            check_parts(parts, name, limits=limits)
            declared = [part.filename for part in parts if _declares_entities(package, part)]
    except _DAMAGED as error:
        raise LogError(
            f"{name} is a damaged or half-downloaded workbook or zip archive ({error}). Open it "
            "in a spreadsheet program and save it again, or download it again."
        ) from error
    if declared:
        raise LogError(
            f"{name} declares entities of its own in {declared[0]}, which no spreadsheet program "
            "does and which can blow a file up; it was not opened. Copy the log's cells into a "
            "new workbook, or save the sheet as CSV."
        )


def check_parts(parts: Sequence[zipfile.ZipInfo], name: str, *, limits: FileLimits) -> None:
    """Refuse a list of parts that is no workbook's, or is too large.

    Raises
    ------
    LogError
        Naming what was found.
    """
    names = {part.filename for part in parts}
    if "xl/workbook.xml" not in names:
        raise LogError(_refusal_of_package(names, name))
    unpacked = sum(part.file_size for part in parts)
    if unpacked > limits.unpacked_bytes or len(parts) > limits.packed_parts:
        raise LogError(_too_much(name, unpacked, len(parts), limits))
    for part in parts:
        dense = part.file_size > limits.unpacked_ratio * max(part.compress_size, 1)
        if dense and part.file_size > limits.ratio_matters_from:
            raise LogError(_too_much(name, unpacked, len(parts), limits))


def _declares_entities(package: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Say whether an XML part begins with a document type declaration."""
    if not part.filename.endswith((".xml", ".rels")):
        return False
    with package.open(part) as opened:
        return b"<!DOCTYPE" in opened.read(_START).replace(b"\x00", b"").upper()


def _too_much(name: str, unpacked: int, parts: int, limits: FileLimits) -> str:
    return (
        f"{name} would unpack to {unpacked:,} bytes in {parts:,} parts, far more than a firing "
        f"log needs (limits: {limits.unpacked_bytes:,} bytes, {limits.packed_parts:,} parts, "
        f"{limits.unpacked_ratio} times its packed size); it was not opened. Copy the log's "
        "cells into a new workbook, or save the sheet as CSV."
    )


def _refusal_of_package(names: set[str], name: str) -> str:
    if "xl/workbook.bin" in names:
        return refuse_kind(name, "a binary workbook (.xlsb)", AS_CSV)
    if "word/document.xml" in names:
        return refuse_kind(name, "a text document (.docx)", AS_CSV)
    if "content.xml" in names:
        return refuse_kind(name, "an OpenDocument file (.ods or .odt)", AS_CSV)
    if any(part.startswith("Index/") for part in names):
        return refuse_kind(name, "a Numbers or Pages document", AS_CSV)
    return refuse_kind(name, "a zip archive", "Unpack it first and give the file inside.")
