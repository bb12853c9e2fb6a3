"""Sentences -> lines for a terminal, with the maker's own words never cut in two.

A line break inside a quoted cell or a header would hide it from anybody who searches for it,
so spaces inside quotation marks and inside known names hold while a paragraph is wrapped.
"""

import re
import textwrap
from collections.abc import Iterable

from outcomes.log.quoting import show_text

WIDTH = 100
# A quotation opens after a space, a bracket or nothing, and closes before anything but a letter:
# the apostrophe of "the firing's date" does neither.
_QUOTED = re.compile(r"(?<![\w'\"])'.+?'(?!\w)|(?<![\w'\"])\".+?\"(?!\w)")
# "row" stays with its number, and the number with what stands in the row.
_NUMBERED = re.compile(r"(\d) (?=['\"])|\b(rows?) (?=\d)")
_HELD = "\x00"


def wrap_text(
    text: str, *, first: str = "", rest: str | None = None, names: Iterable[str] = ()
) -> list[str]:
    """Return the text as lines of at most 100 columns, control characters spelled out.

    Parameters
    ----------
    text
        One paragraph; any line break in it is shown, not made.
    first, rest
        What the first line and the further lines begin with; ``rest`` defaults to as many
        spaces as ``first`` is long.
    names
        Headers and file names that must stay on one line.

    Examples
    --------
    >>> wrap_text("row 25 'about half'", first="  1. ")
    ["  1. row 25 'about half'"]
    """
    held = _QUOTED.sub(lambda match: match.group().replace(" ", _HELD), show_text(text))
    held = _NUMBERED.sub(lambda match: match.group().replace(" ", _HELD), held)
    for name in names:
        shown = show_text(name)
        if " " in shown:
            held = held.replace(shown, shown.replace(" ", _HELD))
    lines = textwrap.wrap(
        held,
        width=WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_on_hyphens=False,
    )
    return [line.replace(_HELD, " ") for line in lines] or [first.rstrip()]


def align_pairs(pairs: Iterable[tuple[str, str]], *, widest: int = 26) -> list[str]:
    """Return (name, meaning) pairs as two columns; a long name gets a line of its own.

    >>> align_pairs([("glaze", "Glaze"), ("to_can", "Seconds to the can")])
    ['  glaze   Glaze', '  to_can  Seconds to the can']
    """
    shown = [(show_text(name)[:WIDTH], meaning) for name, meaning in pairs]
    fitting = [len(name) for name, _ in shown if len(name) <= widest]
    column = max(fitting, default=0) + 4
    lines: list[str] = []
    for name, meaning in shown:
        if len(name) > widest:
            lines += [f"  {name}", *wrap_text(meaning, first=" " * column)]
        else:
            lines += wrap_text(meaning, first=f"  {name}".ljust(column), rest=" " * column)
    return lines
