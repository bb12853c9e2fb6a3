"""A picture as files of its own: SVG for the screen, PDF for a paper; the same bytes each time."""

import io
import warnings
from typing import Any

import matplotlib as mpl

from outcomes.report.document import Picture
from outcomes.report.figure_canvas import Size
from outcomes.report.figure_svg import MISSING_GLYPH, render_svg
from outcomes.report.figures import draw_picture

_FONTS = "'Gill Sans', 'Trebuchet MS', 'Liberation Sans', Arial, sans-serif"
# Not compressed: what a compressor makes differs from library to library.
_PDF: Any = {"pdf.compression": 0, "pdf.fonttype": 3, "path.simplify": False}
_UNDATED = {"CreationDate": None, "Creator": None, "Producer": None}


def render_svg_file(picture: Picture) -> str:
    """Return the picture as a complete SVG file, with its title and description."""
    inline = render_svg(
        draw_picture(picture.drawing, Size.WIDE),
        key=picture.key,
        title=picture.title,
        alt=picture.alt,
        described_by=f"{picture.key}-desc",
        css_class="figure",
    )
    opened = f'<svg xmlns="http://www.w3.org/2000/svg" font-family="{_FONTS}" '
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + inline.replace("<svg ", opened, 1) + "\n"


def render_pdf_file(picture: Picture) -> bytes:
    """Return the picture as a PDF of one page, fonts embedded, without date or maker's mark."""
    figure = draw_picture(picture.drawing, Size.WIDE)
    buffer = io.BytesIO()
    with mpl.rc_context(_PDF), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=MISSING_GLYPH)
        figure.savefig(buffer, format="pdf", metadata=_UNDATED)
    return buffer.getvalue()
