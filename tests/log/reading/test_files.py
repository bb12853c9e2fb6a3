"""What kind of file it is, and which are refused unread."""

import hashlib
import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from outcomes.errors import LogError
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.files import read_file, split_sheet, tell_kind
from outcomes.log.packages import check_package

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def package(parts: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as opened:
        for name, data in parts.items():
            opened.writestr(name, data)
    return held.getvalue()


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"glaze,luster\nMoth,3\n", "csv"),
        (b"PAR1\x15\x04", "parquet"),
        (package({"xl/workbook.xml": b"<workbook/>"}), "xlsx"),
    ],
)
def test_the_bytes_tell_the_kind_whatever_the_name(data: bytes, expected: str) -> None:
    assert expected == tell_kind(data, "log.doc")


@pytest.mark.parametrize(
    ("data", "found", "advice"),
    [
        (b"\x1f\x8b\x08\x00abc", "a gzip-compressed file", "Unpack it first"),
        (b"%PDF-1.7 ...", "a PDF document", "Save the log as CSV"),
        (b"\x89PNG\r\n\x1a\n", "a PNG picture", "has to be typed in"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture", "has to be typed in"),
        (OLE + b"Workbook", "an old Excel file (.xls)", "Save the log as CSV"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "a password", "remove the password"),
        (b"  <!DOCTYPE HTML><html>", "a web page (HTML)", "sign in"),
        (b"\xef\xbb\xbf<table><tr>", "a web page (HTML)", "download again"),
        (b"<?xml version='1.0'?><log/>", "an XML file", "Save the log as CSV"),
        (b'{"glaze": "Moth"}', "a JSON file", "Save the log as CSV"),
        (package({"a.csv": b"x"}), "a zip archive", "Unpack it first"),
        (package({"xl/workbook.bin": b"x"}), "(.xlsb)", "Save the log as CSV"),
        (package({"content.xml": b"x"}), "an OpenDocument file", "Save the log as CSV"),
        (package({"word/document.xml": b"x"}), "(.docx)", "Save the log as CSV"),
    ],
)
def test_other_kinds_are_refused_in_the_makers_words(data: bytes, found: str, advice: str) -> None:
    with pytest.raises(LogError) as refused:
        tell_kind(data, "march.csv")
    message = str(refused.value)
    assert message.startswith("march.csv is ")
    assert found in message
    assert "expected a table as CSV, TSV, XLSX or Parquet" in message
    assert advice in message


@pytest.mark.parametrize("data", [b"", b"\n \n\t", b"\xef\xbb\xbf\n", b"\x00\x00"])
def test_an_empty_file_is_refused(data: bytes) -> None:
    with pytest.raises(LogError, match="log.csv is empty, expected a table with a header row"):
        tell_kind(data, "log.csv")


@pytest.mark.parametrize("data", [b"PK\x03\x04 half", package({"xl/workbook.xml": b"x"})[:40]])
def test_a_damaged_package_is_refused(data: bytes) -> None:
    with pytest.raises(LogError, match="damaged or half-downloaded workbook"):
        tell_kind(data, "log.xlsx")


def test_a_package_with_entities_of_its_own_is_refused() -> None:
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><x>&b;</x>'
    data = package({"xl/workbook.xml": b"<workbook/>", "xl/worksheets/sheet1.xml": bomb})
    with pytest.raises(LogError, match="declares entities of its own in xl/worksheets/sheet1.xml"):
        tell_kind(data, "log.xlsx")


def limits(**changed: int) -> FileLimits:
    return replace(DEFAULT_LIMITS, **changed)


@pytest.mark.parametrize(("size", "is_refused"), [(19, False), (20, False), (21, True)])
def test_file_bytes_at_the_edge(tmp_path: Path, size: int, is_refused: bool) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(b"x" * size)
    if is_refused:
        with pytest.raises(LogError, match="holds 21 bytes, more than the 20"):
            read_file(path, limits=limits(file_bytes=20))
    else:
        assert size == len(read_file(path, limits=limits(file_bytes=20)).data)


@pytest.mark.parametrize(("size", "is_refused"), [(999, False), (1000, False), (1001, True)])
def test_unpacked_bytes_at_the_edge(size: int, is_refused: bool) -> None:
    data = package({"xl/workbook.xml": b"x" * size})
    allowed = limits(unpacked_bytes=1000, unpacked_ratio=10_000)
    if is_refused:
        with pytest.raises(LogError, match=r"would unpack to 1,001 bytes .* it was not opened"):
            check_package(data, "log.xlsx", limits=allowed)
    else:
        assert check_package(data, "log.xlsx", limits=allowed) is None


@pytest.mark.parametrize(("ratio", "is_refused"), [(99, True), (100, False), (101, False)])
def test_unpacked_ratio_at_the_edge(ratio: int, is_refused: bool) -> None:
    data = package({"xl/workbook.xml": b" " * 100_000})
    with zipfile.ZipFile(io.BytesIO(data)) as opened:
        packed = opened.infolist()[0].compress_size
    allowed = limits(unpacked_ratio=ratio * 100_000 // (100 * packed), ratio_matters_from=50_000)
    if is_refused:
        with pytest.raises(LogError, match="times its packed size"):
            check_package(data, "log.xlsx", limits=allowed)
    else:
        exact = limits(unpacked_ratio=-(-100_000 // packed), ratio_matters_from=50_000)
        assert check_package(data, "log.xlsx", limits=exact) is None


def test_a_small_part_may_compress_as_well_as_it_likes() -> None:
    data = package({"xl/workbook.xml": b" " * 100_000})
    allowed = limits(unpacked_ratio=2, ratio_matters_from=100_000)
    assert check_package(data, "log.xlsx", limits=allowed) is None


@pytest.mark.parametrize(("parts", "is_refused"), [(3, False), (4, True)])
def test_packed_parts_at_the_edge(parts: int, is_refused: bool) -> None:
    held = {"xl/workbook.xml": b"x"} | {f"part{i}": b"x" for i in range(parts - 1)}
    if is_refused:
        with pytest.raises(LogError, match="in 4 parts"):
            check_package(package(held), "log.xlsx", limits=limits(packed_parts=3))
    else:
        assert check_package(package(held), "log.xlsx", limits=limits(packed_parts=3)) is None


def test_a_bomb_is_refused_by_the_limits_as_shipped() -> None:
    data = package({"xl/workbook.xml": b" " * 20_000_000})
    assert len(data) < 100_000
    with pytest.raises(LogError, match="would unpack to 20,000,000 bytes"):
        tell_kind(data, "log.xlsx")


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"gone\.csv: there is no such file"):
        read_file(tmp_path / "gone.csv")
    with pytest.raises(LogError, match="is a folder, expected a file"):
        read_file(tmp_path)


def test_a_name_too_long_for_the_disk_is_refused_not_raised(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="cannot be read"):
        read_file(tmp_path / ("x" * 300))


def test_a_sheet_is_parted_from_the_name_only_where_a_file_is(tmp_path: Path) -> None:
    book, hash_file = tmp_path / "log.xlsx", tmp_path / "a#b.csv"
    book.write_bytes(b"x")
    hash_file.write_bytes(b"x")
    assert (book, "Spring 25") == split_sheet(Path(f"{book}#Spring 25"))
    assert (hash_file, "") == split_sheet(hash_file)


def test_a_sheet_of_a_text_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("glaze,luster\n")
    with pytest.raises(LogError, match="sheet 'May' was asked for, but the file is not a workbook"):
        read_file(Path(f"{tmp_path / 'log.csv'}#May"))


def test_the_digest_is_of_the_bytes(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_bytes(b"glaze\n")
    assert hashlib.sha256(b"glaze\n").hexdigest() == read_file(tmp_path / "log.csv").sha256
