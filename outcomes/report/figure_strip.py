"""Dots and intervals on a pieces-per-100 scale, with the band of what is too small to matter."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from outcomes.report.drawings import StripDrawing, StripRow
from outcomes.report.figure_canvas import Ink, Sheet, Size, open_sheet, write
from outcomes.report.figure_palette import (
    ASH,
    BAND,
    MARKS,
    PALE_ASH,
    SMOKE,
)
from outcomes.report.figure_shapes import Box, make_box


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where things stand, in pixels: the scale's two ends, the row pitch, the first row."""

    width: float
    left: float
    right: float
    pitch: float
    top: float
    beside: bool  # labels beside the strip (wide) or above it (narrow)


_LAYOUTS = {
    Size.WIDE: Layout(width=720, left=262, right=618, pitch=40, top=40, beside=True),
    Size.NARROW: Layout(width=340, left=14, right=326, pitch=62, top=58, beside=False),
}

_QUIET = Ink(colour=SMOKE, size=11, align="center")
_LABEL = Ink(size=14, weight="bold")


def draw_strip(drawing: StripDrawing, size: Size) -> Figure:
    """Return the strip picture; x runs from fewer to more pieces in 100."""
    layout = _LAYOUTS[size]
    bottom = layout.top + layout.pitch * len(drawing.rows)
    sheet = open_sheet(layout.width, bottom + 44)
    reach = find_reach(drawing)
    _draw_ground(sheet, drawing, layout, bottom=bottom, reach=reach)
    for slot, row in enumerate(drawing.rows):
        middle = layout.top + layout.pitch * (slot + (0.5 if layout.beside else 0.68))
        _draw_row(sheet, row, layout, middle=middle, reach=reach)
    return sheet.figure


def find_reach(drawing: StripDrawing) -> int:
    """Return how far the scale goes either way: all intervals, the band, a round number."""
    ends = [abs(value) for row in drawing.rows for value in (row.change, row.low, row.high)
            if value is not None]  # fmt: skip
    most = max([*ends, 2 * drawing.band])
    return min(100, 10 * math.ceil((most + 1) / 10))


def _place(value: float, layout: Layout, reach: float) -> float:
    """Return where a change stands, in pixels."""
    middle = (layout.left + layout.right) / 2
    return middle + value / reach * (layout.right - layout.left) / 2


def _pick_ticks(reach: int, *, most: int) -> Sequence[int]:
    step = next(s for s in (5, 10, 20, 25, 50, 100) if reach / s <= most)
    return range(-(reach // step) * step, reach + 1, step)


def _draw_ground(
    sheet: Sheet, drawing: StripDrawing, layout: Layout, *, bottom: float, reach: int
) -> None:
    """Draw the band, the middle line, the scale and its words."""
    low, high = (_place(side * drawing.band, layout, reach) for side in (-1, 1))
    zero = _place(0, layout, reach)
    band = Box(left=low, right=high, top=layout.top - 8, bottom=bottom)
    sheet.add(make_box(band, fill=BAND, edge=BAND))
    for tick in _pick_ticks(reach, most=4 if layout.beside else 3):
        at = _place(tick, layout, reach)
        sheet.add(Line2D([at, at], [band.top, bottom], color=PALE_ASH, linewidth=0.8, zorder=1))
        write(sheet, (at, bottom + 16), f"{abs(tick)}", _QUIET)
    sheet.add(Line2D([zero, zero], [band.top, bottom + 2], color=ASH, linewidth=1.6, zorder=2))
    edge = layout.top - 20
    write(sheet, (layout.left, edge), f"← {drawing.fewer}", Ink(weight="bold"))
    write(sheet, (layout.right, edge), f"{drawing.more} →", Ink(weight="bold", align="right"))
    write(sheet, (zero, edge if layout.beside else edge - 22), drawing.band_label, _QUIET)
    write(sheet, (zero, bottom + 34), drawing.axis, _QUIET)


def _draw_row(sheet: Sheet, row: StripRow, layout: Layout, *, middle: float, reach: int) -> None:
    """Draw a setting's interval and dot, and write its words beside or above them."""
    mark = MARKS[row.word]
    if row.low is not None and row.high is not None:
        ends = [_place(value, layout, reach) for value in (row.low, row.high)]
        sheet.add(Line2D(ends, [middle, middle], color=mark.edge, linewidth=3.2,
                         solid_capstyle="round", zorder=3))  # fmt: skip
    sheet.add(Line2D([_place(row.change, layout, reach)], [middle], marker=mark.marker,
                     markersize=mark.size, color=mark.edge, markerfacecolor=mark.fill,
                     markeredgewidth=1.8, linestyle="none", zorder=4))  # fmt: skip
    first, second = (middle - 3, middle + 14) if layout.beside else (middle - 33, middle - 17)
    write(sheet, (0, first), row.label, _LABEL, room=248 if layout.beside else 224)
    write(sheet, (0, second), row.detail, Ink(colour=SMOKE, size=12.5), room=248)
    at = (layout.width, middle + 5 if layout.beside else first)
    write(sheet, at, row.number, Ink(size=14, align="right"), room=102)
