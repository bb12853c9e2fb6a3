"""The log sheet: one leaf of paper a firing, filled in at the kiln and graded on its back.

The front holds what is chosen and recorded; the back the grades alone, so that whoever grades
need not see the settings. Cells carry their own labels and flow in as few lines as the paper
allows, so that any codebook gives a sheet.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from outcomes.doubts.check_graders import GRADER
from outcomes.log.codebook import Codebook
from outcomes.report.html import build_policy, read_part
from outcomes.report.sheet_columns import Holds, SheetColumn, build_columns, describe_choices
from outcomes.report.sheet_levels import is_of_firing
from outcomes.report.sheet_phone_data import PIECE_WITHOUT_COLUMN, show_unit
from outcomes.report.wording import Wording, choose_words, read_wording

# What A4 (210 mm high) and Letter (279 mm wide) both have in landscape, margins of 8 mm and the
# pieces' numbers taken off.
WIDTH_MM = 254.0
HEIGHT_MM = 194.0
LINE_MM = 11.5
BACK_LINE_MM = 16.0
MOST_PIECES = 10
# Measured in print: heading and caution of either side; letters; a box to tick with its gap.
_FRONT_MM, _BACK_MM = 24.0, 76.0
_LETTER_MM, _TICK_LETTER_MM, _TICK_MM = 1.55, 1.8, 8.0
_ROOM_MM = {Holds.TEXT: 25.0, Holds.DATE: 28.0, Holds.NUMBER: 19.0, Holds.CHOICE: 0.0}
_NOTES_MM = 38.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One box to write in: its label, the words to tick in it, and its least width in mm.

    ``in_two_rows`` puts the ticks beside the label and below it.
    """

    label: str
    width: float
    ticks: tuple[str, ...] = ()
    in_two_rows: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LogSheet:
    """Everything that stands on the leaf; lines are rows of cells side by side."""

    title: str
    firing: tuple[tuple[Cell, ...], ...]
    piece: tuple[tuple[Cell, ...], ...]
    grading: tuple[Cell, ...]
    grades: tuple[tuple[Cell, ...], ...]
    scales: tuple[tuple[str, str], ...]
    how_to_grade: tuple[str, ...]
    pieces: int


def render_log_sheet(codebook: Codebook) -> str:
    """Return the log sheet as one self-contained HTML page for A4 and Letter, black on white."""
    wording = _choose_wording(codebook)
    sheet = build_log_sheet(codebook)
    style = read_part("sheet_log.css") + _size_cells(sheet)
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True,
    )  # fmt: skip
    return environment.from_string(read_part("sheet_log.html.jinja")).render(
        sheet=sheet,
        language=wording.say("page.language"),
        style=Markup(style),  # noqa: S704 - our own file, without anything a maker wrote
        policy=build_policy(style),
        texts=_list_texts(codebook, wording),
    )


def _size_cells(sheet: LogSheet) -> str:
    """Return one rule for each width: the page's policy allows none in the elements."""
    lines = (*sheet.firing, *sheet.piece, *sheet.grades, sheet.grading)
    widths = sorted({round(cell.width) for line in lines for cell in line})
    return "".join(f".w{width} {{ flex: {width} 1 0; }}\n" for width in widths)


def build_log_sheet(codebook: Codebook) -> LogSheet:
    """Return what stands on the leaf made from a codebook."""
    wording = _choose_wording(codebook)
    columns = _list_columns(codebook)
    graded = [column for column in columns if column.is_graded]
    of_firing = [c for c in columns if not c.is_graded and is_of_firing(codebook, c.name)]
    # Who graded is asked once, at the head of the grades.
    of_piece = [
        c
        for c in columns
        if not (c.is_graded or is_of_firing(codebook, c.name) or c.name == GRADER)
    ]
    code = next(c for c in columns if c.name in (codebook.piece, PIECE_WITHOUT_COLUMN))
    front = [_build_cell(column, wording, notes=codebook.notes) for column in of_piece]
    back = [_build_cell(column, wording) for column in (code, *graded)]
    firing = pack_lines([_build_cell(column, wording) for column in of_firing])
    piece, grades = pack_lines(front), pack_lines(back)
    return LogSheet(
        title=codebook.title,
        firing=firing,
        piece=piece,
        grading=_build_grading_cells(codebook, wording),
        grades=grades,
        scales=tuple((column.label, describe_choices(column)) for column in graded),
        how_to_grade=codebook.how_to_grade,
        pieces=_count_pieces(firing=len(firing), piece=len(piece), grades=len(grades)),
    )


