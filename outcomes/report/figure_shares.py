"""How an outcome's differences divide: one bar of a hundred parts, told apart without colour."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from outcomes.report.drawings import SharesDrawing, SharesRow
from outcomes.report.figure_canvas import Align, Ink, Sheet, Size, measure_text, open_sheet, write
from outcomes.report.figure_palette import (
    ASH,
    BAND,
    COPPER,
    EMBER,
    GLAZE,
    INK,
    PALE_ASH,
    PALE_GLAZE,
    PAPER,
    SMOKE,
)
from outcomes.report.figure_shapes import Box, make_box

BAR = 28.0  # height of a bar
LINE = 22.0  # between two lines of the key
STEP = 6.0  # between two lines or dots of a pattern
DOT = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a part is drawn: its ground, and lines or dots that print in black and white.

    ``pattern`` is "" for none, "rising", "falling", "upright" or "dots".
    """

    fill: str
    pattern: str = ""
    ink: str = PAPER


LOOKS = {
    "settings_firing": Look(fill=EMBER),
    "settings_piece": Look(fill=COPPER, pattern="rising"),
    "glaze": Look(fill=GLAZE, pattern="dots"),
    "conditions": Look(fill=PALE_GLAZE, pattern="upright", ink=GLAZE),
    "groupings": Look(fill=BAND, pattern="falling", ink=SMOKE),
    "firing_luck": Look(fill=ASH, pattern="dots", ink=INK),
    "piece_luck": Look(fill=PAPER),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where bars stand: their two ends, the row pitch, the first bar's top."""

    width: float
    left: float
    right: float
    pitch: float
    top: float
    beside: bool  # labels beside the bars (wide) or above them (narrow)


_LAYOUTS = {
    Size.WIDE: Layout(width=720, left=150, right=708, pitch=58, top=10, beside=True),
    Size.NARROW: Layout(width=340, left=2, right=338, pitch=78, top=26, beside=False),
}
_QUIET = Ink(colour=SMOKE, size=11, align="center")


def draw_shares(drawing: SharesDrawing, size: Size) -> Figure:
    """Return the bars, one an outcome, with their key below."""
    layout = _LAYOUTS[size]
    foot = layout.top + layout.pitch * len(drawing.rows) - (0 if layout.beside else 22)
    columns = _count_columns(drawing, layout)
    lines = -(-(len(drawing.names) + 1) // columns)
    sheet = open_sheet(layout.width, foot + 52 + LINE * lines)
    for slot, row in enumerate(drawing.rows):
        _draw_row(sheet, row, layout, top=layout.top + layout.pitch * slot)
    _draw_scale(sheet, drawing, layout, foot=foot)
    _draw_key(sheet, drawing, layout, top=foot + 58, columns=columns)
    return sheet.figure


def _draw_row(sheet: Sheet, row: SharesRow, layout: Layout, *, top: float) -> None:
    """Draw one bar, its numbers, and below it the interval of what is yours."""
    head = Ink(size=14, weight="bold")
    at = (0, top + BAR / 2 + 5) if layout.beside else (0, top - 8)
    write(sheet, at, row.label, head, room=layout.left - 10 if layout.beside else layout.width)
    start = 0.0
    for name, share in row.parts:
        ends = [_place(start, layout), _place(start + share, layout)]
        box = Box(left=ends[0], right=ends[1], top=top, bottom=top + BAR)
        draw_part(sheet, name, box)
        if box.right - box.left >= 26:
            _write_number(sheet, box, share)
        start += share
    if row.low is not None and row.high is not None:
        limits = [_place(row.low, layout), _place(row.high, layout)]
        below = top + BAR + 8
        sheet.add(Line2D(limits, [below, below], color=EMBER, linewidth=3, solid_capstyle="round"))
        sheet.add(Line2D([_place(row.yours, layout)], [below], marker="o", markersize=7,
                         color=EMBER, linestyle="none"))  # fmt: skip


def draw_part(sheet: Sheet, name: str, box: Box) -> None:
    """Draw one part of a bar: ground, pattern, edge; nothing when it is thinner than a line."""
    if box.right - box.left < 0.5:
        return
    look = LOOKS[name]
    sheet.add(make_box(box, fill=look.fill, edge=INK, width=0.8))
    if look.pattern == "dots":
        x, y = _find_dots(box)
        sheet.add(Line2D(x, y, color=look.ink, linewidth=2, solid_capstyle="round"))
    elif look.pattern:
        x, y = find_lines(box, look.pattern)
        sheet.add(Line2D(x, y, color=look.ink, linewidth=1.1, solid_capstyle="butt"))


def find_lines(box: Box, pattern: str) -> tuple[list[float], list[float]]:
    """Return the lines of a pattern inside a box, parted by NaN.

    >>> find_lines(Box(left=0, right=9, top=0, bottom=20), "upright")
    ([6.0, 6.0, nan], [0, 20, nan])
    """
    x: list[float] = []
    y: list[float] = []
    tall = 0.0 if pattern == "upright" else box.bottom - box.top
    for base in np.arange(box.left - tall + STEP, box.right, STEP):
        first, last = max(float(base), box.left), min(float(base) + tall, box.right)
        rise = [first - float(base), last - float(base)]
        x += [first, last, float("nan")]
        if pattern == "upright":
            y += [box.top, box.bottom, float("nan")]
        elif pattern == "rising":
            y += [box.bottom - rise[0], box.bottom - rise[1], float("nan")]
        else:
            y += [box.top + rise[0], box.top + rise[1], float("nan")]
    return x, y


def _find_dots(box: Box) -> tuple[list[float], list[float]]:
    """Return dots in rows, every second row shifted by half a step; a dot is a very short line."""
    x: list[float] = []
    y: list[float] = []
    for row, height in enumerate(np.arange(box.top + STEP / 2, box.bottom, STEP)):
        for place in np.arange(box.left + STEP / 2 * (1 + row % 2), box.right - 1.5, STEP):
            x += [float(place), float(place) + DOT, float("nan")]
            y += [float(height), float(height), float("nan")]
    return x, y


def _write_number(sheet: Sheet, box: Box, share: float) -> None:
    """Write a part's size on a plain ground of its own."""
    middle, half = (box.left + box.right) / 2, 10.0
    ground = Box(left=middle - half, right=middle + half, top=box.top + 5, bottom=box.bottom - 5)
    sheet.add(make_box(ground, fill=PAPER, zorder=2.5))
    write(sheet, (middle, box.top + BAR / 2 + 4.5), f"{share:.0f}", Ink(size=12, align="center"))


def _draw_scale(sheet: Sheet, drawing: SharesDrawing, layout: Layout, *, foot: float) -> None:
    for tick in (0, 25, 50, 75, 100):
        x = _place(tick, layout)
        sheet.add(Line2D([x, x], [foot - 4, foot + 1], color=PALE_ASH, linewidth=0.9))
        align: Align = "left" if tick == 0 else "right" if tick == 100 else "center"
        write(sheet, (x, foot + 14), f"{tick}", Ink(colour=SMOKE, size=11, align=align))
    middle = (layout.left + layout.right) / 2
    write(sheet, (middle, foot + 32), drawing.axis, _QUIET, room=layout.width)


def _count_columns(drawing: SharesDrawing, layout: Layout) -> int:
    """Return how many names of the key fit beside one another."""
    names = [words for _, words in drawing.names] + [drawing.yours]
    widest = max(measure_text(name, size=12) for name in names)
    return max(1, int(layout.width // (widest + 44)))


def _draw_key(
    sheet: Sheet, drawing: SharesDrawing, layout: Layout, *, top: float, columns: int
) -> None:
    """Name the parts, each beside a swatch of its pattern, and the interval."""
    room = layout.width / columns
    entries: Sequence[tuple[str, str]] = (*drawing.names, ("", drawing.yours))
    for slot, (name, words) in enumerate(entries):
        x, y = room * (slot % columns), top + LINE * (slot // columns)
        if name:
            draw_part(sheet, name, Box(left=x + 1, right=x + 23, top=y - 11, bottom=y + 3))
        else:
            sheet.add(Line2D([x + 2, x + 22], [y - 4, y - 4], color=EMBER, linewidth=3))
            sheet.add(Line2D([x + 12], [y - 4], marker="o", markersize=7, color=EMBER,
                             linestyle="none"))  # fmt: skip
        write(sheet, (x + 30, y), words, Ink(), room=room - 32)


def _place(share: float, layout: Layout) -> float:
    """Return where a number of parts in 100 stands."""
    return layout.left + share / 100 * (layout.right - layout.left)
