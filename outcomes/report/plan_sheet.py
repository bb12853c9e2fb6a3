"""The run sheet as a table that reads back as a log, and as a workbook with drop-downs."""

import pandas as pd
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.planning.next_plan import NextFirings, PlannedPiece
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_packing import pack_workbook
from outcomes.report.sheet_workbook import build_workbook
from outcomes.report.tables import neutralise_table

SHEET_CSV, SHEET_XLSX = "run_sheet.csv", "run_sheet.xlsx"


def build_run_sheet(plan: NextFirings, log: FiringLog) -> pd.DataFrame:
    """Return one row a planned piece, all texts, under the codebook's column names.

    Columns are those of the log, in the codebook's order, with the firing and the piece in any
    case: settings as planned in base units, everything that is to be written down empty.
    """
    codebook = log.codebook
    wanted = {*log.values.columns, codebook.firing, codebook.piece} - {""}
    names = [column.name for column in build_columns(codebook) if column.name in wanted]
    rows = [_row(piece, plan, codebook) for piece in plan.pieces]
    return pd.DataFrame([{n: row.get(n, "") for n in names} for row in rows], dtype=object)


def render_run_sheet(plan: NextFirings, log: FiringLog) -> bytes:
    """Return the run sheet as CSV (RFC 4180, UTF-8 with its mark beyond ASCII)."""
    table = neutralise_table(build_run_sheet(plan, log))
    text = str(table.to_csv(index=False, lineterminator="\r\n"))
    return text.encode("ascii" if text.isascii() else "utf-8-sig")


def pack_run_sheet(plan: NextFirings, log: FiringLog) -> bytes:
    """Return the run sheet as a workbook: the blank log with the plan filled in."""
    workbook = build_workbook(log.codebook)
    _fill(workbook, build_run_sheet(plan, log))
    return pack_workbook(workbook)


def name_piece(piece: PlannedPiece) -> str:
    """Return a piece's own number: firing and place.

    >>> name_piece(PlannedPiece(firing="N2", place=3, settings=()))
    'N2-3'
    """
    return f"{piece.firing}-{piece.place}"


def _row(piece: PlannedPiece, plan: NextFirings, codebook: Codebook) -> dict[str, str]:
    row = {name: _text(value) for name, value in piece.settings}
    return row | {
        codebook.firing: piece.firing,
        codebook.piece: name_piece(piece),
        codebook.loaded: str(plan.request.pieces),
        "pull_order": str(piece.place),
    }


def _text(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _fill(workbook: Workbook, table: pd.DataFrame) -> None:
    """Write the rows under the headers of the blank log; numbers as numbers."""
    sheet = workbook["log"]
    assert isinstance(sheet, Worksheet)
    places = {str(cell.value): number for number, cell in enumerate(sheet[1], start=1)}
    for number, row in enumerate(table.to_dict("records"), start=2):
        for name, text in row.items():
            if text == "":
                continue
            cell = sheet.cell(row=number, column=places[str(name)])
            is_number = _is_number(str(text)) and cell.number_format != "@"
            cell.value = float(text) if is_number else str(text)
            if not is_number:
                cell.data_type = "s"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