def pack_lines(cells: Sequence[Cell]) -> tuple[tuple[Cell, ...], ...]:
    """Return cells in as few lines as the paper's width allows, evenly filled.

    Each cell goes into the first line that has room for it, so a wide one may come later than
    the codebook has it.

    >>> [len(line) for line in pack_lines([Cell(label="", width=100.0)] * 5)]
    [2, 2, 1]
    """
    lines = _pack_within(cells, WIDTH_MM)
    total = sum(cell.width for cell in cells)
    even = max(total / max(1, len(lines)), max((cell.width for cell in cells), default=0.0))
    while (evenly := _pack_within(cells, min(even, WIDTH_MM))) and len(evenly) > len(lines):
        even += 2.0
    return evenly


def _pack_within(cells: Sequence[Cell], width: float) -> tuple[tuple[Cell, ...], ...]:
    lines: list[list[Cell]] = []
    for cell in cells:
        roomy = (line for line in lines if sum(c.width for c in line) + cell.width <= width)
        line = next(roomy, None)
        if line is None:
            lines.append([cell])
        else:
            line.append(cell)
    return tuple(tuple(line) for line in lines)


def _count_pieces(*, firing: int, piece: int, grades: int) -> int:
    """Return for how many pieces both sides have room; at least one."""
    front = (HEIGHT_MM - _FRONT_MM - firing * LINE_MM) / (piece * LINE_MM + 1.0)
    back = (HEIGHT_MM - _BACK_MM) / (grades * BACK_LINE_MM + 1.0)
    return max(1, min(MOST_PIECES, math.floor(front), math.floor(back)))


def _list_columns(codebook: Codebook) -> tuple[SheetColumn, ...]:
    columns = build_columns(codebook)
    if codebook.piece:
        return columns
    label = codebook.piece_word.capitalize()
    code = SheetColumn(name=PIECE_WITHOUT_COLUMN, label=label, holds=Holds.TEXT, purpose="")
    return (code, *columns)


def _build_cell(column: SheetColumn, wording: Wording, *, notes: str = "") -> Cell:
    """Return a column's box; a temperature asks for its scale, other units stand in the label."""
    units = (column.unit, *column.other_units)
    if column.choices:
        ticks = tuple(choice.name for choice in column.choices)
    elif "F" in units and "C" in units:
        ticks = tuple(show_unit(unit, wording) for unit in units)
    else:
        ticks = ()
    sign = "" if ticks else show_unit(column.unit, wording)
    label = f"{column.label} ({sign})" if sign else column.label
    room = _NOTES_MM if column.name == notes else _ROOM_MM[column.holds]
    if len(ticks) > 2 and not column.is_graded:
        return _build_long_cell(label, ticks)
    width = max(_label_width(label) / 2 + 5, room + sum(_tick_widths(ticks)))
    return Cell(label=label, ticks=ticks, width=min(WIDTH_MM, width))


def _build_long_cell(label: str, ticks: tuple[str, ...]) -> Cell:
    """Return a box with many words to tick: two rows of them, the label among the first."""
    parts = (_label_width(label) + 3, *_tick_widths(ticks))
    rows = [max(sum(parts[:n]), sum(parts[n:])) for n in range(1, len(parts))]
    return Cell(label=label, ticks=ticks, width=min(WIDTH_MM, min(rows) + 2), in_two_rows=True)


def _label_width(label: str) -> float:
    return len(label) * _LETTER_MM


def _tick_widths(ticks: Sequence[str]) -> list[float]:
    return [_TICK_MM + len(tick) * _TICK_LETTER_MM for tick in ticks]


def _build_grading_cells(codebook: Codebook, wording: Wording) -> tuple[Cell, ...]:
    labels = (
        codebook.cluster_word.capitalize(),
        wording.say("log_sheet.graded_by"),
        wording.say("log_sheet.graded_on"),
        wording.say("log_sheet.leaf"),
    )
    return tuple(Cell(label=label, width=60.0) for label in labels)


def _choose_wording(codebook: Codebook) -> Wording:
    return choose_words(read_wording(), cluster=codebook.cluster_word, piece=codebook.piece_word)


def _list_texts(codebook: Codebook, wording: Wording) -> dict[str, str]:
    """Return the sentences of the leaf; the cautions only where ware is hot."""
    texts = {
        "title": wording.say("log_sheet.title"),
        "front": wording.say("log_sheet.front"),
        "back": wording.say("log_sheet.back"),
        "how": wording.say("log_sheet.how"),
        "leave": wording.say("log_sheet.leave"),
        "front_caution": "",
        "back_caution": "",
    }
    if codebook.handles_hot_ware:
        texts["front_caution"] = wording.say("log_sheet.front_caution")
        texts["back_caution"] = wording.say("log_sheet.back_caution")
    return texts
