"""Workbooks: cells as the sheet shows them, merges, formulas, hidden things, sheets, attacks."""

import datetime as dt
import io
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.styles import Font
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.worksheet import Worksheet

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.file_limits import DEFAULT_LIMITS
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log, read_table
from outcomes.log.workbook_cells import text_of_cell

Rows = list[dict[str, str]]


def said(log: FiringLog, code: str) -> Finding:
    (finding,) = [finding for finding in log.findings if finding.code == code]
    return finding


def place(sheet: Worksheet, row: int, header: str) -> str:
    """Return the coordinate of a cell by its row and header."""
    return sheet.cell(row, 1 + [cell.value for cell in sheet[1]].index(header)).coordinate


@pytest.mark.parametrize(
    ("value", "number_format", "expected"),
    [
        (None, "General", ""),
        (30.0, "General", "30"),
        (0.1 + 0.2, "General", "0.3"),
        (1e-7, "General", "0.0000001"),
        (1e22, "General", "10000000000000000000000"),
        (0.65, "0%", "65%"),
        (6, "00", "06"),
        (1830, '0" °F"', "1830 °F"),
        (1830, "#,##0", "1830"),
        (12.5, '0.0"g";-0.0"g"', "12.5 g"),
        (True, "General", "TRUE"),
        (dt.datetime(2025, 4, 1), "yyyy-mm-dd", "2025-04-01"),
        (dt.datetime(2025, 4, 1, 13, 5), "yyyy-mm-dd", "2025-04-01 13:05:00"),
        (dt.time(0, 25), "h:mm", "00:25:00"),
        (dt.timedelta(minutes=95), "[h]:mm:ss", "1:35:00"),
    ],
)
def test_a_cell_is_the_text_its_sheet_shows(
    value: object, number_format: str, expected: str
) -> None:
    assert expected == text_of_cell(value, number_format)


def test_a_workbook_and_a_text_file_give_the_same_log(
    read: Callable, read_sheet: Callable, type_text: Callable, plain: Rows
) -> None:
    from_text, from_sheet = read(type_text(plain)), read_sheet()
    assert from_text.values.equals(from_sheet.values)
    assert from_text.origin["row"].equals(from_sheet.origin["row"])
    assert ("xlsx", "Sheet", "", "") == (
        from_sheet.files[0].kind,
        from_sheet.files[0].sheet,
        from_sheet.files[0].delimiter,
        from_sheet.files[0].decimal,
    )


def test_merged_cells_are_filled_down_and_said(read_sheet: Callable, plain: Rows) -> None:
    def merge(sheet: Worksheet) -> None:
        for first in range(2, 22, 5):
            sheet.merge_cells(start_row=first, end_row=first + 4, start_column=1, end_column=1)

    log = read_sheet(merge)
    assert [row["firing_id"] for row in plain] == log.values["firing_id"].tolist()
    finding = said(log, "merged_cells")
    assert 16 == len(finding.rows)
    assert "(column A) took its text, as the sheet shows it" in finding.message


def test_cells_merged_side_by_side_fill_no_other_column(read_sheet: Callable) -> None:
    log = read_sheet(lambda sheet: sheet.merge_cells("G3:I3"))
    assert ["exact", "blank", "blank"] == [
        log.how[name][1] for name in ("seconds_to_can", "combustible_g", "lid_delay_s")
    ]


def test_a_formula_without_a_stored_result_is_set_aside(read_sheet: Callable) -> None:
    def change(sheet: Worksheet) -> None:
        sheet[place(sheet, 3, "seconds_to_can")] = "=5+5"

    log = read_sheet(change)
    finding = said(log, "formula_without_value")
    assert (Severity.WARNING, "seconds_to_can", (3,)) == (
        finding.severity,
        finding.column,
        finding.rows,
    )
    assert "'=5+5'" in finding.message
    assert "compute" in finding.advice
    assert ("=5+5", "set aside") == (log.written["seconds_to_can"][1], log.how["seconds_to_can"][1])


def test_a_formula_with_a_stored_result_gives_its_value(tmp_path: Path, codebook: Codebook) -> None:
    path = tmp_path / "log.xlsx"
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.append(["firing_id", "luster", "seconds_to_can"])
    sheet.append(["V1", 3, "=4+8"])
    book.save(path)
    stored = rewrite(path, "sheet1.xml", b"<f>4+8</f><v />", b"<f>4+8</f><v>12</v>")
    path.write_bytes(stored)
    assert 12.0 == read_log([path], codebook).values["seconds_to_can"][0]


