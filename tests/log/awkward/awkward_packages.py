"""Workbooks that are broken, locked, mislabelled or built to do harm."""

import io
import re
import sys
import zipfile

from awkward_case import FINE, REFUSED, Case, one_file
from awkward_log import N_ROWS, csv_text

BOOKS = sys.modules["awkward_books"]
PLAIN = BOOKS.book()
SHEET = "xl/worksheets/sheet1.xml"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 504
LAUGHS = "".join(
    f'<!ENTITY l{i} "{"&l" + str(i - 1) + ";" if i else "ha"}' * 1
    + (f"{'&l' + str(i - 1) + ';' if i else 'ha'}" * 9)
    + '">'
    for i in range(9)
)


def _refused(name: str, data: bytes, *says: str, file: str = "log.xlsx") -> Case:
    return Case(name=name, write=one_file(data, file), expect=(REFUSED,), says=(file, *says))


def _zip(parts: dict[str, bytes]) -> bytes:
    stored = io.BytesIO()
    with zipfile.ZipFile(stored, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in parts.items():
            package.writestr(name, text)
    return stored.getvalue()


def _declaring(entities: str, use: str) -> bytes:
    """A sheet that declares entities and uses one in a cell."""
    return BOOKS.repacked(
        PLAIN,
        SHEET,
        lambda xml: re.sub(
            r"^(<\?xml[^>]*\?>)?", f"<!DOCTYPE worksheet [{entities}]>", xml, count=1
        ).replace("V1.1", use, 1),
    )


def _bomb() -> bytes:
    """A sheet of 500 MB in half a megabyte."""
    row = '<row r="{}"><c r="A{}" t="inlineStr"><is><t>' + "x" * 900_000 + "</t></is></c></row>"
    rows = "".join(row.format(n, n) for n in range(2, 560))
    return BOOKS.repacked(
        PLAIN, SHEET, lambda xml: xml.replace("</sheetData>", rows + "</sheetData>")
    )


def _flipped() -> bytes:
    """One byte changed in the middle of the sheet's own data."""
    at = PLAIN.index(SHEET.encode()) + 400
    return PLAIN[:at] + bytes([PLAIN[at] ^ 0xFF]) + PLAIN[at + 1 :]


CASES = (
    _refused(
        "a workbook locked with a password",
        OLE + "EncryptedPackage".encode("utf-16-le"),
        "password",
    ),
    _refused("an old workbook", OLE, ".xls", file="log.xls"),
    _refused("half a workbook", PLAIN[: len(PLAIN) // 2], "damaged"),
    _refused("a workbook without its last byte block", PLAIN[:-30], "damaged"),
    _refused("a workbook with a changed byte", _flipped()),
    _refused("a workbook without its sheet", _zip({"xl/workbook.xml": b"<workbook/>"})),
    _refused("a zip archive of logs", _zip({"a.csv": csv_text().encode()}), "zip"),
    _refused("a text document", _zip({"word/document.xml": b"<w/>"}), "text document"),
    _refused(
        "an OpenDocument sheet",
        _zip({"content.xml": b"<x/>", "mimetype": b"x"}),
        "OpenDocument",
        file="log.ods",
    ),
    _refused("a binary workbook", _zip({"xl/workbook.bin": b"x"}), ".xlsb"),
    _refused("a sheet that would unpack to 500 MB", _bomb(), "unpack"),
    _refused("a billion laughs", _declaring(LAUGHS, "&l8;"), "entities"),
    _refused(
        "an entity of another file",
        _declaring('<!ENTITY e SYSTEM "file:///etc/passwd">', "&e;"),
        "entities",
    ),
    _refused("a sheet that is no XML", BOOKS.repacked(PLAIN, SHEET, lambda xml: xml[:3000])),
    _refused(
        "a workbook of parts without end",
        _zip({"xl/workbook.xml": b"<workbook/>", **{f"xl/p{i}": b"" for i in range(10_050)}}),
        "parts",
    ),
    Case(
        name="a text file called xlsx",
        write=one_file(csv_text(), "log.xlsx"),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
    ),
    Case(
        name="a workbook of a web service, strings inline",
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        write=one_file(
            BOOKS.repacked(
                PLAIN, SHEET, lambda xml: xml.replace("<dimension", "<!-- --><dimension")
            ),
            "log.xlsx",
        ),
    ),
)
