"""What a worksheet says beside its values: merged cells, hidden rows, formulas not computed.

The workbook reader streams values only, so that a cell at the far end of a sheet costs no
memory; these marks are read from the same part of the package in a pass of their own.
"""

import io
import posixpath
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from defusedxml.ElementTree import fromstring, iterparse
from openpyxl.utils.cell import coordinate_to_tuple, range_boundaries

_MARKED = re.compile(rb"mergeCell |<(?:\w+:)?f[ >/]|hidden=")
MAX_MERGED_RANGES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMarks:
    """Marks of one worksheet; rows and columns count from 1.

    ``merged`` holds (first row, last row, first column, last column); ``uncomputed`` holds
    {(row, column): formula as typed} of formulas without a stored result.
    """

    merged: tuple[tuple[int, int, int, int], ...] = ()
    hidden_rows: tuple[int, ...] = ()
    hidden_columns: tuple[int, ...] = ()
    uncomputed: dict[tuple[int, int], str] = field(default_factory=dict)


def read_marks(data: bytes, sheet: str) -> SheetMarks:
    """Read the marks of the sheet of that name.

    Raises
    ------
    Exception
        Whatever a damaged package makes the parsers raise; the caller words it.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        part = _find_part(package, sheet)
        if part is None:
            return SheetMarks()
        xml = package.read(part)
    return _gather_marks(xml) if _MARKED.search(xml) else SheetMarks()


def _find_part(package: zipfile.ZipFile, sheet: str) -> str | None:
    """Follow the workbook's relations to the sheet's own part."""
    book = fromstring(package.read("xl/workbook.xml"), forbid_dtd=True)
    ids = [
        value
        for element in book.iter()
        if _tag(element) == "sheet" and element.get("name") == sheet
        for key, value in element.attrib.items()
        if key.endswith("}id")
    ]
    relations = fromstring(package.read("xl/_rels/workbook.xml.rels"), forbid_dtd=True)
    for element in relations.iter():
        if element.get("Id") in ids:
            target = posixpath.normpath(posixpath.join("/xl", element.get("Target", "")))
            return target.lstrip("/")
    return None


def _gather_marks(xml: bytes) -> SheetMarks:
    merged: list[tuple[int, int, int, int]] = []
    rows: list[int] = []
    columns: list[int] = []
    uncomputed: dict[tuple[int, int], str] = {}
    for element in _elements(xml):
        tag = _tag(element)
        if tag == "mergeCell" and len(merged) < MAX_MERGED_RANGES:
            left, top, right, bottom = map(int, range_boundaries(element.get("ref")))  # type: ignore[arg-type]
            merged.append((top, bottom, left, right))
        elif tag == "col" and _is_hidden(element):
            columns += range(int(element.get("min")), min(int(element.get("max")), 16_384) + 1)
        elif tag == "row":
            if _is_hidden(element) and element.get("r"):
                rows.append(int(element.get("r")))
            uncomputed.update(_find_uncomputed(element))
            element.clear()
    return SheetMarks(
        merged=tuple(merged),
        hidden_rows=tuple(rows),
        hidden_columns=tuple(columns),
        uncomputed=uncomputed,
    )


def _elements(xml: bytes) -> Iterator[Any]:
    for _, element in iterparse(io.BytesIO(xml), events=("end",), forbid_dtd=True):
        yield element


def _find_uncomputed(row: Any) -> Iterator[tuple[tuple[int, int], str]]:
    """Yield the formulas of one row that have no stored result."""
    for cell in row:
        parts = {_tag(part): part for part in cell}
        formula, value = parts.get("f"), parts.get("v")
        if formula is None or not cell.get("r"):
            continue
        if value is None or not value.text:
            text = f"={formula.text}" if formula.text else "(a formula)"
            if cell.get("t") != "str":  # a formula whose result is the empty text
                yield coordinate_to_tuple(cell.get("r")), text


def _tag(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _is_hidden(element: Any) -> bool:
    return element.get("hidden") in ("1", "true")
