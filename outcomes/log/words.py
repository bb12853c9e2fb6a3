"""Cells as makers write them: one spelling of each sign, and marks that stand for no number.

`clean_text` brings the many signs for one thing (curly quotes, long dashes, full-width
digits, ½) to one; nothing else in the package deals with look-alike characters.
"""

import re
import unicodedata

LONGEST_CELL = 200
"""Characters; what is longer is a note, not a value."""

# Deliberately not Unicode's compatibility folding (NFKC), which turns "5²" into "52" and
# "1½" into "11/2". Full-width forms are what an East Asian keyboard types for ASCII, so they
# are folded; digits of other scripts are not, and are refused by the number grammar.
_FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_BEFORE_DIGIT = re.compile(rf"[{_VULGAR}](?=\d)")  # "½7" is not a twenty-seventh
_FRACTIONS = {ord(sign): " " + unicodedata.normalize("NFKC", sign) for sign in _VULGAR}
_SIGNS: dict[int, str] = {
    **dict.fromkeys(map(ord, "‐‑‒–—―−﹘﹣"), "-"),
    **dict.fromkeys(map(ord, "‘’‚‛′´`ʹ"), "'"),
    **dict.fromkeys(map(ord, "“”„‟″˝ʺ"), '"'),
    **dict.fromkeys(map(ord, "∼≈≃≅〜˜"), "~"),
    **dict.fromkeys(map(ord, "º˚"), "°"),
    **dict.fromkeys(map(ord, "\t\r\n\x0b\x0c\x85\u2028\u2029"), " "),
    ord("℃"): "°C",
    ord("℉"): "°F",
    ord("…"): "...",
    ord("×"): "x",
    ord("≥"): ">=",
    ord("≤"): "<=",
    ord("÷"): "/",
    ord("٪"): "%",
}
_TABLE: dict[int, int | str] = {**_FULL_WIDTH, **_FRACTIONS, **_SIGNS}

# Plain text without one of these is already as it should be but for its spaces.
_ASCII_SIGNS = re.compile("[" + re.escape("".join(chr(n) for n in range(128) if n in _TABLE)) + "]")


def _marks(listed: str) -> frozenset[str]:
    """Return the marks of a list parted by bars."""
    return frozenset(listed.split("|"))


# A dash joins letters only: "-1" and "3-" are not the grades 1 and 3.
_JOINT = re.compile(r"(?<=[^\W\d]) ?-+ ?(?=[^\W\d])| {2,}")
_BLANK_MARKS = _marks(
    "n/a|n.a.|n.a|n\\a|#n/a|unknown|not known|not recorded|not noted|not measured|not taken|"
    "not written|no record|no reading|missing|blank|forgot|forgotten"
)
_ONLY_DASHES = re.compile(r"[-_.?~/\\ ]+")
# In a column of numbers these are what other programs write for "nothing"; in a column of
# names they may be somebody's name. "none" is in neither list: it may be an amount of nought.
_BLANK_IN_NUMBERS = _marks("na|nan|null|nr|tbd|#value!|#ref!|#div/0!")
_DITTO_MARKS = _marks(
    "\"|〃|''|,,|do.|ditto|ditto.|(ditto)|idem|same|same.|(same)|same as above|as above|"
    'as before|same again|-"-|--"--|- " -|" "|""|↑|^'
)


def clean_text(text: str) -> str:
    """Return a cell with one sign for each thing, single spaces and no invisible characters.

    >>> clean_text("１８５０\u00a0℉"), clean_text("1½ in"), clean_text("2–3 min")
    ('1850 °F', '1 1⁄2 in', '2-3 min')
    """
    if text.isascii() and text.isprintable() and not _ASCII_SIGNS.search(text):
        return " ".join(text.split())
    parted = _BEFORE_DIGIT.sub(r"\g<0> ", unicodedata.normalize("NFC", text))
    folded = parted.translate(_TABLE)
    visible = "".join(sign for sign in folded if unicodedata.category(sign) != "Cf")
    return " ".join(visible.split())


def is_blank(cleaned: str, *, number: bool) -> bool:
    """Say whether a cleaned cell is empty or a mark for "nothing written".

    Parameters
    ----------
    cleaned
        What `clean_text` returned.
    number
        True in a column of numbers or dates, where "NA" and "null" are marks too.

    Examples
    --------
    >>> is_blank("-", number=True), is_blank("NA", number=False), is_blank("0", number=True)
    (True, False, False)
    """
    word = cleaned.casefold()
    if not word or word in _BLANK_MARKS or _ONLY_DASHES.fullmatch(word):
        return True
    return number and word in _BLANK_IN_NUMBERS


def list_marks() -> tuple[str, ...]:
    """Return every word that is read as "nothing" or "as above", so that no code is one."""
    return tuple(sorted(_BLANK_MARKS | _DITTO_MARKS))


def is_ditto(cleaned: str) -> bool:
    """Say whether a cleaned cell says "as in the row above".

    >>> is_ditto('"'), is_ditto("Same"), is_ditto("do.")
    (True, True, True)
    """
    return cleaned.casefold() in _DITTO_MARKS


def word_key(text: str) -> str:
    """Return the form in which two spellings of one name are equal.

    >>> word_key(" Wet_Towel "), word_key("wet-towel"), word_key("immed.")
    ('wet towel', 'wet towel', 'immed')
    """
    folded = _JOINT.sub(" ", clean_text(text).casefold().replace("_", " ")).strip()
    return folded.removesuffix(".").rstrip() or folded


def is_same_measure(written: str, measure: str) -> bool:
    """Say whether two words are one measure, in the singular or the plural.

    >>> is_same_measure("handfuls", "handful"), is_same_measure("leaves", "leaf")
    (True, True)
    >>> is_same_measure("sheets", "shelf")
    False
    """
    return not _singulars(word_key(written)).isdisjoint(_singulars(word_key(measure)))


def _singulars(word: str) -> set[str]:
    """Every word the given one may be the plural of, itself included."""
    found = {word, word.replace("sful", "ful")}
    for ending, singular in (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f"), ("ves", "fe")):
        if word.endswith(ending) and len(word) > len(ending) + 1:
            found.add(word.removesuffix(ending) + singular)
    return found
