"""Workbooks: cells merged, computed, hidden, formatted; sheets beside sheets."""

import datetime as dt
import io
import re
import zipfile
from collections.abc import Callable

from awkward_case import FINDINGS, FINE, REFUSED, Case, one_file
from awkward_log import HEADERS, N_ROWS, NUMBERS, clean_rows
from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet.worksheet import Worksheet

ROWS = clean_rows()
AT = {header: place for place, header in enumerate(HEADERS, start=1)}
SOUND = (
    (2, "firing_id", "V1"),
    (2, "fired_on", "2025-03-08"),
    (2, "pull_temp_f", ROWS[0]["pull_temp_f"]),
    (49, "luster", ROWS[-1]["luster"]),
)


def fill(sheet: Worksheet, *, as_text: bool = False) -> None:
    """Write the clean log into a sheet."""
    sheet.append(list(HEADERS))
    for row in ROWS:
        sheet.append([row[h] if as_text else typed(h, row[h]) for h in HEADERS])


def typed(header: str, text: str) -> object:
    if header in NUMBERS:
        return float(text)
    return dt.date.fromisoformat(text) if header == "fired_on" else text or None


def book(change: Callable[[Worksheet], None] | None = None, *, as_text: bool = False) -> bytes:
    """A workbook with the clean log in its first sheet, changed."""
    made = Workbook()
    fill(made.active, as_text=as_text)
    if change is not None:
        change(made.active)
    return saved(made)


def saved(made: Workbook) -> bytes:
    stored = io.BytesIO()
    made.save(stored)
    return stored.getvalue()


def repacked(data: bytes, part: str, change: Callable[[str], str]) -> bytes:
    """A package with the text of one of its parts changed."""
    stored = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(stored, "w") as new:
        for name in old.namelist():
            text = old.read(name)
            if name == part:
                text = change(text.decode("utf-8")).encode("utf-8")
            new.writestr(name, text, zipfile.ZIP_DEFLATED)
    return stored.getvalue()


def put(cells: dict[tuple[int, str], object], formats: str = "") -> Callable[[Worksheet], None]:
    """A change that writes cells: (row, header) -> value."""

    def change(sheet: Worksheet) -> None:
        for (row, header), value in cells.items():
            cell = sheet.cell(row, AT[header])
            cell.value = value
            if formats:
                cell.number_format = formats

    return change


def _good(name: str, data: bytes, file: str = "log.xlsx", **more: object) -> Case:
    return Case(
        name=name,
        write=one_file(data, file),
        **({"expect": (FINE,), "rows": N_ROWS, "used": N_ROWS, "values": SOUND} | more),
    )


def _bad(name: str, data: bytes, **more: object) -> Case:
    return _good(name, data, **({"expect": (FINDINGS,)} | more))


def _merge_firings(sheet: Worksheet) -> None:
    for first in range(2, 50, 6):
        for header in ("firing_id", "fired_on"):
            for row in range(first + 1, first + 6):
                sheet.cell(row, AT[header]).value = None
            sheet.merge_cells(
                start_row=first, end_row=first + 5, start_column=AT[header], end_column=AT[header]
            )


def _title(sheet: Worksheet) -> None:
    sheet.insert_rows(1, 2)
    sheet.cell(1, 1).value = "Firing log, spring term"
    sheet.merge_cells("A1:S1")


def _hide(sheet: Worksheet) -> None:
    sheet.row_dimensions[7].hidden = True
    sheet.column_dimensions["M"].hidden = True


def _far_cell(sheet: Worksheet) -> None:
    sheet.cell(1_048_576, 16_384).font = Font(bold=True)


def _below(sheet: Worksheet) -> None:
    for row in ([], ["Glaze recipe", "Frit", "Copper"], ["Tarn Lantern", 80, 5]):
        sheet.append(row)


def _mac() -> bytes:
    made = Workbook()
    made.epoch = CALENDAR_MAC_1904
    fill(made.active)
    return saved(made)


def _many(titles: list[str], *, log_in: int, hidden: int | None = None) -> bytes:
    made = Workbook()
    made.remove(made.active)
    for at, title in enumerate(titles):
        sheet = made.create_sheet(title)
        if at == log_in:
            fill(sheet)
        else:
            sheet.append(["recipe", "frit"])
            sheet.append(["Tarn Lantern", 80])
    if hidden is not None:
        made.worksheets[hidden].sheet_state = "hidden"
    return saved(made)


def _two_logs() -> bytes:
    made = Workbook()
    fill(made.active)
    fill(made.create_sheet("2024"))
    return saved(made)


def _computed(stored: str) -> bytes:
    """Row 5's seconds as a formula, with what is stored as its result."""
    place = "G5"
    return repacked(
        book(),
        "xl/worksheets/sheet1.xml",
        lambda xml: re.sub(
            rf'<c r="{place}"[^>]*>.*?</c>', f'<c r="{place}"{stored}</c>', xml, count=1
        ),
    )


