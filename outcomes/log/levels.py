"""Cells that hold one of a few names: levels, grades, and names as such."""

import re
from collections.abc import Iterable, Sequence

from outcomes.log.amounts import strip_approximation
from outcomes.log.cell import BLANK, DITTO, Cell, set_aside
from outcomes.log.codebook import Outcome
from outcomes.log.firing_log import How
from outcomes.log.numerals import read_fraction, read_numeral
from outcomes.log.words import LONGEST_CELL, clean_text, is_blank, is_ditto, word_key

TOO_LONG = f"longer than {LONGEST_CELL} characters: this is a note; move it to the notes"
GRADE_AND_MORE = "a grade with + or - is not one of the steps; write the step itself"
GRADE_RANGE = "two grades are not one; look at the piece again and write one of them"
GRADE_OUT_OF = "a grade written as a fraction may count another scale; write the step itself"
BETWEEN_GRADES = "this stands between two grades; look at the piece again and write one of them"
CROSS = "a cross may mean yes or no; write yes or no, or give x a level under words in the codebook"

_YES = frozenset({"y", "yes", "yep", "yeah", "true", "t", "1", "✓", "✔", "☑", "✅"})
_NO = frozenset({"n", "no", "nope", "false", "f", "0", "☐"})
_CROSSES = frozenset({"x", "✗", "✘", "☒", "❌", "✕"})
# Most pieces of a large log: no mark for a blank or a ditto holds a figure.
_PLAIN_ID = re.compile(r"[A-Za-z]*[0-9][A-Za-z0-9.]*")
_PLUS = re.compile(r".*[0-9a-z] ?(?:\+|-)+")
_RANGE = re.compile(r"[0-9.]+ ?(?:-|to|or|\.\.) ?[0-9.]+")
_OUT_OF = re.compile(r"[0-9.]+ ?(?:/|out of|of) ?[0-9.]+")


def parse_level(
    text: str, levels: tuple[str, ...], words: tuple[tuple[str, str], ...] = ()
) -> Cell:
    """Read one cell of a column of names, such as quench or seal.

    Parameters
    ----------
    text
        The cell as typed.
    levels
        The allowed names; ("no", "yes") brings the usual ways to write yes and no.
    words
        Other spellings: ((word, level), ...).

    Examples
    --------
    >>> parse_level("Y", ("no", "yes"), ()).value
    'yes'
    >>> parse_level("Dipped", ("none", "dunk"), (("dipped", "dunk"),)).how
    <How.WORD: 'word'>
    """
    if len(text.strip()) > LONGEST_CELL:
        return set_aside(TOO_LONG)
    cleaned = clean_text(text)
    found = _find_level(cleaned, levels, words)
    if found:
        return found
    if is_blank(cleaned, number=True):
        return BLANK
    if is_ditto(cleaned):
        return DITTO
    return _parse_rough_level(cleaned.casefold(), levels, words)


def parse_grade(text: str, outcome: Outcome) -> Cell:
    """Read one cell of an outcome's column as the index of its level, 0 the lowest.

    Notes
    -----
    Names of levels and the codebook's words are matched first, so a level may be called "A+"
    or "2-3". What is left and looks like a grade between, above or out of the steps is set
    aside with that reason. An empty cell is blank, never "fine".
    """
    names = tuple(level.name for level in outcome.levels)
    cell = parse_level(text, names, outcome.level_words)
    if isinstance(cell.value, str):
        return Cell(value=float(names.index(cell.value)), how=cell.how)
    if cell.how is not How.SET_ASIDE or cell.reason in {TOO_LONG, CROSS}:
        return cell
    return set_aside(_not_a_grade(clean_text(text).casefold(), names))


def parse_name(text: str) -> Cell:
    """Read one cell of names: glaze, maker, firing, piece.

    The name stays as typed but for spaces around it and invisible characters, so "007" and "7"
    are two pieces and a maker may be called Null.

    >>> parse_name(" #12b ").value, parse_name("007").value, parse_name("n/a").how
    ('#12b', '007', <How.BLANK: 'blank'>)
    """
    if _PLAIN_ID.fullmatch(text):
        return Cell(value=text, how=How.EXACT)
    cleaned = clean_text(text)
    if is_blank(cleaned, number=False):
        return BLANK
    if is_ditto(cleaned):
        return DITTO
    return Cell(value=" ".join(text.split()).strip("\ufeff\u200b\u200e\u200f"), how=How.EXACT)


def are_plain_names(texts: Iterable[str]) -> bool:
    """Whether `parse_name` gives every text back as it stands: letters, then a figure first.

    >>> are_plain_names(["H12", "7b"]), are_plain_names(["HY-001"]), are_plain_names(["same"])
    (True, False, False)
    """
    return all(map(_PLAIN_ID.fullmatch, texts))


def _parse_rough_level(
    text: str, levels: tuple[str, ...], words: tuple[tuple[str, str], ...]
) -> Cell:
    """Read "yes?" and "~3", or say why a text is no level."""
    bare, approximate = strip_approximation(text)
    found = _find_level(bare, levels, words) if approximate else None
    if found:
        return Cell(value=found.value, how=How.APPROXIMATE)
    if text in _CROSSES and _is_yes_no(levels):
        return set_aside(CROSS)
    return set_aside(_not_a_level(levels))


def _find_level(
    cleaned: str, levels: tuple[str, ...], words: tuple[tuple[str, str], ...]
) -> Cell | None:
    """Return the level a text names: by its name, by the codebook's words, by yes and no."""
    key = _level_key(cleaned)
    if not key:
        return None
    for level in levels:
        if _level_key(level) == key:
            return Cell(value=level, how=How.EXACT)
    for word, level in words:
        if word_key(word) == key:
            return Cell(value=level, how=How.WORD)
    if _is_yes_no(levels) and key in _YES | _NO:
        wanted = "yes" if key in _YES else "no"
        return Cell(value=next(x for x in levels if word_key(x) == wanted), how=How.EXACT)
    return None


def _level_key(text: str) -> str:
    """Return a name's key; a whole number is the same as 3 and as 3.0."""
    number = read_numeral(text, decimal=".") if re.fullmatch(r"[0-9]+[.,]?0*", text) else None
    return str(int(number)) if number is not None and number.is_integer() else word_key(text)


def _is_yes_no(levels: Sequence[str]) -> bool:
    return {word_key(level) for level in levels} == {"no", "yes"}


def _not_a_level(levels: Sequence[str]) -> str:
    listed = ", ".join(levels[:8]) + (" ..." if len(levels) > 8 else "")
    return (
        f"this is not one of {listed}; write one of these, or give the word a level under words "
        "in the codebook"
    )


def _not_a_grade(text: str, names: tuple[str, ...]) -> str:
    """Return why a text is not one of the grades, as closely as can be said."""
    bare, _ = strip_approximation(text)
    if _OUT_OF.fullmatch(bare):
        return GRADE_OUT_OF
    if _RANGE.fullmatch(bare):
        return GRADE_RANGE
    if _PLUS.fullmatch(bare):
        return GRADE_AND_MORE
    fraction = read_fraction(bare)
    number = fraction.value if fraction else read_numeral(bare, decimal=".")
    steps = [read_numeral(name, decimal=".") for name in names]
    numbers = [step for step in steps if step is not None]
    if number is None or number.is_integer() or len(numbers) < len(names):
        return _not_a_level(names)
    if min(numbers) < number < max(numbers):
        return BETWEEN_GRADES
    return _not_a_level(names)