def rewrite(path: Path, part: str, old: bytes, new: bytes) -> bytes:
    """Return the package with one part's bytes changed."""
    held = io.BytesIO()
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(held, "w") as target:
        for name in source.namelist():
            data = source.read(name)
            if name.endswith(part):
                assert old in data, data[-300:]
                data = data.replace(old, new)
            target.writestr(name, data)
    return held.getvalue()


def test_an_error_in_a_cell_is_set_aside(read_sheet: Callable) -> None:
    def change(sheet: Worksheet) -> None:
        cell = sheet[place(sheet, 4, "combustible_g")]
        cell.value, cell.data_type = "#DIV/0!", "e"

    log = read_sheet(change)
    (entry,) = log.unusable.itertuples()
    assert (4, "combustible_g", "#DIV/0!") == (entry.row, entry.column, entry.written)
    assert "gives an error" in entry.reason


def test_a_time_of_day_and_a_date_among_numbers_are_set_aside(read_sheet: Callable) -> None:
    def change(sheet: Worksheet) -> None:
        sheet[place(sheet, 5, "seconds_to_can")] = dt.time(0, 25)
        sheet[place(sheet, 6, "seconds_to_can")] = dt.datetime(2025, 10, 5)

    log = read_sheet(change)
    assert [5, 6] == log.unusable["row"].tolist()
    assert ["00:25:00", "2025-10-05"] == log.unusable["written"].tolist()


def test_hidden_rows_and_columns_are_read_and_said(read_sheet: Callable) -> None:
    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[5].hidden = True
        sheet.column_dimensions["H"].hidden = True

    log = read_sheet(hide)
    assert 20 == log.account.rows_used
    assert (5,) == said(log, "hidden_rows").rows
    assert "column H is hidden in the sheet" in said(log, "hidden_columns").message


def test_blank_rows_count_as_rows_of_the_sheet(read_sheet: Callable) -> None:
    log = read_sheet(lambda sheet: sheet.insert_rows(4, amount=2))
    assert [2, 3, 6, 7] == log.origin["row"].tolist()[:4]
    assert 20 == log.account.rows_read


def test_dates_of_both_calendars_are_the_same_days(tmp_path: Path, codebook: Codebook) -> None:
    days = []
    for epoch in (None, CALENDAR_MAC_1904):
        book = Workbook()
        if epoch is not None:
            book.epoch = epoch
        sheet = book.active
        assert isinstance(sheet, Worksheet)
        sheet.append(["firing_id", "fired_on", "luster"])
        sheet.append(["V1", dt.date(2025, 4, 1), 3])
        book.save(tmp_path / "log.xlsx")
        days.append(str(read_log([tmp_path / "log.xlsx"], codebook).values["fired_on"][0])[:10])
    assert ["2025-04-01"] * 2 == days


def three_sheets(sheet: Worksheet) -> None:
    book = sheet.parent
    assert isinstance(book, Workbook)
    book.create_sheet("About", 0).append(["This is our log of the spring"])
    summer = book.create_sheet("Summer")
    for row in sheet.iter_rows(values_only=True, max_row=6):
        summer.append(list(row))
    hidden = book.create_sheet("Old")
    hidden.sheet_state = "hidden"
    for row in sheet.iter_rows(values_only=True):
        hidden.append(list(row))


def test_the_sheet_that_names_most_columns_is_read_and_the_others_named(
    read_sheet: Callable,
) -> None:
    log = read_sheet(three_sheets)
    finding = said(log, "sheet_chosen")
    assert ("Sheet", 20) == (log.files[0].sheet, log.account.rows_used)
    assert Severity.WARNING is finding.severity
    assert "Not read: 'About', 'Summer' and 'Old'" in finding.message
    assert "'Summer' and 'Old' may hold pieces as well" in finding.message
    assert "log.xlsx#Summer" in finding.advice


