"""One small picture a glaze, all on one scale, so that their shapes can be compared."""

from matplotlib.figure import Figure

from outcomes.report.drawings import GlazeDrawing
from outcomes.report.figure_canvas import Ink, Size, open_sheet, write
from outcomes.report.figure_frame import (
    Frame,
    draw_reach,
    draw_rug,
    draw_scale,
    draw_ticks,
    find_ends,
)

GAP = 38.0
TALL = 140.0
PITCH = TALL + 72
LEFT = 32.0
_COLUMNS = {Size.WIDE: 3, Size.NARROW: 1}
_WIDTHS = {Size.WIDE: 720.0, Size.NARROW: 340.0}


def draw_glazes(drawing: GlazeDrawing, size: Size) -> Figure:
    """Return the small pictures in rows of three (wide) or one below the other (narrow)."""
    columns = min(_COLUMNS[size], len(drawing.panels))
    rows = -(-len(drawing.panels) // columns)
    width, height = _WIDTHS[size], 34 + PITCH * rows + 14
    sheet = open_sheet(width, height)
    write(sheet, (0, 14), drawing.reach_label, Ink(size=12.5, weight="bold"), room=width)
    each = (width - LEFT - 8 - GAP * (columns - 1)) / columns
    low, high = find_ends(drawing.panels)
    for slot, panel in enumerate(drawing.panels):
        left = LEFT + (each + GAP) * (slot % columns)
        top = 56 + PITCH * (slot // columns)
        frame = Frame(left=left, right=left + each, top=top, bottom=top + TALL, low=low, high=high)
        write(sheet, (left, top - 10), panel.title, Ink(), room=each)
        draw_scale(sheet, frame, at=(0, 50, 100))
        draw_reach(sheet, frame, panel)
        draw_rug(sheet, frame, panel, top=frame.bottom + 22)
        draw_ticks(sheet, frame, panel)
    write(sheet, (width / 2, height - 6), drawing.axis, Ink(align="center"), room=width)
    return sheet.figure
