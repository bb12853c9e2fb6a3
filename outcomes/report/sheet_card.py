"""The grading card: every grade of every outcome in words, on one page to print."""

import base64
import hashlib
from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from outcomes.log.codebook import Codebook, Level, Outcome

_COLD_FIRST = (
    "Pieces out of the can are still hot: grade them only when they are cold, and lift no lid to "
    "look. The ware is porous and may hold metal from the glaze: it is not for food or drink."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grade:
    """One line of a card: the grade, how far up it stands, and its wording in two parts."""

    name: str
    filled: str
    empty: str
    word: str
    wording: str


def render_card(codebook: Codebook) -> str:
    """Return the grading card as one self-contained HTML page.

    Notes
    -----
    The page says nothing of which grade is aimed at: a grader who knows leans towards it.
    """
    style = _read("sheet_card.css")
    template = _environment().from_string(_read("sheet_card.html.jinja"))
    return template.render(
        codebook=codebook,
        style=Markup(style),  # noqa: S704 - our own file, without anything a maker wrote
        style_hash=_hash_style(style),
        caution=_COLD_FIRST if codebook.handles_hot_ware else "",
        cards=[(outcome, _build_grades(outcome)) for outcome in codebook.outcomes],
    )


def _environment() -> Environment:
    return Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True,
    )  # fmt: skip


def _build_grades(outcome: Outcome) -> tuple[_Grade, ...]:
    return tuple(
        _build_grade(level, step=step, last=len(outcome.levels) - 1)
        for step, level in enumerate(outcome.levels)
    )


def _build_grade(level: Level, *, step: int, last: int) -> _Grade:
    word, colon, rest = level.wording.partition(": ")
    return _Grade(
        name=level.name,
        filled="●" * step,
        empty="○" * (last - step),
        word=word if colon else "",
        wording=rest if colon else level.wording,
    )


def _hash_style(style: str) -> str:
    """Return the style's hash as a Content-Security-Policy source (CSP level 3, 6.7.3)."""
    digest = hashlib.sha256(style.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"


def _read(name: str) -> str:
    return files("outcomes.report").joinpath(name).read_text(encoding="utf-8")
