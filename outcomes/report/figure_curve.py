"""The chance of each grade along a setting: reach and interval above, grades below, rug between."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from outcomes.report.drawings import CurveDrawing
from outcomes.report.figure_canvas import Ink, Size, open_canvas, write
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
from outcomes.report.figure_palette import ASH, INK, PAPER, SMOKE, pick_grade_colours

BAR = 0.62  # width of a column of a level, of the room it has
LINE = 22.0  # between two lines of the grades' names
_HEAD = Ink(size=12.5, weight="bold")


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where things stand, in pixels from the top left."""

    width: float
    height: float
    left: float
    right: float
    upper: tuple[float, float]
    lower: tuple[float, float]
    key_at: tuple[float, float]  # the grades' names: left edge and first line
    key_columns: int


def _plan(size: Size, n_grades: int) -> Room:
    if size is Size.WIDE:
        return Room(width=720, height=474, left=40, right=570, upper=(30, 206),
                    lower=(268, 424), key_at=(590, 280), key_columns=1)  # fmt: skip
    lines = -(-n_grades // 2)
    return Room(width=340, height=438 + LINE * lines, left=32, right=332, upper=(30, 182),
                lower=(244, 384), key_at=(8, 452), key_columns=2)  # fmt: skip


def draw_curve(drawing: CurveDrawing, size: Size) -> Figure:
    """Return the two panels over one axis; levels become columns, numbers areas."""
    room = _plan(size, len(drawing.grades))
    figure, axes = open_canvas(room.width, room.height)
    upper, lower = _frame(room, room.upper, drawing), _frame(room, room.lower, drawing)
    for frame in (upper, lower):
        draw_scale(axes, frame)
    draw_reach(axes, upper, drawing.panel)
    draw_rug(axes, upper, drawing.panel, top=room.upper[1] + 6)
    _draw_grades(axes, lower, drawing)
    draw_ticks(axes, lower, drawing.panel)
    _write_words(axes, drawing, room)
    return figure


def _frame(room: Room, span: tuple[float, float], drawing: CurveDrawing) -> Frame:
    low, high = find_ends((drawing.panel,))
    return Frame(left=room.left, right=room.right, top=span[0], bottom=span[1], low=low, high=high)


def _draw_grades(axes: Axes, frame: Frame, drawing: CurveDrawing) -> None:
    """Stack the grades, lowest at the foot; a line marks where the aim begins."""
    panel = drawing.panel
    at = frame.across(places(panel))
    tops = np.cumsum(np.asarray(panel.chance), axis=0)
    floors = np.vstack([np.zeros(len(at)), tops[:-1]])
    colours = pick_grade_colours(len(drawing.grades))
    wide = BAR * (frame.right - frame.left) / len(at)
    for floor, top, colour in zip(floors, tops, colours, strict=True):
        low, high = frame.upward(floor), frame.upward(top)
        if is_levels(panel):
            axes.bar(at, high - low, bottom=low, width=wide, color=colour, edgecolor=PAPER)
        else:
            axes.fill_between(at, low, high, facecolor=colour, edgecolor=PAPER, linewidth=0.8)
    if not is_levels(panel):
        axes.plot(at, frame.upward(floors[drawing.aim]), color=INK, linewidth=1.4,
                  linestyle=(0, (4, 3)))  # fmt: skip


def _write_words(axes: Axes, drawing: CurveDrawing, room: Room) -> None:
    """Write what the panels show, the axis, and the grades' names beside their colours."""
    write(axes, (0, room.upper[0] - 14), drawing.reach_label, _HEAD, room=room.width)
    write(axes, (0, room.lower[0] - 14), drawing.grades_label, _HEAD, room=room.width)
    if room.key_columns == 1:
        write(axes, (room.right + 8, room.upper[1] + 18), drawing.rug_label,
              Ink(colour=SMOKE, size=11), room=140)  # fmt: skip
    middle = (room.left + room.right) / 2
    write(axes, (middle, room.lower[1] + 40), drawing.axis, Ink(align="center"), room=room.width)
    _write_key(axes, drawing.grades, room)


def _write_key(axes: Axes, grades: Sequence[str], room: Room) -> None:
    """Name the grades, the highest first, as they are stacked."""
    pairs = list(zip(grades, pick_grade_colours(len(grades)), strict=True))[::-1]
    column = (room.width - room.key_at[0]) / room.key_columns
    for slot, (grade, colour) in enumerate(pairs):
        x = room.key_at[0] + column * (slot % room.key_columns)
        y = room.key_at[1] + LINE * (slot // room.key_columns)
        axes.fill_between([x, x + 13], y - 11, y + 2, facecolor=colour, edgecolor=ASH,
                          linewidth=0.8)  # fmt: skip
        write(axes, (x + 20, y), grade, Ink(), room=column - 24)