def test_a_sheet_whose_name_a_shell_would_cut_is_advised_in_quotation_marks(
    read_sheet: Callable,
) -> None:
    def two_months(sheet: Worksheet) -> None:
        april = sheet.parent.create_sheet("Apr 2025")
        for row in sheet.iter_rows(values_only=True, max_row=6):
            april.append(list(row))

    finding = said(read_sheet(two_months), "sheet_chosen")
    assert finding.advice == 'To read another sheet too, give it as "log.xlsx#Apr 2025".'


def test_any_sheet_can_be_asked_for_by_name(read_sheet: Callable) -> None:
    log = read_sheet(three_sheets, sheet="summer")
    assert ("Summer", 5) == (log.files[0].sheet, log.account.rows_used)
    assert not [f for f in log.findings if f.code == "sheet_chosen"]


def test_a_sheet_that_is_not_there_is_refused_with_those_that_are(read_sheet: Callable) -> None:
    with pytest.raises(LogError) as refused:
        read_sheet(three_sheets, sheet="Winter")
    message = str(refused.value)
    assert "log.xlsx has no sheet 'Winter'" in message
    assert "'About', 'Sheet', 'Summer' and 'Old'" in message


def test_two_sheets_of_one_workbook_are_one_log(
    tmp_path: Path, codebook: Codebook, read_sheet: Callable
) -> None:
    read_sheet(three_sheets)
    path = tmp_path / "log.xlsx"
    log = read_log([Path(f"{path}#Sheet"), Path(f"{path}#Summer")], codebook)
    assert ["log.xlsx#Sheet", "log.xlsx#Summer"] == [source.name for source in log.files]
    assert (25, 20) == (log.account.rows_read, log.account.rows_used)


def test_a_styled_cell_at_the_far_end_costs_nothing(read_sheet: Callable) -> None:
    def style(sheet: Worksheet) -> None:
        sheet["XFD1048576"].font = Font(bold=True)

    assert 20 == read_sheet(style).account.rows_used


@pytest.mark.parametrize("cut", ["<sheetData>", "</row>"])
def test_a_sheet_cut_off_is_refused(tmp_path: Path, codebook: Codebook, cut: str) -> None:
    book = Workbook()
    book.active.append(["firing_id", "luster"])  # type: ignore[union-attr]
    book.save(tmp_path / "log.xlsx")
    (tmp_path / "log.xlsx").write_bytes(
        rewrite(tmp_path / "log.xlsx", "sheet1.xml", cut.encode(), b"<<<")
    )
    with pytest.raises(LogError, match=r"log\.xlsx is a damaged workbook"):
        read_log([tmp_path / "log.xlsx"], codebook)


def test_a_workbook_without_a_cell_is_refused(tmp_path: Path, codebook: Codebook) -> None:
    Workbook().save(tmp_path / "log.xlsx")
    with pytest.raises(LogError, match=r"log\.xlsx has no rows, expected a header row"):
        read_log([tmp_path / "log.xlsx"], codebook)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"columns": 12}, "13 columns or more, more than the 12"),
        ({"cell_characters": 12}, "cell of 1. characters, more than the 12"),
    ],
)
def test_a_sheet_beyond_a_limit_is_refused(
    tmp_path: Path, codebook: Codebook, read_sheet: Callable, changed: dict, message: str
) -> None:
    read_sheet()
    path = tmp_path / "log.xlsx"
    assert 13 == len(read_table(path, codebook, limits=replace(DEFAULT_LIMITS, columns=13)).headers)
    with pytest.raises(LogError, match=message):
        read_table(path, codebook, limits=replace(DEFAULT_LIMITS, **changed))


@pytest.mark.parametrize(("rows", "is_refused"), [(19, True), (20, False), (21, False)])
def test_rows_of_a_sheet_at_the_edge(
    tmp_path: Path, codebook: Codebook, read_sheet: Callable, rows: int, is_refused: bool
) -> None:
    read_sheet()
    limits = replace(DEFAULT_LIMITS, rows=rows)
    if is_refused:
        with pytest.raises(LogError, match="rows or more, more than the 19"):
            read_table(tmp_path / "log.xlsx", codebook, limits=limits)
    else:
        assert 20 == len(read_table(tmp_path / "log.xlsx", codebook, limits=limits).rows)


def test_the_file_is_not_changed_by_reading(tmp_path: Path, read_sheet: Callable) -> None:
    read_sheet(three_sheets)
    assert ["About", "Sheet", "Summer", "Old"] == load_workbook(tmp_path / "log.xlsx").sheetnames
