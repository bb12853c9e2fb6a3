"""Two hundreds of small pots; the filled ones reach the grade that counts."""

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.path import Path

from outcomes.report.drawings import PotsDrawing
from outcomes.report.figure_canvas import Ink, Sheet, Size, open_sheet, write
from outcomes.report.figure_palette import ASH, EMBER, INK, PAPER
from outcomes.report.pot_outline import POT_POINTS

A_ROW = 20
PITCH = 17.0
TALL = 158.0
_CODES = {"M": Path.MOVETO, "L": Path.LINETO, "C": Path.CURVE4}
POT = Path(
    [(x, -y) for _, (x, y) in POT_POINTS],  # markers are drawn with y upward
    [_CODES[code] for code, _ in POT_POINTS],
)


def draw_pots(drawing: PotsDrawing, size: Size) -> Figure:
    """Return the two hundreds, side by side (wide) or one below the other (narrow)."""
    wide = size is Size.WIDE
    width, height = (720.0, TALL) if wide else (340.0, 2 * TALL)
    sheet = open_sheet(width, height)
    each = width / 2 if wide else width
    for slot in (0, 1):
        corner = (each * slot, 0.0) if wide else (0.0, TALL * slot)
        _draw_hundred(sheet, drawing, slot, corner=corner)
    return sheet.figure


def _draw_hundred(
    sheet: Sheet, drawing: PotsDrawing, slot: int, *, corner: tuple[float, float]
) -> None:
    """Draw five rows of twenty, filled from the first row on, with the count above."""
    left, top = corner
    head = Ink(weight="bold", size=13.5)
    write(sheet, (left + 4, top + 18), drawing.titles[slot], head, room=330)
    write(sheet, (left + 4, top + 38), drawing.count_labels[slot], Ink(size=13.5), room=330)
    spots = [(left + 11 + PITCH * (n % A_ROW), top + 60 + PITCH * (n // A_ROW)) for n in range(100)]
    count = drawing.counts[slot]
    for part, fill, edge in ((spots[:count], EMBER, EMBER), (spots[count:], PAPER, ASH)):
        sheet.add(Line2D(
            [x for x, _ in part], [y for _, y in part], linestyle="none", marker=POT,
            markersize=13, markerfacecolor=fill, markeredgecolor=edge, markeredgewidth=0.9,
            color=INK,
        ))  # fmt: skip
