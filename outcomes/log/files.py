"""A file on disk: its bytes, and what kind of log they hold (or why they hold none)."""

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from outcomes.errors import LogError
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.packages import AS_CSV, check_package, refuse_kind
from outcomes.log.quoting import show_text

Files: TypeAlias = str | Path | Sequence[str | Path]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileBytes:
    """A whole file in memory.

    ``kind`` is "csv" (any delimited text), "xlsx" or "parquet"; ``sheet`` is the worksheet
    asked for with ``file.xlsx#Sheet``, or "".
    """

    name: str
    data: bytes
    sha256: str
    kind: str
    sheet: str = ""


def list_paths(files: Files) -> list[Path]:
    """Return one path or several as several.

    >>> [path.name for path in list_paths("a.csv")], len(list_paths(["a.csv", "b.csv"]))
    (['a.csv'], 2)
    """
    return [Path(path) for path in ([files] if isinstance(files, str | Path) else files)]


_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_SIGNATURES: tuple[tuple[bytes, str, str], ...] = (
    (b"\x1f\x8b", "a gzip-compressed file", "Unpack it first and give the file inside."),
    (b"BZh", "a bzip2-compressed file", "Unpack it first and give the file inside."),
    (b"\xfd7zXZ\x00", "an xz-compressed file", "Unpack it first and give the file inside."),
    (b"7z\xbc\xaf\x27\x1c", "a 7-Zip archive", "Unpack it first and give the file inside."),
    (b"Rar!\x1a\x07", "a RAR archive", "Unpack it first and give the file inside."),
    (b"\x28\xb5\x2f\xfd", "a Zstandard-compressed file", "Unpack it first."),
    (b"%PDF-", "a PDF document", AS_CSV),
    (b"\x89PNG\r\n", "a PNG picture", "A photographed log has to be typed in first."),
    (b"\xff\xd8\xff", "a JPEG picture", "A photographed log has to be typed in first."),
    (b"GIF8", "a GIF picture", "A photographed log has to be typed in first."),
    (b"II*\x00", "a TIFF picture", "A photographed log has to be typed in first."),
    (b"MM\x00*", "a TIFF picture", "A photographed log has to be typed in first."),
    (b"{\\rtf", "a rich-text document", AS_CSV),
    (b"SQLite format 3\x00", "a SQLite database", "Export the table of pieces as CSV."),
)
_PAGE_STARTS = (
    *(b"<!doctype", b"<html", b"<head", b"<body", b"<table", b"<div", b"<meta", b"<script"),
    *(b"<title", b"<!--", b"<p>", b"<style"),
)


def read_file(path: Path, *, name: str = "", limits: FileLimits = DEFAULT_LIMITS) -> FileBytes:
    """Read one file whole and tell what kind of log it is.

    Parameters
    ----------
    path
        A file; ``log.xlsx#Sheet name`` asks for one sheet of a workbook.
    name
        What messages call it; "" means the file's own name.
    limits
        What is refused unread.

    Raises
    ------
    LogError
        When there is no such file, it is too large, empty, or no kind of table.
    """
    try:
        path, sheet = split_sheet(path)
        data = _read_bytes(path, limits)
    except OSError as error:
        raise LogError(
            f"{show_text(path.name)} cannot be read: {error.strerror}. Close it in other programs "
            "and check that you may open it."
        ) from error
    name = name or show_text(path.name)
    kind = tell_kind(data, name, limits=limits)
    if sheet and kind != "xlsx":
        raise LogError(
            f"{name}: a sheet {sheet!r} was asked for, but the file is not a workbook. "
            "Give the file's name without '#'."
        )
    digest = hashlib.sha256(data).hexdigest()
    return FileBytes(name=name, data=data, sha256=digest, kind=kind, sheet=sheet)


def split_sheet(path: Path) -> tuple[Path, str]:
    """Part ``log.xlsx#Sheet`` into the file and the sheet's name ("" when none is asked for).

    >>> split_sheet(Path("log.xlsx#Spring 2025"))[1]
    'Spring 2025'
    """
    if path.exists():
        return path, ""
    head, mark, sheet = str(path).rpartition("#")
    is_book = head.lower().endswith((".xlsx", ".xlsm"))
    return (Path(head), sheet) if mark and (is_book or Path(head).exists()) else (path, "")


def _read_bytes(path: Path, limits: FileLimits) -> bytes:
    name = show_text(path.name)
    if path.is_dir():
        raise LogError(
            f"{name} is a folder, expected a file. Give the log files inside it by name."
        )
    if not path.exists():
        raise LogError(
            f"{show_text(str(path))}: there is no such file. Check the name and the folder."
        )
    if not path.is_file():
        raise LogError(f"{name} is not a plain file. Give a CSV, XLSX or Parquet file.")
    size = path.stat().st_size
    if size > limits.file_bytes:
        raise LogError(
            f"{name} holds {size:,} bytes, more than the {limits.file_bytes:,} that are "
            "read at once. Keep only the columns of the codebook, or give the years as files."
        )
    return path.read_bytes()


def tell_kind(data: bytes, name: str, *, limits: FileLimits = DEFAULT_LIMITS) -> str:
    """Tell "csv", "xlsx" or "parquet" from the bytes themselves; the name is only quoted.

    Raises
    ------
    LogError
        For everything else, in the maker's words.
    """
    if not data.strip(b"\xef\xbb\xbf \t\r\n\x00"):
        raise LogError(
            f"{name} is empty, expected a table with a header row. Export the log again."
        )
    for signature, what, advice in _SIGNATURES:
        if data.startswith(signature):
            raise LogError(refuse_kind(name, what, advice))
    if data.startswith(_OLE):
        raise LogError(_refusal_of_ole(data, name))
    if data.startswith(b"PAR1"):
        return "parquet"
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        check_package(data, name, limits=limits)
        return "xlsx"
    _refuse_markup(data, name)
    return "csv"


def _refuse_markup(data: bytes, name: str) -> None:
    """Refuse text that is no table: a web page, XML, JSON."""
    start = data[:2048].replace(b"\x00", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n").lower()
    if start.startswith(_PAGE_STARTS):
        advice = (
            "Perhaps it is a sign-in page saved in place of the download: sign in, download "
            "again, and give the CSV or XLSX file."
        )
        raise LogError(refuse_kind(name, "a web page (HTML)", advice))
    if start.startswith(b"<?xml"):
        raise LogError(refuse_kind(name, "an XML file", AS_CSV))
    if re.match(rb"\{\s*\"|\[\s*[\[{]", start):
        raise LogError(refuse_kind(name, "a JSON file", AS_CSV))


def _refusal_of_ole(data: bytes, name: str) -> str:
    if "EncryptedPackage".encode("utf-16-le") in data:
        return refuse_kind(
            name,
            "a workbook locked with a password",
            "Open it, remove the password (save without encryption) and give the new file.",
        )
    return refuse_kind(name, "an old Excel file (.xls) or another old Office document", AS_CSV)
