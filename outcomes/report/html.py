"""A document as one HTML file that loads nothing, and runs nothing but a panel of its own.

This is the only place where text becomes HTML: Jinja2 escapes every value. The exceptions are
the SVG of our own figures, whose texts were escaped when it was serialised, and the panel's
JSON, in which no "<" is left.
"""

import base64
import hashlib
from collections.abc import Mapping
from importlib import resources

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from outcomes.effects.effect import Word
from outcomes.report.document import Document, Picture, TryPanel, iterate_blocks
from outcomes.report.figure_palette import MARKS

TEMPLATE = "page.html.jinja"
SCRIPTS = ("panel_chance.js", "panel_controls.js", "panel_page.js")


def render_page(document: Document, drawn: Mapping[str, str] | None = None) -> str:
    """Return the page; the same document gives the same text, to the last byte.

    Parameters
    ----------
    document
        What the page says.
    drawn
        Its pictures by key, from `draw`; drawn here where they are missing.
    """
    has_panel = any(isinstance(b, TryPanel) for b in iterate_blocks(document.sections))
    style = read_part("style.css") + (read_part("panel.css") if has_panel else "")
    script = "".join(read_part(name) for name in SCRIPTS) if has_panel else ""
    page = _build_environment(drawn or {}).get_template(TEMPLATE)
    return page.render(
        document=document,
        labels=dict(document.labels),
        policy=build_policy(style, script),
        style=Markup(style),  # noqa: S704 - ships with the package, holds nothing of the log
        script=Markup(script),  # noqa: S704 - ships with the package, holds nothing of the log
    )


def build_policy(style: str, script: str = "") -> str:
    """Return the Content-Security-Policy: nothing but this style, this script, inline images.

    >>> build_policy("p{}").split("; ")[0]
    "default-src 'none'"
    """
    scripts = (f"script-src {_name_hash(script)}",) if script else ()
    return "; ".join(
        (
            "default-src 'none'",
            *scripts,
            f"style-src {_name_hash(style)}",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def _name_hash(text: str) -> str:
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    return f"'sha256-{digest}'"


def read_part(name: str) -> str:
    """Return a file of this room: the template or the style sheet."""
    return resources.files("outcomes.report").joinpath(name).read_text(encoding="utf-8")


def find_pictures(document: Document) -> tuple[Picture, ...]:
    """Return the pictures of a page, in reading order."""
    return tuple(b for b in iterate_blocks(document.sections) if isinstance(b, Picture))


def draw(picture: Picture) -> str:
    """Return a picture as it stands in a page, in its two widths."""
    from outcomes.report.figures import render_picture  # sheets, too, are pages: without pictures

    return render_picture(picture.drawing, key=picture.key, title=picture.title, alt=picture.alt)


def _build_environment(drawn: Mapping[str, str]) -> Environment:
    def render_svg(picture: Picture) -> Markup:
        svg = drawn[picture.key] if picture.key in drawn else draw(picture)
        return Markup(svg)  # noqa: S704 - serialised by ElementTree, which escapes every text

    environment = Environment(
        loader=DictLoader({TEMPLATE: read_part(TEMPLATE)}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["kind"] = lambda block: type(block).__name__
    environment.filters["sign"] = lambda word: MARKS[word].sign
    environment.filters["slug"] = slug
    environment.filters["svg"] = render_svg
    environment.filters["island"] = _escape_json
    return environment


def slug(word: Word) -> str:
    """Return a verdict word as a class name.

    >>> slug(Word.CANNOT_TELL)
    'cannot-tell-yet'
    """
    return str(word).replace(" ", "-")


def _escape_json(text: str) -> Markup:
    """Return JSON that cannot end its element: inside strings these letters may be escaped."""
    safe = text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return Markup(safe)  # noqa: S704 - no markup is left in it
