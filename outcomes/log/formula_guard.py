"""Text that a spreadsheet would take for a formula, and the apostrophe that guards it."""

import re
import unicodedata

_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?(e[+-]?[0-9]+)?", re.IGNORECASE)
_STARTS_FORMULA = frozenset("=+-@\t\r\x00＝＋－＠")


def neutralise_cell(text: str) -> str:
    r"""Return a text that no spreadsheet takes for a formula: an apostrophe goes before it.

    Texts that start, after blanks, with = + - @, a tab, a carriage return or a full-width
    twin are meant, unless they are plain numbers.

    References
    ----------
    OWASP Application Security Verification Standard, requirement on CSV and formula
    injection (1.2.10 in version 5.0); CWE-1236.

    Examples
    --------
    >>> neutralise_cell("=1+1"), neutralise_cell("-3,5"), neutralise_cell("- none")
    ("'=1+1", '-3,5', "'- none")
    """
    if not text or _PLAIN_NUMBER.fullmatch(text.strip(" ")):
        return text
    start = next((sign for sign in text if not _is_blank_sign(sign)), "")
    return f"'{text}" if start in _STARTS_FORMULA or text[0] in _STARTS_FORMULA else text


def strip_guard(text: str) -> str:
    """Return the text without an apostrophe that only guards it from being a formula.

    >>> strip_guard("'=1+1"), strip_guard("'twas hot")
    ('=1+1', "'twas hot")
    """
    bare = text[1:]
    return bare if text.startswith("'") and neutralise_cell(bare) != bare else text


def _is_blank_sign(sign: str) -> bool:
    if sign in "\t\r\x00":
        return False
    return sign.isspace() or unicodedata.category(sign) == "Cf"
