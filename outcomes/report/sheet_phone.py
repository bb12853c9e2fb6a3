"""The kiln-side page: a log for a phone, one file that needs no network and no installing.

It is the one page of ours that runs a program. What a codebook brings is data in it, never
program text, and its policy lets nothing run but the scripts of this room.
"""

import base64
import hashlib
import json
from importlib import resources
from pathlib import Path

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from outcomes.errors import ReportError
from outcomes.log.codebook import Codebook
from outcomes.report.sheet_phone_data import build_phone_data
from outcomes.report.single_file import write_file
from outcomes.report.wording import choose_words, read_wording

PHONE_PAGE = "phone.html"

_SCRIPTS = (
    "words", "csv", "clock", "log", "rows", "store", "dom", "fields", "cues", "home", "firing",
    "piece", "grades", "files", "main",
)  # fmt: skip


def write_phone(codebook: Codebook, folder: Path) -> Path:
    """Write the kiln-side page into a folder, made when it does not exist; return its path.

    Raises
    ------
    ReportError, RequestError
        When the disk refuses; what stood there is unchanged.
    """
    target = folder / PHONE_PAGE
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ReportError(
            f"{folder}: the page could not be written ({error.strerror or error}). Expected a "
            "folder of yours with room in it. Name another one with --out."
        ) from error
    write_file(render_phone(codebook).encode(), target)
    return target


def render_phone(codebook: Codebook) -> str:
    """Return the kiln-side page; the same codebook gives the same text, to the last byte."""
    wording = choose_words(read_wording(), cluster=codebook.cluster_word, piece=codebook.piece_word)
    style, script = _read("phone.css"), build_script()
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, keep_trailing_newline=True
    )
    return environment.from_string(_read("phone.html.jinja")).render(
        language=wording.say("page.language"),
        title=wording.say("phone.title"),
        book=codebook.title,
        needs=wording.say("phone.needs"),
        policy=build_policy(style=style, script=script),
        style=Markup(style),  # noqa: S704 - our own file, without anything a maker wrote
        script=Markup(script),  # noqa: S704 - our own files, without anything a maker wrote
        data=Markup(escape_json(build_phone_data(codebook, wording))),  # noqa: S704 - no "<" in it
    )


def build_script() -> str:
    """Return the page's program: the files phone_*.js in one closed scope."""
    parts = "\n".join(_read(f"phone_{name}.js") for name in _SCRIPTS)
    return f'(() => {{\n"use strict";\n{parts}}})();\n'


def build_policy(*, style: str, script: str) -> str:
    """Return the Content-Security-Policy: this style and this script, and nothing else.

    >>> build_policy(style="", script="").split("; ")[0]
    "default-src 'none'"
    """
    return "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hash(script)}",
            f"style-src {_hash(style)}",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )


def escape_json(data: object) -> str:
    r"""Return data as JSON that cannot end the element it stands in.

    >>> escape_json({"a": "</script>"})
    '{"a":"\\u003c/script\\u003e"}'
    """
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _hash(text: str) -> str:
    """Return a text's hash as a policy source (CSP level 3, 6.7.3)."""
    digest = hashlib.sha256(text.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def _read(name: str) -> str:
    return resources.files("outcomes.report").joinpath(name).read_text(encoding="utf-8")
