"""The blank log as a workbook: drop-downs, ranges, explanations."""

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from outcomes.log.codebook import Codebook
from outcomes.report.sheet_columns import (
    Choice,
    Holds,
    SheetColumn,
    build_columns,
    describe_choices,
    describe_range,
    describe_span,
    parse_choice,
)
from outcomes.report.sheet_validation import build_validation

LAST_ROW = 2000
_RULED_ROWS = 40  # blank rows with lines, so that a printed sheet can be filled in by hand
_FORMATS = {Holds.TEXT: "@", Holds.DATE: "yyyy-mm-dd"}
_EMBER, _ASH, _GLAZE, _PAPER = "8A3B12", "4A4642", "1F5C5A", "FFFFFF"
_HAIR = Side(style="hair", color=_ASH)
_RULED = Border(left=_HAIR, right=_HAIR, top=_HAIR, bottom=_HAIR)
_EXPLAINED = (
    "Column",
    "In words",
    "What for",
    "What to write",
    "Usually",
    "Possible",
    "Other units",
)
_WIDTHS = (22, 22, 44, 44, 14, 14, 14)


def build_workbook(codebook: Codebook) -> Workbook:
    """Return a workbook with the sheets "log" (blank), "columns" (explained) and "choices".

    The sheet "choices" holds the drop-down lists and is hidden.
    """
    columns = build_columns(codebook)
    workbook = Workbook()
    log = workbook.active
    assert isinstance(log, Worksheet)
    log.title = "log"
    explained = workbook.create_sheet("columns")
    places = _fill_choices(workbook.create_sheet("choices"), columns)
    _fill_log(log, columns, places)
    _fill_explained(explained, columns, codebook)
    workbook.properties.creator = "outcomes"
    workbook.properties.title = f"{codebook.title}: blank log"
    return workbook


def _fill_log(sheet: Worksheet, columns: tuple[SheetColumn, ...], places: dict[str, str]) -> None:
    """Write the header line, the checks and the rules of the blank log."""
    for number, column in enumerate(columns, start=1):
        letter = get_column_letter(number)
        header = _write(sheet, 1, number, column.name)
        _paint(header, _tone(column))
        header.comment = _build_comment(column)
        sheet.column_dimensions[letter].width = max(11, len(column.name) + 3)
        sheet.column_dimensions[letter].number_format = _FORMATS.get(column.holds, "General")
        check = build_validation(
            column,
            cells=f"{letter}2:{letter}{LAST_ROW}",
            choices_at=places.get(column.name, ""),
        )
        if check is not None:
            sheet.add_data_validation(check)
        for row in range(2, _RULED_ROWS + 2):
            cell = sheet.cell(row=row, column=number)
            cell.border = _RULED
            cell.number_format = _FORMATS.get(column.holds, "General")
    sheet.row_dimensions[1].height = 30
    sheet.freeze_panes = "B2"
    _set_up_page(sheet, pages_wide=2)


def _fill_choices(sheet: Worksheet, columns: tuple[SheetColumn, ...]) -> dict[str, str]:
    """Write every drop-down list and return where it stands."""
    places: dict[str, str] = {}
    listed = [column for column in columns if column.choices]
    for number, column in enumerate(listed, start=1):
        _write(sheet, 1, number, column.name)
        for row, choice in enumerate(column.choices, start=2):
            _write_choice(sheet, row, number, choice)
        letter = get_column_letter(number)
        places[column.name] = f"choices!${letter}$2:${letter}${len(column.choices) + 1}"
    sheet.sheet_state = "hidden"
    return places


def _fill_explained(sheet: Worksheet, columns: tuple[SheetColumn, ...], codebook: Codebook) -> None:
    """Write one line of explanation per column, then how a log is kept."""
    for number, (heading, width) in enumerate(zip(_EXPLAINED, _WIDTHS, strict=True), start=1):
        _paint(_write(sheet, 1, number, heading), _ASH)
        sheet.column_dimensions[get_column_letter(number)].width = width
    for row, column in enumerate(columns, start=2):
        for number, text in enumerate(_explain(column), start=1):
            cell = _write(sheet, row, number, text)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            cell.border = _RULED
    for row, text in enumerate(describe_keeping(codebook), start=len(columns) + 3):
        _write(sheet, row, 1, text)
    sheet.freeze_panes = "A2"
    _set_up_page(sheet, pages_wide=1)


def describe_keeping(codebook: Codebook) -> tuple[str, ...]:
    """Return how a log is kept, one sentence after the other."""
    piece, cluster = codebook.piece_word, codebook.cluster_word
    return (
        f"One row for every {piece} of a {cluster}, the lost ones too: a {piece} that is left out "
        "makes a habit look harmless.",
        "Leave a cell empty when you do not know; never fill in what it probably was.",
        "A rough value is better than none: ~30, 2-3 and 10? can be read, and count as rough.",
        "Leave out any column you do not need, and add your own: they are kept beside the rest.",
    )


def _explain(column: SheetColumn) -> tuple[str, ...]:
    """Return the cells of a column's line of explanation."""
    return (
        column.name,
        column.label,
        column.purpose,
        describe_choices(column) or column.unit_words or column.holds.value,
        describe_span(column.plausible) if column.plausible else "",
        describe_span(column.possible) if column.possible else "",
        ", ".join(column.other_units),
    )


def _build_comment(column: SheetColumn) -> Comment:
    lines = [column.label, column.purpose, describe_range(column), describe_choices(column)]
    text = "\n".join(line for line in lines if line)
    return Comment(text, "outcomes", width=320, height=40 + 18 * (len(text) // 45 + 4))


def _write_choice(sheet: Worksheet, row: int, number: int, choice: Choice) -> None:
    value = parse_choice(choice.name)
    if isinstance(value, int):
        sheet.cell(row=row, column=number, value=value)
    else:
        _write(sheet, row, number, value)


def _write(sheet: Worksheet, row: int, number: int, text: str) -> Cell:
    """Write text as text: a label that begins with "=" is no formula."""
    cell = sheet.cell(row=row, column=number, value=text)
    assert isinstance(cell, Cell)
    if text:
        cell.data_type = "s"
    return cell


def _tone(column: SheetColumn) -> str:
    if column.is_graded:
        return _EMBER
    return _GLAZE if column.purpose.startswith("You choose") else _ASH


def _paint(cell: Cell, tone: str) -> None:
    cell.font = Font(bold=True, color=_PAPER)
    cell.fill = PatternFill(fill_type="solid", start_color=tone, end_color=tone)
    cell.alignment = Alignment(wrap_text=True, vertical="center")


def _set_up_page(sheet: Worksheet, *, pages_wide: int) -> None:
    """Landscape, header line on every page; the paper is the printer's own, A4 or Letter."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth = pages_wide
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = "1:1"
    sheet.oddFooter = HeaderFooterItem(
        center=_HeaderFooterPart(text="&A, page &P of &N"),
        left=_HeaderFooterPart(),
        right=_HeaderFooterPart(),
    )
