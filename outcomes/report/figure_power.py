"""Lines over firings: how often trials notice a difference, and how wide their intervals are."""

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from outcomes.report.drawings import PowerDrawing, PowerLine, PowerPanel
from outcomes.report.figure_canvas import (
    Ink,
    Sheet,
    Size,
    measure_text,
    open_sheet,
    split_text,
    write,
)
from outcomes.report.figure_frame import Frame
from outcomes.report.figure_palette import ASH, COPPER, EMBER, GLAZE, INK, PALE_ASH, PAPER, SMOKE
from outcomes.report.figure_shapes import make_sticks

TALL: Final = 170.0
LINE: Final = 20.0  # between two lines of the key
CLOSE: Final = 24.0  # ticks nearer than this would run into one another
_HEAD: Final = 12.5
# Colour, mark, dash.
_Style: TypeAlias = tuple[str, str, Literal["-", "--"]]
_STYLES: Final[tuple[_Style, ...]] = (
    (EMBER, "o", "-"),
    (GLAZE, "s", "-"),
    (COPPER, "^", "-"),
    (INK, "D", "-"),
    (EMBER, "v", "--"),
    (GLAZE, "P", "--"),
    (COPPER, "X", "--"),
    (INK, "*", "--"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """The width of a picture, and the left and right edge of its panels."""

    width: float
    panels: tuple[tuple[float, float], ...]


_WIDE = _Room(width=720, panels=((34, 344), (404, 714)))
_NARROW = _Room(width=340, panels=((34, 332), (34, 332)))


def draw_power(drawing: PowerDrawing, size: Size) -> Figure:
    """Return the panels, side by side on a wide page, one above the other on a narrow one."""
    room = _WIDE if size is Size.WIDE else _NARROW
    pitch = 0.0 if size is Size.WIDE else TALL + 104
    bottom = 44 + TALL + pitch * (len(drawing.panels) - 1)
    columns = _count_columns(drawing.panels[0].lines, room)
    lines = -(-len(drawing.panels[0].lines) // columns)
    sheet = open_sheet(room.width, bottom + 72 + LINE * lines)
    firings = [n for line in drawing.panels[0].lines for n in line.firings]
    for slot, panel in enumerate(drawing.panels):
        left, right = room.panels[slot]
        top = 44 + pitch * slot
        margin = 0.05 * max(1, max(firings) - min(firings))
        frame = Frame(
            left=left, right=right, top=top, bottom=top + TALL,
            low=min(firings) - margin, high=max(firings) + margin,
        )  # fmt: skip
        _draw_panel(sheet, frame, panel)
        _draw_ticks(sheet, frame, sorted(set(firings)))
        middle = ((left + right) / 2, frame.bottom + 38)
        write(sheet, middle, drawing.axis, Ink(align="center"), room=right - left)
    _write_key(sheet, drawing.panels[0].lines, room, top=bottom + 66, columns=columns)
    return sheet.figure


def _draw_panel(sheet: Sheet, frame: Frame, panel: PowerPanel) -> None:
    """Draw the heading, the scale, the line to reach, and the lines of the trials."""
    head = split_text(panel.title, size=_HEAD * 1.1, room=frame.right - frame.left + 34)
    for text, height in zip(head, (30, 14) if head[1] else (14, 0), strict=True):
        write(sheet, (frame.left - 34, frame.top - height), text, Ink(size=_HEAD, weight="bold"))
    for tick in range(0, panel.top + 1, panel.top // 4):
        y = _height(frame, panel, tick)
        colour = ASH if tick == 0 else PALE_ASH
        sheet.add(Line2D([frame.left, frame.right], [y, y], color=colour, linewidth=0.9, zorder=1))
        write(sheet, (frame.left - 6, y + 4), f"{tick}", Ink(colour=SMOKE, size=11, align="right"))
    if panel.goal is not None:
        y = _height(frame, panel, panel.goal)
        sheet.add(Line2D([frame.left, frame.right], [y, y], color=SMOKE, linewidth=1.4,
                         linestyle=(0, (4, 3)), zorder=2))  # fmt: skip
        write(sheet, (frame.left + 3, y - 4), f"{panel.goal}", Ink(colour=SMOKE, size=11))
    for line, style in zip(panel.lines, _styles(len(panel.lines)), strict=True):
        _draw_line(sheet, frame, panel, line, style)


def _draw_line(
    sheet: Sheet, frame: Frame, panel: PowerPanel, line: PowerLine, style: _Style
) -> None:
    """Draw one line with its marks, and how far the simulation leaves each open."""
    colour, marker, dash = style
    x = frame.across(line.firings)
    if line.low:
        sheet.add(make_sticks(x, [_height(frame, panel, low) for low in line.low],
                              [_height(frame, panel, high) for high in line.high],
                              colour=colour, width=1.4, zorder=3))  # fmt: skip
    sheet.add(Line2D(x, [_height(frame, panel, value) for value in line.value], color=colour,
                     marker=marker, markersize=7, markeredgecolor=PAPER, markeredgewidth=1.0,
                     linewidth=1.8, linestyle=dash, zorder=4))  # fmt: skip


def _height(frame: Frame, panel: PowerPanel, value: float) -> float:
    """Return where a value stands upward, in pixels."""
    return float(frame.upward([100.0 * min(value, panel.top) / panel.top])[0])


def _draw_ticks(sheet: Sheet, frame: Frame, firings: list[int]) -> None:
    """Write the firings of the grid below a panel, leaving out those that would touch."""
    last = -CLOSE
    for n in firings:
        x = float(frame.across([n])[0])
        if x - last >= CLOSE:
            write(sheet, (x, frame.bottom + 17), f"{n}", Ink(colour=SMOKE, size=11, align="center"))
            last = x


def _styles(n: int) -> tuple[_Style, ...]:
    """Return a colour, a mark and a dash for each line; they come round again after eight."""
    return tuple(_STYLES[slot % len(_STYLES)] for slot in range(n))


def _count_columns(lines: tuple[PowerLine, ...], room: _Room) -> int:
    """Return how many names of lines fit beside one another."""
    widest = max(measure_text(line.label, size=12) for line in lines)
    return max(1, min(len(lines), int(room.width // (widest + 56))))


def _write_key(
    sheet: Sheet, lines: tuple[PowerLine, ...], room: _Room, *, top: float, columns: int
) -> None:
    """Name the lines below the panels."""
    column = room.width / columns
    for slot, (line, style) in enumerate(zip(lines, _styles(len(lines)), strict=True)):
        colour, marker, dash = style
        x, y = 8 + column * (slot % columns), top + LINE * (slot // columns)
        sheet.add(Line2D([x, x + 15, x + 30], [y - 4] * 3, color=colour, linewidth=1.8,
                         linestyle=dash))  # fmt: skip
        sheet.add(Line2D([x + 15], [y - 4], color=colour, marker=marker, markersize=7,
                         markeredgecolor=PAPER, linestyle="none"))  # fmt: skip
        write(sheet, (x + 38, y), line.label, Ink(), room=column - 48)
