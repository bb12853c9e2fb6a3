"""The handout as one HTML file that loads nothing, runs nothing and prints on one sheet."""

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from outcomes.report.handout import Handout
from outcomes.report.html import build_policy, read_part

A_ROW = 10
PITCH = 10


def render_handout(handout: Handout) -> str:
    """Return the page; the same handout gives the same text, to the last byte."""
    style = read_part("handout.css")
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True,
    )  # fmt: skip
    page = environment.from_string(read_part("handout.html.jinja"))
    return page.render(
        handout=handout,
        policy=build_policy(style),
        style=Markup(style),  # noqa: S704 - ships with the package, holds nothing of the log
        spots=[
            (PITCH * (n % A_ROW) + PITCH // 2, PITCH * (n // A_ROW) + PITCH // 2)
            for n in range(100)
        ],
    )
