"""The maker's own text, shown so that it can be read and can do no harm.

A cell may hold anything: a terminal's control sequence, a mark that turns the reading
direction, a whole page. Shown text is cut and everything invisible is spelled out.
"""

import unicodedata
from collections.abc import Sequence

# Controls, invisible format marks, halves of surrogate pairs, private use, unassigned, and the
# two separators a terminal may take for a line end.
_SPELLED_OUT = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
LONGEST_SHOWN = 60


def show_text(text: str) -> str:
    r"""Return the text with every invisible or controlling character spelled out.

    >>> show_text("hot\x1b[2J")
    'hot\\x1b[2J'
    >>> show_text("30\u00a0g")
    '30\xa0g'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_show_character(character) for character in text)


def quote_text(text: str, *, longest: int = LONGEST_SHOWN) -> str:
    """Return the text between single quotes, cut after ``longest`` characters.

    >>> quote_text("about half")
    "'about half'"
    >>> quote_text("abcdef", longest=3)
    "'abc…'"
    """
    shown = show_text(text[:longest])
    return f"'{shown}…'" if len(text) > longest else f"'{shown}'"


def list_words(
    words: Sequence[str], *, most: int = 5, last: str = "and", total: int | None = None
) -> str:
    """Return a list as one would say it; beyond ``most``, how many more.

    ``total`` is the length of the whole list where only its beginning was worded.

    >>> list_words(["a", "b", "c"])
    'a, b and c'
    >>> list_words(["a", "b", "c"], most=2)
    'a, b and 1 more'
    >>> list_words(["a", "b", "c"], last="or")
    'a, b or c'
    """
    total = len(words) if total is None else total
    if total > most:
        return f"{', '.join(words[:most])} and {total - most} more"
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def count_of(number: int, word: str, plural: str = "") -> str:
    """Return a number with its noun.

    >>> count_of(1, "piece"), count_of(2, "piece"), count_of(2, "box", "boxes")
    ('1 piece', '2 pieces', '2 boxes')
    """
    return f"{number} {word if number == 1 else plural or word + 's'}"


def _show_character(character: str) -> str:
    """One character, spelled out when it cannot be seen."""
    if unicodedata.category(character) not in _SPELLED_OUT:
        return character
    return character.encode("unicode_escape", "backslashreplace").decode("ascii")
