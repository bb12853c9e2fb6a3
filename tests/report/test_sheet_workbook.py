"""The blank workbook, read back as a spreadsheet program would."""

import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.log.reading import read_log
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_packing import pack_workbook
from outcomes.report.sheet_validation import LONGEST_TEXT, LONGEST_TITLE, clip_text
from outcomes.report.sheet_workbook import build_workbook, describe_keeping

AWKWARD = """
extends = "default"
[factors.wild]
label = "=HYPERLINK(1)"
role = "setting"
kind = "levels"
levels = ["+1", "=1+1", "a, b", "@x"]
[factors.many]
label = "A label that runs on for longer than any dialog title has room"
role = "condition"
kind = "levels"
levels = [LEVELS]
"""


@pytest.fixture(scope="module")
def book(codebook: Codebook) -> Workbook:
    return load_workbook(io.BytesIO(pack_workbook(build_workbook(codebook))))


@pytest.fixture(scope="module")
def awkward() -> Codebook:
    levels = ", ".join(f'"a rather long name of level {number}"' for number in range(40))
    return parse_codebook(AWKWARD.replace("LEVELS", levels), file="mine.toml")


def _checks(book: Workbook, codebook: Codebook) -> dict[str, DataValidation]:
    """Return the check on each column of the log, by column name."""
    names = [column.name for column in build_columns(codebook)]
    letters = {get_column_letter(n): name for n, name in enumerate(names, start=1)}
    checks = book["log"].data_validations.dataValidation
    return {letters[str(check.sqref).partition("2:")[0]]: check for check in checks}


def test_the_header_row_is_frozen_and_repeats_in_print(book: Workbook) -> None:
    log = book["log"]
    assert book.sheetnames == ["log", "columns", "choices"]
    assert log.freeze_panes == "B2"
    assert log.print_title_rows == "$1:$1"
    assert log.page_setup.orientation == "landscape"


def test_headers_are_the_canonical_names(book: Workbook, codebook: Codebook) -> None:
    header = [cell.value for cell in book["log"][1]]
    assert header == [column.name for column in build_columns(codebook)]


def test_a_header_comment_gives_label_unit_and_range(book: Workbook) -> None:
    comments = {cell.value: cell.comment.text for cell in book["log"][1] if cell.comment}
    text = comments["pull_temp_c"]
    assert "Pull temperature" in text
    assert "degrees Celsius; usually 760 to 1060; possible 400 to 1250" in text
    assert "0 none · 1 trace · 2 patchy · 3 broad · 4 full" in comments["luster"]
    assert len(comments) == book["log"].max_column


def test_levels_have_a_drop_down_that_refuses_other_words(
    book: Workbook, codebook: Codebook
) -> None:
    checks = _checks(book, codebook)
    assert checks["wind"].type == "list"
    assert checks["wind"].errorStyle == "stop"
    assert (
        checks["wind"].error == "Choose one word: calm · light · strong. Doubts go into the notes."
    )
    assert checks["wind"].allow_blank


def test_a_drop_down_points_at_its_own_choices(book: Workbook, codebook: Codebook) -> None:
    for column in build_columns(codebook):
        if not column.choices:
            continue
        place = _checks(book, codebook)[column.name].formula1
        sheet, _, cells = place.partition("!")
        listed = [row[0].value for row in book[sheet][cells.replace("$", "")]]
        assert [str(value) for value in listed] == [choice.name for choice in column.choices]


def test_grades_are_numbers_in_the_drop_down_and_explained_on_entry(
    book: Workbook, codebook: Codebook
) -> None:
    check = _checks(book, codebook)["luster"]
    cells = check.formula1.partition("!")[2].replace("$", "")
    assert [row[0].value for row in book["choices"][cells]] == [0, 1, 2, 3, 4]
    assert "0 none · 1 trace" in check.prompt
    assert "The grading card has the full wording." in check.prompt
    assert book["choices"].sheet_state == "hidden"


def test_numbers_ask_back_outside_the_possible_range(book: Workbook, codebook: Codebook) -> None:
    check = _checks(book, codebook)["pull_temp_c"]
    assert (check.type, check.operator) == ("decimal", "between")
    assert (check.formula1, check.formula2) == ("400", "1250")
    # A warning, not a stop: "~980" and "1800 F" can be read.
    assert check.errorStyle == "warning"
    assert check.error == (
        "Expected a number from 400 to 1250 degrees Celsius. In F? Write the unit after the "
        "number. Rough is fine: ~30 or 2-3 can be read, so answer Yes to keep it."
    )