CASES = (
    _good("a workbook", book()),
    _good("a workbook called csv", book(), "log.csv"),
    _good("numbers and dates as text", book(as_text=True)),
    _good(
        "firings and dates merged over their pieces",
        book(_merge_firings),
        values=(
            *SOUND,
            (7, "firing_id", "V1"),
            (8, "firing_id", "V2"),
            (7, "fired_on", "2025-03-08"),
        ),
    ),
    _good("a title above, merged over the width", book(_title), values=((4, "firing_id", "V1"),)),
    _good("dates counted from 1904", _mac()),
    _good("hidden rows and columns", book(_hide), says=("hidden",)),
    _good("a formatted cell in the last corner", book(_far_cell)),
    _good(
        "the log in the third sheet",
        _many(["recipes", "stock", "log 2025"], log_in=2),
        says=("log 2025",),
    ),
    _good("a hidden sheet beside the log", _many(["log", "old"], log_in=0, hidden=1)),
    _good(
        "a date with a time",
        book(put({(2, "fired_on"): dt.datetime(2025, 3, 8, 9, 30)})),
        values=((2, "fired_on", "2025-03-08 09:30:00"),),
    ),
    _good(
        "ids with leading zeros by their format",
        book(put({(2, "piece_id"): 7}, "000")),
        values=((2, "piece_id", "007"),),
    ),
    _good(
        "percent by the format",
        book(put({(r, "humidity_pct"): 0.56 for r in range(2, 8)}, "0%")),
        values=((2, "humidity_pct", "56"),),
    ),
    _good(
        "true and false as such",
        book(put({(2, "cracked"): True, (3, "cracked"): False})),
        values=((2, "cracked", "yes"), (3, "cracked", "no")),
    ),
    _good(
        "sums with rounding noise",
        book(put({(2, "glaze_thickness_mm"): 0.1 + 0.2})),
        values=((2, "glaze_thickness_mm", "0.3"),),
    ),
    _good(
        "a formula with its result",
        _computed(" ><f>4+8</f><v>12</v>"),
        values=((5, "seconds_to_can", "12"),),
    ),
    _good(
        "a formula that gives text",
        _computed(' t="str"><f>"1"&amp;"2"</f><v>12</v>'),
        values=((5, "seconds_to_can", "12"),),
    ),
    _good(
        "markup and formulas as text",
        book(put({(3, "maker"): "<b>x</b>", (4, "notes"): "'=1+1"})),
        keeps=("<b>x</b>",),
    ),
    _bad(
        "a formula without its result",
        book(put({(5, "seconds_to_can"): "=G4+1"})),
        cells=((5, "seconds_to_can", "=G4+1"),),
        values=((5, "seconds_to_can", ""),),
    ),
    _bad(
        "a formula whose result is an error",
        _computed(' t="e"><f>1/0</f><v>#DIV/0!</v>'),
        cells=((5, "seconds_to_can", "#DIV/0!"),),
        values=((5, "seconds_to_can", ""),),
    ),
    _bad(
        "errors as values",
        book(put({(6, "luster"): "#REF!", (7, "glaze"): "#NAME?"})),
        cells=((6, "luster", "#REF!"), (7, "glaze", "#NAME?")),
    ),
    _bad(
        "minutes that became times of day",
        book(put({(r, "time_in_can_min"): dt.time(0, 25) for r in (5, 12)})),
        cells=((5, "time_in_can_min", "00:25:00"), (12, "time_in_can_min", "00:25:00")),
    ),
    _bad(
        "amounts that became dates",
        book(put({(5, "combustible_g"): dt.date(2025, 4, 3)})),
        cells=((5, "combustible_g", "2025-04-03"),),
    ),
    _bad(
        "days as bare serial numbers",
        book(put({(r, "fired_on"): 45724 for r in range(2, 8)}, "0.0")),
        cells=((2, "fired_on", "45724"),),
        values=(),
    ),
    _bad("another table below the log", book(_below), rows=N_ROWS + 2, says=("row 51", "row 52")),
    Case(
        name="two sheets that both hold a log",
        write=one_file(_two_logs(), "log.xlsx"),
        expect=(FINE, FINDINGS),
        rows=N_ROWS,
        used=N_ROWS,
        says=("2024",),
    ),
    Case(
        name="no sheet holds a log",
        write=one_file(_many(["a", "b"], log_in=9), "log.xlsx"),
        expect=(REFUSED,),
        says=("header",),
    ),
    Case(
        name="an empty workbook",
        write=one_file(saved(Workbook()), "log.xlsx"),
        expect=(REFUSED,),
        says=("log.xlsx",),
    ),
    Case(
        name="the only log sheet is hidden",
        write=one_file(_many(["log", "x"], log_in=0, hidden=0), "log.xlsx"),
        expect=(FINE, FINDINGS),
        rows=N_ROWS,
        used=N_ROWS,
        says=("hidden",),
    ),
)
