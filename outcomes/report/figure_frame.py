"""One panel on a canvas: where its values stand in pixels, its scale and its ticks."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from outcomes.report.drawings import CurvePanel
from outcomes.report.figure_canvas import Ink, Sheet, fit_text, write
from outcomes.report.figure_palette import ASH, GLAZE, INK, PALE_ASH, PALE_GLAZE, SMOKE
from outcomes.report.figure_shapes import make_band, make_sticks

FloatArray = NDArray[np.float64]
_UPWARD = Ink(colour=SMOKE, size=11, align="right")
_ACROSS = Ink(colour=SMOKE, size=11, align="center")


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A panel's edges in pixels from the top left, and the values at its left and right.

    Upward it always runs from 0 to 100.
    """

    left: float
    right: float
    top: float
    bottom: float
    low: float
    high: float

    def across(self, values: Sequence[float] | FloatArray) -> FloatArray:
        """Return where values stand from left to right."""
        share = (np.asarray(values, dtype=float) - self.low) / (self.high - self.low)
        return np.asarray(self.left + share * (self.right - self.left))

    def upward(self, shares: Sequence[float] | FloatArray) -> FloatArray:
        """Return where pieces in 100 stand from the bottom up."""
        height = self.bottom - self.top
        return np.asarray(self.bottom - np.asarray(shares, dtype=float) / 100 * height)


def is_levels(panel: CurvePanel) -> bool:
    """Return whether a panel runs over names instead of numbers."""
    return isinstance(panel.at[0], str)


def places(panel: CurvePanel) -> FloatArray:
    """Return the values along a panel: its numbers, or 0, 1, 2 ... for names."""
    if is_levels(panel):
        return np.arange(len(panel.at), dtype=float)
    return np.asarray(panel.at, dtype=float)


def find_ends(panels: Sequence[CurvePanel]) -> tuple[float, float]:
    """Return the values at the left and the right edge that hold all these panels."""
    lows = [float(places(panel)[0]) for panel in panels]
    highs = [float(places(panel)[-1]) for panel in panels]
    if any(is_levels(panel) for panel in panels):
        return -0.5, max(highs) + 0.5
    low, high = min(lows), max(highs)
    return (low, high) if low < high else (low - 1, high + 1)


def draw_scale(sheet: Sheet, frame: Frame, *, at: Sequence[int] = (0, 25, 50, 75, 100)) -> None:
    """Draw the lines and numbers from 0 to 100."""
    for share in at:
        y = float(frame.upward([share])[0])
        colour = ASH if share == 0 else PALE_ASH
        sheet.add(Line2D([frame.left, frame.right], [y, y], color=colour, linewidth=0.9, zorder=1))
        write(sheet, (frame.left - 6, y + 4), f"{share}", _UPWARD)


def draw_ticks(sheet: Sheet, frame: Frame, panel: CurvePanel) -> None:
    """Write round numbers, or the names of levels, below a panel."""
    if is_levels(panel):
        room = (frame.right - frame.left) / len(panel.at) - 6
        names = [fit_text(str(name), size=11, room=room) for name in panel.at]
        marks = list(zip(places(panel), names, strict=True))
    else:
        most = 6 if frame.right - frame.left > 400 else 4
        marks = [(tick, f"{tick:g}") for tick in pick_ticks(frame.low, frame.high, most=most)]
    for value, name in marks:
        x = float(frame.across([value])[0])
        write(sheet, (x, frame.bottom + 17), name, _ACROSS)


def pick_ticks(low: float, high: float, *, most: int) -> list[float]:
    """Return round numbers between two ends, at most that many.

    >>> pick_ticks(4.0, 26.0, most=6)
    [5.0, 10.0, 15.0, 20.0, 25.0]
    """
    span = max(high - low, 1e-9)
    power = 10.0 ** np.floor(np.log10(span))
    steps = (power * share for share in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0))
    step = next(s for s in steps if span / s <= most - 0.5)
    first = np.ceil(low / step - 1e-9)
    last = np.floor(high / step + 1e-9)
    return [round(float(n * step), 10) + 0.0 for n in np.arange(first, last + 1)]


def draw_reach(sheet: Sheet, frame: Frame, panel: CurvePanel) -> None:
    """Draw how many of 100 reach the aim, with the interval where there is one."""
    at = frame.across(places(panel))
    middle = frame.upward(panel.reach)
    if is_levels(panel):
        if panel.low:
            low, high = frame.upward(panel.low), frame.upward(panel.high)
            sticks = make_sticks(at, low, high, colour=GLAZE, width=3)
            sticks.set_capstyle("round")
            sheet.add(sticks)
        sheet.add(Line2D(at, middle, marker="o", markersize=8, color=GLAZE, linestyle="none"))
        return
    if panel.low:
        low, high = frame.upward(panel.low), frame.upward(panel.high)
        sheet.add(make_band(at, low, high, colour=PALE_GLAZE))
    sheet.add(Line2D(at, middle, color=GLAZE, linewidth=2.6, solid_capstyle="round"))


def draw_rug(sheet: Sheet, frame: Frame, panel: CurvePanel, *, top: float) -> None:
    """Draw a tick for each logged value below ``top``, or count the pieces of each level."""
    if is_levels(panel):
        for value, name in zip(places(panel), panel.at, strict=True):
            count = sum(logged == name for logged in panel.rug)
            x = float(frame.across([value])[0])
            write(sheet, (x, top + 12), f"{count}", _ACROSS)
        return
    inside = [float(value) for value in panel.rug if frame.low <= float(value) <= frame.high]
    # Whole pixels: ten thousand pieces draw no more ticks than the panel is wide.
    ticks = weigh_ticks(frame.across(inside).round().tolist())
    if ticks:
        ends = [top + length for _, length in ticks]
        tops = [top] * len(ticks)
        sheet.add(make_sticks([x for x, _ in ticks], tops, ends, colour=INK, width=1.1))


def weigh_ticks(places_px: Sequence[float]) -> list[tuple[float, float]]:
    """Return (place, length) of each tick in pixels: longer where several pieces share it.

    >>> weigh_ticks([20.0, 20.0, 31.0])
    [(20.0, 14.0), (31.0, 9.0)]
    """
    counts = Counter(places_px)
    most = max(counts.values(), default=1)
    return [(place, 4 + 10 * n / most) for place, n in sorted(counts.items())]