def test_every_number_choice_and_date_is_checked(book: Workbook, codebook: Codebook) -> None:
    checks = _checks(book, codebook)
    free = {column.name for column in build_columns(codebook)} - set(checks)
    assert free == {
        "firing_id",
        "piece_id",
        "glaze",
        "clay_body",
        "form",
        "maker",
        "kiln",
        "grader",
        "notes",
    }
    assert "2026-05-31" in checks["fired_on"].error
    assert checks["burps"].type == "whole"


def test_codes_stay_text_and_dates_stay_dates(book: Workbook) -> None:
    formats = {c.value: book["log"].cell(row=2, column=c.column).number_format
               for c in book["log"][1]}  # fmt: skip
    assert formats["piece_id"] == "@"
    assert formats["fired_on"] == "yyyy-mm-dd"


def test_every_column_is_explained_on_the_second_sheet(book: Workbook, codebook: Codebook) -> None:
    explained = book["columns"]
    names = [column.name for column in build_columns(codebook)]
    assert [explained.cell(row=r, column=1).value for r in range(2, len(names) + 2)] == names
    below = [row[0].value for row in explained.iter_rows(min_row=len(names) + 3)]
    assert tuple(below) == describe_keeping(codebook)


def test_dialog_texts_fit_what_spreadsheet_programs_allow(
    codebook: Codebook, awkward: Codebook
) -> None:
    for each in (codebook, awkward):
        workbook = load_workbook(io.BytesIO(pack_workbook(build_workbook(each))))
        for check in workbook["log"].data_validations.dataValidation:
            assert len(check.errorTitle or "") <= LONGEST_TITLE
            assert len(check.promptTitle or "") <= LONGEST_TITLE
            assert len(check.error or "") <= LONGEST_TEXT
            assert len(check.prompt or "") <= LONGEST_TEXT


def test_a_label_that_looks_like_a_formula_stays_text(awkward: Codebook) -> None:
    workbook = load_workbook(io.BytesIO(pack_workbook(build_workbook(awkward))))
    cells = [cell for sheet in workbook for row in sheet.iter_rows() for cell in row]
    assert "=1+1" in [cell.value for cell in cells]
    assert all(cell.data_type != "f" for cell in cells)


def test_the_archive_tells_no_time() -> None:
    workbook = Workbook()
    packed = zipfile.ZipFile(io.BytesIO(pack_workbook(workbook)))
    assert {entry.date_time for entry in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    properties = packed.read("docProps/core.xml").decode()
    assert properties.count("1980-01-01T00:00:00Z") == 2


def test_clipping_keeps_whole_words_and_says_that_it_clipped() -> None:
    assert clip_text("short", 5) == "short"
    assert clip_text("one two three", 9) == "one two…"
    assert clip_text("abcdefghij", 5) == "abcd…"


def test_a_filled_workbook_reads_back_as_it_was_filled(codebook: Codebook, tmp_path: Path) -> None:
    workbook = load_workbook(io.BytesIO(pack_workbook(build_workbook(codebook))))
    sheet = workbook["log"]
    header = {cell.value: cell.column for cell in sheet[1]}
    typed = {
        "firing_id": "007",
        "piece_id": "12",
        "luster": 3,
        "pull_temp_c": "1800 F",
        "seconds_to_can": "~12",
        "seal": "yes",
        "cracked": "no",
    }
    for name, value in typed.items():
        sheet.cell(row=2, column=header[name]).value = value
    path = tmp_path / "filled.xlsx"
    workbook.save(path)
    log = read_log([path], codebook)
    assert log.account.rows_read == 1
    row = log.values.iloc[0]
    assert (row["firing_id"], row["piece_id"], row["seal"]) == ("007", "12", "yes")
    assert (row["luster"], row["cracked"], row["seconds_to_can"]) == (3.0, 0.0, 12.0)
    # 1800 F is exactly 982.22... C.
    assert row["pull_temp_c"] == pytest.approx(982.2222222222222, rel=1e-12)
