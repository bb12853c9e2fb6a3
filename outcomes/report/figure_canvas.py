"""A blank sheet measured in the page's own pixels, and text that fits its room."""

import warnings
from dataclasses import dataclass
from enum import StrEnum

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from outcomes.report.figure_palette import INK
from outcomes.report.figure_svg import MISSING_GLYPH, clean_text

DPI = 72.0  # one matplotlib point is one pixel of the page


class Size(StrEnum):
    """The two widths each picture is drawn for; the page shows the one that fits."""

    WIDE = "wide"
    NARROW = "narrow"


def open_figure(width: float, height: float) -> Figure:
    """Return an empty figure of that many pixels, its ground left to the page."""
    figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI)
    figure.patch.set_visible(False)
    return figure


def open_canvas(width: float, height: float) -> tuple[Figure, Axes]:
    """Return a figure whose one pair of axes counts pixels from the top left."""
    figure = open_figure(width, height)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.set_axis_off()
    return figure, axes


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How a line of text is written; ``align`` is "left", "center" or "right" of its place."""

    colour: str = INK
    size: float = 12
    weight: str = "normal"
    align: str = "left"


def write(
    axes: Axes, at: tuple[float, float], text: str, ink: Ink, *, room: float | None = None
) -> None:
    """Write one line at a base line; a text longer than its room ends in "…"."""
    fitting = clean_text(text) if room is None else fit_text(text, size=ink.size, room=room)
    axes.text(
        *at, fitting, color=ink.colour, fontsize=ink.size, fontweight=ink.weight, ha=ink.align,
        parse_math=False,
    )  # fmt: skip


def fit_text(text: str, *, size: float, room: float) -> str:
    """Return the text, cut with "…" where it would not fit in ``room`` pixels.

    Measured with matplotlib's own font, which is wider than those of most systems.

    >>> fit_text("Tarn Lantern", size=12, room=200), fit_text("Tarn Lantern", size=12, room=45)
    ('Tarn Lantern', 'Tarn…')
    """
    whole = clean_text(text)
    # No letter of the font is wider than its size: most texts need no measuring.
    if len(whole) * size <= room or measure_text(whole, size=size) <= room:
        return whole
    fits, too_long = 0, len(whole)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        wide = measure_text(whole[:middle].rstrip() + "…", size=size)
        fits, too_long = (middle, too_long) if wide <= room else (fits, middle)
    return whole[:fits].rstrip() + "…"


def split_text(text: str, *, size: float, room: float) -> tuple[str, str]:
    """Return a text as two lines, the second "" when it fits in one; cut where two are too few.

    >>> split_text("Tarn Lantern", size=12, room=200), split_text("Tarn Lantern", size=12, room=60)
    (('Tarn Lantern', ''), ('Tarn', 'Lantern'))
    """
    words = clean_text(text).split(" ")
    count = len(words)
    while count > 1 and measure_text(" ".join(words[:count]), size=size) > room:
        count -= 1
    first, rest = " ".join(words[:count]), " ".join(words[count:])
    return fit_text(first, size=size, room=room), fit_text(rest, size=size, room=room)


def measure_text(text: str, *, size: float) -> float:
    """Return the width of a line in pixels."""
    prop = FontProperties(family="DejaVu Sans", size=size)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=MISSING_GLYPH)
        width, _, _ = text_to_path.get_text_width_height_descent(text, prop, ismath=False)
    return float(width)
