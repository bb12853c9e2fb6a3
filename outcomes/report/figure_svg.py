"""A matplotlib Figure as an inline SVG that a strict page accepts.

matplotlib writes style attributes (which the page's policy forbids), ids that repeat from
figure to figure (which HTML forbids) and its own fonts. Here styles become presentation
attributes, every id gets the figure's key, and the page's fonts are used.
"""

import io
import re
import xml.etree.ElementTree as ET
from typing import Any, Literal

import matplotlib as mpl
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties

from outcomes.report.figure_compact import SVG, compact_picture

_XLINK = "http://www.w3.org/1999/xlink"
_LONG = re.compile(r"-?\d+\.\d+")
_FONT = re.compile(r"(?:(?P<weight>bold|\d{3})\s+)?(?P<size>[\d.]+)px")
# XML 1.0, production 2: everything else cannot stand in a document at all.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
DPI = 72.0  # one matplotlib point is one pixel of the page
MISSING_GLYPH = r"Glyph \d+ .*missing from"
# Any: the names of matplotlib's settings are a type of their own, of three hundred words.
STYLE: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "outcomes",
    "text.parse_math": False,
    "font.family": "DejaVu Sans",
    "path.simplify": False,
    "lines.solid_capstyle": "butt",
}


def clean_text(text: str) -> str:
    r"""Return a text that can stand in an SVG: one line, no characters XML forbids.

    >>> clean_text("Tarn\x00 Lantern\n")
    'Tarn Lantern'
    """
    return " ".join(_NOT_XML.sub("", text).split())


def render_svg(
    figure: Figure, *, key: str, title: str, alt: str, described_by: str, css_class: str
) -> str:
    """Return the figure as SVG text; the same figure gives the same bytes.

    ``key`` begins every id, ``title`` and ``alt`` become the SVG's own name and description;
    without ``alt`` it has none of its own. ``described_by`` is the id of its description.
    """
    root = ET.fromstring(_save(figure))
    _strip(root)
    for element in root.iter():
        _use_attributes(element)
        _round_numbers(element)
    _rename(root, key)
    _flatten(root)
    compact_picture(root)
    _name(root, key=key, title=title, alt=alt)
    root.set("class", css_class)
    root.set("aria-describedby", described_by)
    return _serialise(root)


class _Unmeasured(RendererSVG):
    """matplotlib's writer of SVG, with texts as wide as the browser will set them.

    Every text is one line on its base line, held at its start, middle or end: where it stands
    does not depend on its size, and to measure each took a fifth of the time of a picture.
    """

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: bool | Literal["TeX"]
    ) -> tuple[float, float, float]:
        """Return no size at all."""
        return 0.0, 0.0, 0.0


def _save(figure: Figure) -> str:
    buffer = io.StringIO()
    nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    width, height = (float(DPI * inches) for inches in figure.get_size_inches())
    writer: Any = _Unmeasured  # matplotlib gives this class no types
    with mpl.rc_context(STYLE):
        renderer = writer(width, height, buffer, metadata=nothing)
        figure.draw(renderer)
        renderer.finalize()
    return buffer.getvalue()


def _strip(root: ET.Element) -> None:
    """Remove what the page states itself, and clipping: nothing is drawn outside a panel."""
    unwanted = {f"{{{SVG}}}{name}" for name in ("metadata", "style", "clipPath")}
    for parent in list(root.iter()):
        parent.attrib.pop("clip-path", None)
        for child in list(parent):
            if child.tag in unwanted:
                parent.remove(child)


def _use_attributes(element: ET.Element) -> None:
    """Turn a style attribute into presentation attributes."""
    style = element.attrib.pop("style", "")
    for declaration in filter(None, (part.strip() for part in style.split(";"))):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name == "font":
            _set_font(element, value)
        elif name not in ("font-family", "mix-blend-mode"):
            element.set(name, value)


def _set_font(element: ET.Element, value: str) -> None:
    found = _FONT.search(value)
    if found is None:
        return
    element.set("font-size", found["size"])
    if found["weight"] and found["weight"] != "400":
        element.set("font-weight", found["weight"])


def _round_numbers(element: ET.Element) -> None:
    """Keep a tenth of a pixel, and drop a turn by nothing."""
    for name in ("d", "x", "y"):
        if name in element.attrib:
            element.set(name, _LONG.sub(_round, element.attrib[name]).strip())
    if element.attrib.get("transform", "").startswith("rotate(-0 "):
        del element.attrib["transform"]


def _round(found: re.Match[str]) -> str:
    return f"{float(found[0]):.1f}".rstrip("0").rstrip(".")


def _rename(root: ET.Element, key: str) -> None:
    """Keep only ids that something refers to, numbered within the picture's key."""
    reference = f"{{{_XLINK}}}href"
    used = dict.fromkeys(
        element.attrib[reference][1:] for element in root.iter() if reference in element.attrib
    )
    names = {old: f"{key}-{n}" for n, old in enumerate(used, start=1)}
    for element in root.iter():
        old = element.attrib.pop("id", None)
        if old in names:
            element.set("id", names[old])
        target = element.attrib.pop(reference, None)
        if target is not None:
            element.set("href", f"#{names[target[1:]]}")


def _flatten(parent: ET.Element) -> None:
    """Take out groups that say nothing, and empty definitions."""
    kept: list[ET.Element] = []
    for child in list(parent):
        _flatten(child)
        if child.tag == f"{{{SVG}}}g" and not child.attrib:
            kept += list(child)
        elif child.tag != f"{{{SVG}}}defs" or len(child):
            kept.append(child)
    parent[:] = kept


def _name(root: ET.Element, *, key: str, title: str, alt: str) -> None:
    """Make the picture one image with a name and a description for those who hear the page."""
    _, _, width, height = root.attrib["viewBox"].split()
    root.attrib.clear()
    root.attrib.update(
        {
            "viewBox": f"0 0 {width} {height}",
            "width": width,
            "height": height,
            "role": "img",
            "aria-labelledby": f"{key}-title",
            "stroke-linejoin": "round",
        }
    )
    named = ET.Element(f"{{{SVG}}}title", {"id": f"{key}-title"})
    named.text = clean_text(title)
    root.insert(0, named)
    if alt:
        described = ET.Element(f"{{{SVG}}}desc", {"id": f"{key}-desc"})
        described.text = clean_text(alt)
        root.insert(1, described)


def _serialise(root: ET.Element) -> str:
    """Return the text without name spaces: HTML knows svg by its name."""
    for element in root.iter():
        element.tag = element.tag.removeprefix(f"{{{SVG}}}")
        element.attrib = {
            name: value for name, value in element.attrib.items() if not name.startswith("{")
        }
        if (
            element.tag not in ("text", "tspan", "title", "desc")
            and not (element.text or "").strip()
        ):
            element.text = None
        element.tail = None if not (element.tail or "").strip() else element.tail
    return ET.tostring(root, encoding="unicode", short_empty_elements=True).replace(" />", "/>")
