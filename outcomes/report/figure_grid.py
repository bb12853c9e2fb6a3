"""Two graders' grades against each other: a square of counts, agreement on its diagonal."""

from dataclasses import dataclass

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from outcomes.report.drawings import GridDrawing
from outcomes.report.figure_canvas import Ink, Sheet, Size, open_sheet, split_text, write
from outcomes.report.figure_palette import BAND, EMBER, INK, PAPER, SMOKE, mix_colours


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """The sheet's width, the square's corner and the widest and the tallest cell, in pixels."""

    width: float
    left: float
    top: float
    cell: float
    tall: float


_LAYOUTS = {
    Size.WIDE: Layout(width=720, left=190, top=78, cell=96, tall=52),
    Size.NARROW: Layout(width=340, left=76, top=78, cell=52, tall=48),
}
_HEAD = Ink(size=13, weight="bold")
_HEAD_DOWN = Ink(size=13, weight="bold", align="right")
_ROOM_BESIDE = 120  # pixels that a name and its arrow take
_DARKEST = 0.6  # of ember: soot keeps 4.5:1 on it


def draw_grid(drawing: GridDrawing, size: Size) -> Figure:
    """Return the square; rows are the first grader's grades, lowest at the top."""
    layout = _LAYOUTS[size]
    k = len(drawing.grades)
    across = min(layout.cell, (layout.width - layout.left - 4) / k)
    sheet = open_sheet(layout.width, layout.top + layout.tall * k + 10)
    write(sheet, (layout.left, 18), drawing.other, _HEAD, room=across * k)
    _write_corner(sheet, drawing.one, layout)
    most = max(max(row) for row in drawing.counts) or 1
    for i in range(k):
        _write_heads(sheet, drawing, layout, slot=i, across=across)
        for j in range(k):
            corner = (layout.left + across * j, layout.top + layout.tall * i)
            _draw_cell(sheet, drawing.counts[i][j], corner=corner, across=across,
                       tall=layout.tall, share=drawing.counts[i][j] / most)  # fmt: skip
    for i in range(k):
        corner = (layout.left + across * i, layout.top + layout.tall * i)
        sheet.add(Rectangle((corner[0] + 1.5, corner[1] + 1.5), across - 3, layout.tall - 3,
                            fill=False, edgecolor=INK, linewidth=1.8))  # fmt: skip
    return sheet.figure


def _write_corner(sheet: Sheet, text: str, layout: Layout) -> None:
    """Write whose grades run downward: beside the heads, above them where there is no room."""
    if layout.left > _ROOM_BESIDE:
        write(sheet, (layout.left - 8, layout.top - 10), text, _HEAD_DOWN, room=layout.left - 10)
    else:
        write(sheet, (0, 40), text, _HEAD, room=layout.width)


def _write_heads(
    sheet: Sheet, drawing: GridDrawing, layout: Layout, *, slot: int, across: float
) -> None:
    """Write one grade's name over its column and before its row."""
    quiet = Ink(colour=SMOKE, size=12, align="center")
    first, second = split_text(drawing.grades[slot], size=12, room=across - 4)
    at = layout.left + across * (slot + 0.5)
    write(sheet, (at, layout.top - (24 if second else 10)), first, quiet)
    write(sheet, (at, layout.top - 9), second, quiet)
    level = layout.top + layout.tall * (slot + 0.5) + 5
    write(sheet, (layout.left - 8, level), drawing.grades[slot],
          Ink(colour=SMOKE, size=12, align="right"), room=layout.left - 10)  # fmt: skip


def _draw_cell(
    sheet: Sheet, count: int, *, corner: tuple[float, float], across: float, tall: float,
    share: float,
) -> None:  # fmt: skip
    """Draw one cell, the darker the more pieces, with their number."""
    x, y = corner
    fill = mix_colours(PAPER, EMBER, _DARKEST * share)
    sheet.add(Rectangle((x + 1, y + 1), across - 2, tall - 2, facecolor=fill,
                        edgecolor=BAND, linewidth=1))  # fmt: skip
    if count:
        write(sheet, (x + across / 2, y + tall / 2 + 6), f"{count}",
              Ink(size=15, align="center"))  # fmt: skip
