"""A picture of a page as an object that a notebook shows, with its words and cautions."""

import base64
from dataclasses import dataclass
from html import escape

from outcomes.report.document import Block, Picture, iterate_blocks
from outcomes.report.figure_files import render_svg_file


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shown:
    """One picture; it is drawn when it is looked at.

    In a notebook the picture stands in an image of its own: a notebook that nobody has trusted
    yet shows images, but takes every inline SVG out of an output.
    """

    picture: Picture

    @property
    def svg(self) -> str:
        """Return the picture as a complete SVG file, ready to be written."""
        return render_svg_file(self.picture)

    def __repr__(self) -> str:
        return f"<Shown: {self.picture.title}>"

    def _repr_html_(self) -> str:
        picture = self.picture
        data = base64.b64encode(self.svg.encode("utf-8")).decode("ascii")
        told = [picture.title, picture.sentence, picture.caption, *picture.cautions]
        words = "".join(f"<p>{escape(text)}</p>" for text in told if text)
        return (
            f'<figure><img alt="{escape(picture.alt)}" src="data:image/svg+xml;base64,{data}">'
            f"<figcaption>{words}</figcaption></figure>"
        )


def collect_pictures(blocks: tuple[Block, ...]) -> dict[str, Shown]:
    """Return the pictures among some blocks by their keys, in reading order."""
    found = (block for block in iterate_blocks(blocks) if isinstance(block, Picture))
    return {picture.key: Shown(picture=picture) for picture in found}
