"""A blank sheet measured in the page's own pixels, and text that fits its room."""

import warnings
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, TypeAlias

from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text
from matplotlib.textpath import text_to_path
from matplotlib.transforms import Bbox, BboxTransformFrom, Transform

from outcomes.report.figure_palette import INK
from outcomes.report.figure_svg import DPI, MISSING_GLYPH, clean_text

Align: TypeAlias = Literal["left", "center", "right"]


class Size(StrEnum):
    """The two widths each picture is drawn for; the page shows the one that fits."""

    WIDE = "wide"
    NARROW = "narrow"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """A figure on which things stand in pixels from the top left.

    It has no axes: a pair of them with its scales and ticks, none of which our pictures show,
    would take longer to set up than most pictures to draw.
    """

    figure: Figure
    pixels: Transform

    def add(self, artist: Artist, *, clip: bool = True) -> None:
        """Draw something whose places are pixels; cut at the sheet's edge, or not."""
        artist.set_transform(self.pixels)
        self.figure.add_artist(artist, clip=clip)


def open_sheet(width: float, height: float) -> Sheet:
    """Return an empty sheet of that many pixels, its ground left to the page."""
    figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI)
    figure.patch.set_visible(False)
    downward = BboxTransformFrom(Bbox([[0, height], [width, 0]]))
    return Sheet(figure=figure, pixels=downward + figure.transFigure)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How a line of text is written, and with which end or its middle at its place."""

    colour: str = INK
    size: float = 12
    weight: str = "normal"
    align: Align = "left"


def write(
    sheet: Sheet, at: tuple[float, float], text: str, ink: Ink, *, room: float | None = None
) -> None:
    """Write one line at a base line; a text longer than its room ends in "…"."""
    fitting = clean_text(text) if room is None else fit_text(text, size=ink.size, room=room)
    words = Text(*at, fitting, color=ink.colour, fontsize=ink.size, fontweight=ink.weight,
                 horizontalalignment=ink.align, parse_math=False)  # fmt: skip
    sheet.add(words, clip=False)


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
