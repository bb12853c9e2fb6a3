"""The chance of each grade along a setting: reach and interval in one panel, grades in the other.

The panels stand side by side on a wide page, one above the other on a narrow one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle

from outcomes.report.drawings import CurveDrawing
from outcomes.report.figure_canvas import (
    Ink,
    Sheet,
    Size,
    measure_text,
    open_sheet,
    split_text,
    write,
)
from outcomes.report.figure_frame import (
    Frame,
    draw_reach,
    draw_rug,
    draw_scale,
    draw_ticks,
    find_ends,
    is_levels,
    places,
)
from outcomes.report.figure_palette import ASH, INK, PAPER, pick_grade_colours
from outcomes.report.figure_shapes import Box, make_box

BAR = 0.62  # width of a column of a level, of the room it has
LINE = 20.0  # between two lines of the grades' names
HEAD, BOLD = 12.5, 1.1  # bold letters are wider than those that are measured
_HEAD = Ink(size=HEAD, weight="bold")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where things stand, in pixels from the top left.

    ``reach`` and ``grades`` are (left, right, top, bottom) of the two panels; ``head`` is the
    room of a panel's heading, ``key`` the first line of the grades' names.
    """

    width: float
    reach: tuple[float, float, float, float]
    grades: tuple[float, float, float, float]
    head: float
    key: float


_ROOMS = {
    Size.WIDE: Room(width=720, reach=(32, 350, 44, 200), grades=(402, 718, 44, 200),
                    head=350, key=276),
    Size.NARROW: Room(width=340, reach=(32, 332, 44, 180), grades=(32, 332, 284, 420),
                      head=340, key=496),
}  # fmt: skip


def draw_curve(drawing: CurveDrawing, size: Size) -> Figure:
    """Return the two panels; levels become columns, numbers areas."""
    room = _ROOMS[size]
    columns = _count_columns(drawing.grades, room)
    lines = -(-len(drawing.grades) // columns)
    sheet = open_sheet(room.width, room.key + LINE * (lines - 1) + 10)
    reach, grades = _frame(room.reach, drawing), _frame(room.grades, drawing)
    for frame in (reach, grades):
        draw_scale(sheet, frame)
        draw_ticks(sheet, frame, drawing.panel)
    draw_reach(sheet, reach, drawing.panel)
    draw_rug(sheet, reach, drawing.panel, top=reach.bottom + 22)
    _draw_grades(sheet, grades, drawing)
    _write_words(sheet, drawing, room)
    _write_key(sheet, drawing.grades, room, columns=columns)
    return sheet.figure


def _frame(edges: tuple[float, float, float, float], drawing: CurveDrawing) -> Frame:
    low, high = find_ends((drawing.panel,))
    left, right, top, bottom = edges
    return Frame(left=left, right=right, top=top, bottom=bottom, low=low, high=high)


def _draw_grades(sheet: Sheet, frame: Frame, drawing: CurveDrawing) -> None:
    """Stack the grades, lowest at the foot; a line marks where the aim begins."""
    panel = drawing.panel
    at = frame.across(places(panel))
    tops = frame.upward(np.cumsum(np.asarray(panel.chance), axis=0))
    colours = pick_grade_colours(len(drawing.grades))
    if is_levels(panel):
        floors = np.vstack([np.full(len(at), frame.bottom), tops[:-1]])
        wide = BAR * (frame.right - frame.left) / len(at)
        for floor, top, colour in zip(floors, tops, colours, strict=True):
            for left, foot, tall in zip(at - wide / 2, floor, top - floor, strict=True):
                sheet.add(Rectangle((left, foot), wide, tall, facecolor=colour, edgecolor=PAPER))
        return
    # Each area reaches down to the foot and the lower ones are laid over it: half the points.
    ends = [frame.bottom]
    for top, colour in zip(tops[::-1], colours[::-1], strict=True):
        corners = np.column_stack([np.r_[at[0], at, at[-1]], np.r_[ends, top, ends]])
        sheet.add(Polygon(corners, facecolor=colour, edgecolor=PAPER, linewidth=0.8,
                          joinstyle="round"))  # fmt: skip
    if drawing.aim:
        start = tops[drawing.aim - 1]
        sheet.add(Line2D(at, start, color=INK, linewidth=1.4, linestyle=(0, (4, 3))))


def _write_words(sheet: Sheet, drawing: CurveDrawing, room: Room) -> None:
    """Write what each panel shows, and the axis."""
    for edges, heading in ((room.reach, drawing.reach_label), (room.grades, drawing.grades_label)):
        left, right, top, bottom = edges
        first, rest = split_text(heading, size=HEAD * BOLD, room=room.head)
        lines = ((first, top - 30), (rest, top - 14)) if rest else ((first, top - 14),)
        for line, height in lines:
            write(sheet, (left - 32, height), line, _HEAD)
        middle = ((left + right) / 2, bottom + 52)
        write(sheet, middle, drawing.axis, Ink(align="center"), room=right - left + 30)


def _count_columns(grades: Sequence[str], room: Room) -> int:
    """Return how many names of grades fit beside one another."""
    widest = max(measure_text(grade, size=12) for grade in grades)
    return max(1, min(len(grades), int(room.width // (widest + 40))))


def _write_key(sheet: Sheet, grades: Sequence[str], room: Room, *, columns: int) -> None:
    """Name the grades, the highest first, as they are stacked."""
    pairs = list(zip(grades, pick_grade_colours(len(grades)), strict=True))[::-1]
    column = room.width / columns
    for slot, (grade, colour) in enumerate(pairs):
        x = 8 + column * (slot % columns)
        y = room.key + LINE * (slot // columns)
        swatch = Box(left=x, right=x + 13, top=y - 11, bottom=y + 2)
        sheet.add(make_box(swatch, fill=colour, edge=ASH, width=0.8))
        write(sheet, (x + 20, y), grade, Ink(), room=column - 30)
