"""A document as one HTML file that loads nothing and runs nothing.

This is the only place where text becomes HTML: Jinja2 escapes every value. The one exception
is the SVG of our own figures, whose texts were escaped when it was serialised.
"""

import base64
import hashlib
from importlib import resources

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from outcomes.effects.effect import Word
from outcomes.report.document import Document, Picture
from outcomes.report.figure_palette import MARKS
from outcomes.report.figures import render_picture

TEMPLATE = "page.html.jinja"


def render_page(document: Document) -> str:
    """Return the page; the same document gives the same text, to the last byte."""
    style = read_part("style.css")
    page = _build_environment().get_template(TEMPLATE)
    return page.render(
        document=document,
        labels=dict(document.labels),
        policy=build_policy(style),
        style=Markup(style),  # noqa: S704 - ships with the package, holds nothing of the log
    )


def build_policy(style: str) -> str:
    """Return the Content-Security-Policy: nothing but this style sheet and inline images.

    >>> build_policy("p{}").split("; ")[0]
    "default-src 'none'"
    """
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return "; ".join(
        (
            "default-src 'none'",
            f"style-src 'sha256-{digest}'",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def read_part(name: str) -> str:
    """Return a file of this room: the template or the style sheet."""
    return resources.files("outcomes.report").joinpath(name).read_text(encoding="utf-8")


def _build_environment() -> Environment:
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
    environment.filters["svg"] = _render_svg
    return environment


def slug(word: Word) -> str:
    """Return a verdict word as a class name.

    >>> slug(Word.CANNOT_TELL)
    'cannot-tell-yet'
    """
    return str(word).replace(" ", "-")


def _render_svg(picture: Picture) -> Markup:
    svg = render_picture(picture.drawing, key=picture.key, title=picture.title, alt=picture.alt)
    return Markup(svg)  # noqa: S704 - serialised by ElementTree, which escapes every text
