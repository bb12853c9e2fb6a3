"""The only door to matplotlib: a drawing in, inline SVG out."""

import matplotlib as mpl
from matplotlib.figure import Figure

from outcomes.report.drawings import (
    CurveDrawing,
    Drawing,
    GlazeDrawing,
    GridDrawing,
    PotsDrawing,
    PowerDrawing,
    SharesDrawing,
    StripDrawing,
)
from outcomes.report.figure_canvas import Size
from outcomes.report.figure_curve import draw_curve
from outcomes.report.figure_glazes import draw_glazes
from outcomes.report.figure_grid import draw_grid
from outcomes.report.figure_pots import draw_pots
from outcomes.report.figure_power import draw_power
from outcomes.report.figure_shares import draw_shares
from outcomes.report.figure_strip import draw_strip
from outcomes.report.figure_svg import STYLE, render_svg

_KINDS = {
    StripDrawing: "strip",
    CurveDrawing: "curve",
    GlazeDrawing: "glazes",
    PotsDrawing: "pots",
    SharesDrawing: "shares",
    PowerDrawing: "power",
    GridDrawing: "grid",
}


def draw_picture(drawing: Drawing, size: Size) -> Figure:
    """Return a drawing as a matplotlib Figure of one of the two widths.

    A maker's own matplotlib settings are not looked at: the same drawing is the same picture.
    """
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(STYLE)
        if isinstance(drawing, StripDrawing):
            return draw_strip(drawing, size)
        if isinstance(drawing, CurveDrawing):
            return draw_curve(drawing, size)
        if isinstance(drawing, GlazeDrawing):
            return draw_glazes(drawing, size)
        return _draw_counts(drawing, size)


def _draw_counts(
    drawing: PotsDrawing | SharesDrawing | PowerDrawing | GridDrawing, size: Size
) -> Figure:
    """Return a picture of counts of a hundred, or of two graders."""
    if isinstance(drawing, SharesDrawing):
        return draw_shares(drawing, size)
    if isinstance(drawing, PowerDrawing):
        return draw_power(drawing, size)
    if isinstance(drawing, GridDrawing):
        return draw_grid(drawing, size)
    return draw_pots(drawing, size)


def render_picture(drawing: Drawing, *, key: str, title: str, alt: str) -> str:
    """Return a drawing as two inline SVGs, wide and narrow; the page shows the one that fits.

    The one not shown is taken out of the page's flow, so that it is not read aloud either. Both
    are described by the one description in the wide: what aria-describedby names is heard even
    where it is not shown (Accessible Name and Description Computation 1.2, step 2A).
    """
    return "\n".join(
        render_svg(
            draw_picture(drawing, size),
            key=f"{key}-{size}",
            title=title,
            alt=alt if size is Size.WIDE else "",
            described_by=f"{key}-{Size.WIDE}-desc",
            css_class=f"figure {size} {_KINDS[type(drawing)]}",
        )
        for size in Size
    )
