"""The sheets: built the same each time, and never written over somebody's log."""

import csv
import io
from pathlib import Path

import pytest

from outcomes.errors import ReportError, RequestError
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.log.headers import match_headers
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheets import build_blank_csv, build_sheets, write_sheets

NAMES = {"log.csv", "log.xlsx", "grading_card.html", "log-schema.json", "log_sheet.html"}


def _files(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_the_same_codebook_gives_the_same_bytes(codebook: Codebook) -> None:
    assert build_sheets(codebook) == build_sheets(codebook)
    assert set(build_sheets(codebook)) == NAMES


def test_the_blank_log_is_one_line_of_canonical_names(codebook: Codebook) -> None:
    rows = list(csv.reader(io.StringIO(build_blank_csv(codebook).decode())))
    assert len(rows) == 1
    expected = {f.name for f in codebook.factors} | {o.name for o in codebook.outcomes}
    assert set(rows[0]) == expected | set(codebook.special_columns())
    assert rows[0][:4] == ["firing_id", "fired_on", "piece_id", "pieces_loaded"]
    assert rows[0][-1] == "notes"


def test_every_header_of_the_blank_log_is_matched_to_itself(codebook: Codebook) -> None:
    header = build_blank_csv(codebook).decode().strip().split(",")
    matches = match_headers(header, codebook, file="log.csv")
    assert [match.column for match in matches] == header
    assert {match.how for match in matches} == {"same name"}


def test_headers_beyond_ascii_carry_the_mark_spreadsheets_need() -> None:
    own = parse_codebook(
        'extends = "default"\n[factors."größe_mm"]\nrole = "setting"\nkind = "number"\n'
        'unit = "mm"\nstep = 1',
        file="mine.toml",
    )
    content = build_blank_csv(own)
    assert content.startswith(b"\xef\xbb\xbf")
    assert "größe_mm" in content.decode("utf-8-sig")


def test_columns_left_out_of_the_codebook_are_left_out_of_the_log() -> None:
    own = parse_codebook(
        'extends = "default"\n[columns]\nloaded = ""\nnotes = ""', file="mine.toml"
    )
    names = [column.name for column in build_columns(own)]
    assert "pieces_loaded" not in names
    assert "notes" not in names


def test_the_sheets_are_written_into_a_new_folder(codebook: Codebook, tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    written = write_sheets(codebook, folder)
    assert _files(folder) == NAMES
    assert {path.name: path.read_bytes() for path in written} == build_sheets(codebook)


def test_other_files_in_the_folder_are_left_alone(codebook: Codebook, tmp_path: Path) -> None:
    (tmp_path / "my_year.csv").write_text("firing_id\n1\n")
    write_sheets(codebook, tmp_path)
    assert _files(tmp_path) == NAMES | {"my_year.csv"}
    assert (tmp_path / "my_year.csv").read_text() == "firing_id\n1\n"


def test_blank_sheets_may_be_written_again(codebook: Codebook, tmp_path: Path) -> None:
    write_sheets(codebook, tmp_path)
    (tmp_path / "grading_card.html").write_text("an older card")
    write_sheets(codebook, tmp_path)
    assert b"<h1>" in (tmp_path / "grading_card.html").read_bytes()


@pytest.mark.parametrize("name", ["log.csv", "log.xlsx"])
def test_a_filled_log_is_never_written_over(codebook: Codebook, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"a year of work")
    with pytest.raises(ReportError) as caught:
        write_sheets(codebook, tmp_path)
    message = str(caught.value)
    assert f"{name}: found a file of that name that is not the blank log." in message
    assert "Name another folder with --out, or rename that file." in message
    assert _files(tmp_path) == {name}
    assert (tmp_path / name).read_bytes() == b"a year of work"


def test_a_folder_that_is_a_file_is_refused_in_words(codebook: Codebook, tmp_path: Path) -> None:
    (tmp_path / "sheets").write_text("not a folder")
    with pytest.raises(ReportError, match=r"sheets: the sheets could not be written .* --out"):
        write_sheets(codebook, tmp_path / "sheets")


def test_when_one_file_cannot_be_written_none_is(codebook: Codebook, tmp_path: Path) -> None:
    (tmp_path / "grading_card.html").mkdir()
    with pytest.raises(RequestError, match="grading_card.html is a folder"):
        write_sheets(codebook, tmp_path)
    assert _files(tmp_path) == {"grading_card.html"}
