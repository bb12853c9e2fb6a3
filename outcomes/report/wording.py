"""Every sentence a page may say, read from ``wording.toml`` and its neighbours.

The files are meant to be edited by a potter: change a text, keep what stands in braces.
A template may hold ``{name}`` (a value) and ``{name:one|many}`` (the word that goes with a
number). Values are put in as they are: nothing a maker typed is ever read as a template.
"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from importlib import resources

from outcomes.errors import ReportError

Value = str | int | float

_PART = r"(?:[^{}|]|\{[A-Za-z_]\w*\})*"
_SLOT = re.compile(
    rf"\{{(?P<name>[A-Za-z_]\w*)(?::(?P<one>{_PART})\|(?P<many>{_PART}))?\}}", re.ASCII
)
_SIBILANT = re.compile(r"(s|x|z|ch|sh)$")
_CONSONANT_Y = re.compile(r"[^aeiou]y$")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wording:
    """The texts, and the words that stand in all of them (``cluster``, ``piece`` ...)."""

    texts: Mapping[str, str | tuple[str, ...]]
    words: Mapping[str, Value] = field(default_factory=dict)

    def say(self, key: str, values: Mapping[str, Value] | None = None) -> str:
        """Return the text of that key with its values put in.

        Raises
        ------
        ReportError
            If the text is missing from the file, or asks for a value that is not given.
        """
        text = self._look_up(key)
        if not isinstance(text, str):
            raise ReportError(f"wording.toml, {key}: one text was expected, a list was found.")
        return self._fill(key, text, values or {})

    def say_all(self, key: str, values: Mapping[str, Value] | None = None) -> tuple[str, ...]:
        """Return the texts of a list, each with its values put in."""
        texts = self._look_up(key)
        if isinstance(texts, str):
            raise ReportError(f"wording.toml, {key}: a list was expected, one text was found.")
        return tuple(self._fill(key, text, values or {}) for text in texts)

    def _look_up(self, key: str) -> str | tuple[str, ...]:
        if key not in self.texts:
            raise ReportError(
                f"wording.toml has no text {key!r}. Put it back under its heading "
                f"[{key.rpartition('.')[0]}], or restore the file that came with the package."
            )
        return self.texts[key]

    def _fill(self, key: str, text: str, values: Mapping[str, Value]) -> str:
        known = {**self.words, **values}
        unknown = sorted({slot["name"] for slot in _SLOT.finditer(text)} - set(known))
        if unknown:
            raise ReportError(
                f"wording.toml, {key}: the text asks for {unknown[0]!r}, which is not known "
                f"there. Known are {', '.join(sorted(known))}. Correct what stands in braces."
            )
        if set("{}") & set(_SLOT.sub("", text)):
            raise ReportError(
                f"wording.toml, {key}: a brace stands alone in {text!r}. Write a value as "
                "{name} and a word that follows a number as {name:one|many}."
            )
        return _fill_slots(text, known)


def _fill_slots(text: str, known: Mapping[str, Value]) -> str:
    """Put values into a template in one pass, so that a value is never read as a template."""

    def fill(slot: re.Match[str]) -> str:
        value = known[slot["name"]]
        if slot["one"] is None:
            return str(value)
        return _fill_slots(slot["one"] if value == 1 else slot["many"], known)

    return _SLOT.sub(fill, text)


def parse_wording(text: str, *, name: str = "wording.toml") -> Wording:
    r"""Return the wording of a TOML text; tables become dotted keys.

    >>> wording = parse_wording('[count]\npots = "{n} {n:pot|pots}"')
    >>> wording.say("count.pots", {"n": 1}), wording.say("count.pots", {"n": 3})
    ('1 pot', '3 pots')
    """
    try:
        tree = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ReportError(f"{name} cannot be read: {error}.") from error
    return Wording(texts=dict(_flatten(tree, "")))


def read_wording() -> Wording:
    """Return the wording that ships with the package: wording.toml and every wording_*.toml.

    Each page has a file of its own; a key stands in one of them only.
    """
    files = [
        file
        for file in resources.files("outcomes.report").iterdir()
        if file.name.startswith("wording") and file.name.endswith(".toml")
    ]
    texts: dict[str, str | tuple[str, ...]] = {}
    for file in sorted(files, key=lambda file: file.name):
        own = parse_wording(file.read_text(encoding="utf-8"), name=file.name).texts
        if twice := sorted(own.keys() & texts.keys()):
            raise ReportError(f"{file.name}: {twice[0]!r} stands in another file too. Rename it.")
        texts |= own
    return Wording(texts=texts)


def choose_words(wording: Wording, *, cluster: str, piece: str) -> Wording:
    """Return the wording with a codebook's own words for a cluster and a row.

    >>> spoken = choose_words(parse_wording('a = "{n} {n:{cluster}|{clusters}}"'),
    ...                       cluster="glass", piece="sip")
    >>> spoken.say("a", {"n": 2})
    '2 glasses'
    """
    words: dict[str, Value] = {
        "cluster": cluster,
        "clusters": plural(cluster),
        "piece": piece,
        "pieces": plural(piece),
        "Cluster": capitalise(cluster),
        "Clusters": capitalise(plural(cluster)),
        "Piece": capitalise(piece),
        "Pieces": capitalise(plural(piece)),
    }
    return replace(wording, words={**wording.words, **words})


def plural(noun: str) -> str:
    """Return the regular English plural.

    >>> [plural(noun) for noun in ("firing", "batch", "glass", "tray", "family")]
    ['firings', 'batches', 'glasses', 'trays', 'families']
    """
    if _SIBILANT.search(noun):
        return noun + "es"
    if _CONSONANT_Y.search(noun):
        return noun[:-1] + "ies"
    return noun + "s"


def capitalise(text: str) -> str:
    """Return the text with a capital first letter, the rest as it is.

    >>> capitalise("pulled by K")
    'Pulled by K'
    """
    return text[:1].upper() + text[1:]


def mid_sentence(label: str) -> str:
    """Return a label as it stands inside a sentence; abbreviations keep their capitals.

    >>> mid_sentence("Seconds to the can"), mid_sentence("CO level")
    ('seconds to the can', 'CO level')
    """
    if len(label) > 1 and label[1].isupper():
        return label
    return label[:1].lower() + label[1:]


def join_words(items: Sequence[str], *, last: str = "and") -> str:
    """Return items as they are read aloud.

    >>> join_words(["luster", "crackle", "colour"])
    'luster, crackle and colour'
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def _flatten(tree: Mapping[str, object], prefix: str) -> list[tuple[str, str | tuple[str, ...]]]:
    """Return (dotted key, text or texts) pairs."""
    found: list[tuple[str, str | tuple[str, ...]]] = []
    for name, item in tree.items():
        key = f"{prefix}{name}"
        if isinstance(item, Mapping):
            found += _flatten(item, f"{key}.")
        elif isinstance(item, list):
            found.append((key, tuple(str(text) for text in item)))
        else:
            found.append((key, str(item)))
    return found
