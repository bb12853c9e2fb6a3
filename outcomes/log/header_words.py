"""A header taken apart: its words, and what stands in its brackets."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from outcomes.log.words import clean_text

LONGEST_HEADER = 120
"""Characters; what is longer is a sentence that slipped into the header row."""

Words = tuple[str, ...]

# "pullTempF" and "secondsToCan" are three words each, "mL" is one.
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z][a-z])|(?<=[a-z]{2})(?=[A-Z])")
_BRACKETS = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_WORD = re.compile(r"k?m ?/ ?[sh]\b|mi/h|° ?[cf]\b|%|#|\"|'|[^\W_]+", re.IGNORECASE)
_FILLERS = frozenset({"the", "of", "a", "an", "at", "my", "our"})
_SPELLINGS: Mapping[str, str] = MappingProxyType(
    {
        "lustre": "luster",
        "lusters": "luster",
        "colour": "color",
        "grey": "gray",
        "temperature": "temp",
        "tmp": "temp",
        "pulled": "pull",
        "pulling": "pull",
        "thick": "thickness",
        "thk": "thickness",
        "vol": "volume",
        "sec": "second",
        "secs": "second",
        "min": "minute",
        "mins": "minute",
        "hr": "hour",
        "hrs": "hour",
        "nr": "no",
        "num": "no",
        "number": "no",
        "#": "no",
        "amt": "amount",
        "wt": "weight",
        "rel": "relative",
        "pct": "%",
        "percent": "%",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """The words of a header in lower case, and the text of its brackets as written."""

    words: Words
    brackets: tuple[str, ...] = ()


def parse_header(text: str) -> Header:
    """Take a header apart; an empty or endless one has no words.

    >>> parse_header("Pull Temp (°F)")
    Header(words=('pull', 'temp'), brackets=('°F',))
    >>> parse_header("secondsToCan").words, parse_header("\ufefflid_delay_s").words
    (('seconds', 'to', 'can'), ('lid', 'delay', 's'))
    """
    if len(text) > LONGEST_HEADER:
        return Header(words=())
    cleaned = clean_text(text)
    outside = _BRACKETS.sub(" ", cleaned)
    inside = tuple(part.strip() for part in _BRACKETS.findall(cleaned) if part.strip())
    if not split_words(outside):
        return Header(words=split_words(cleaned))
    return Header(words=split_words(outside), brackets=inside)


def split_words(text: str) -> Words:
    """Return the words of a name: underscores, punctuation and humps part them.

    >>> split_words("pull_temp_c"), split_words("Humidity %")
    (('pull', 'temp', 'c'), ('humidity', '%'))
    """
    return tuple(word.casefold().replace(" ", "") for word in _WORD.findall(_HUMP.sub(" ", text)))


def respell(words: Words) -> Words:
    """Return words so that spellings, plurals, word order and small words make no difference.

    >>> respell(("temperature", "pulled")) == respell(("pull", "temps"))
    True
    """
    kept = [word for word in words if word not in _FILLERS]
    return tuple(sorted(_respell_word(word) for word in kept))


def _respell_word(word: str) -> str:
    told = _SPELLINGS.get(word, word)
    if len(told) > 3 and told.endswith("s") and not told.endswith("ss"):
        told = told[:-1]
    return _SPELLINGS.get(told, told)
