"""Every name a codebook's columns go by, ready to be compared with headers."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from types import MappingProxyType
from typing import TypeVar

from outcomes.log.codebook import Codebook, Kind
from outcomes.log.header_words import Words, respell, split_words
from outcomes.log.units import find_unit

# Two slips in a name of ten letters, one in a name of six; "crackle" and "cracked" differ more.
_LIKENESS = 0.88
_SHORTEST_TYPO = 5

_Key = TypeVar("_Key", Words, str)


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """One column of the codebook and what a header of it may state.

    ``unit`` is the base unit, ``stated`` the unit its canonical name ends in or "",
    ``stem`` the words of the name without that unit.
    """

    column: str
    stem: Words
    stated: str = ""
    unit: str = ""
    accepted: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    is_number: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """The letters of a name, or of one word of it (then ``shape`` is None).

    ``alphabet`` is what `alphabet_of` makes of the letters.
    """

    letters: str
    alphabet: int
    shape: Words | None
    target: Target


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Words to column, one table for each degree of certainty.

    ``stems`` leaves out a stem that begins another column's name ("combustible" may be an
    amount or a kind); ``spellings`` a spelling that two columns share.
    """

    names: Mapping[Words, Target]
    aliases: Mapping[Words, Target]
    stems: Mapping[Words, Target]
    shared_stems: Mapping[Words, Target]
    labels: Mapping[Words, Target]
    spellings: Mapping[Words, Target]
    joined: Mapping[str, Target]
    parts: Mapping[int, tuple[Part, ...]]


def build_names(codebook: Codebook) -> Names:
    """Return every name of a codebook's columns; the first column of a shared name keeps it."""
    targets = list(_targets(codebook))
    names = [(split_words(target.column), target) for target in targets]
    stems = [(target.stem, target) for target in targets]
    shared = [(stem, target) for stem, target in stems if _begins_another(target, targets)]
    aliases = [(split_words(alias), target) for alias, target in _aliases(codebook, targets)]
    taken = {stem for stem, _ in shared}
    labels = [pair for pair in _labels(codebook, targets) if pair[0] not in taken]
    plain = [pair for pair in stems if pair not in shared]
    # A name that ends in its unit stays out: "pull temp K" is no slip for "pull temp c".
    every = [pair for pair in names if pair[0] == pair[1].stem] + [*plain, *aliases, *labels]
    spellings = _unshared(every, key=respell)
    return Names(
        names=_first(names),
        aliases=_first(aliases),
        stems=_first(plain),
        shared_stems=_first(shared),
        labels=_first(labels),
        spellings=spellings,
        joined=_unshared(every, key="".join),
        parts=_parts(spellings),
    )


def find_spelling(words: Words, names: Names) -> Target | None:
    """Return the column a header names in another spelling, word order or in one word."""
    return names.spellings.get(respell(words)) or names.joined.get("".join(words))


def find_typo(words: Words, names: Names) -> Target | None:
    """Return the column whose name a header differs from by a slip of the keyboard.

    Notes
    -----
    None unless the likeness (share of letters in common, in order) is at least 0.88 for one
    column and for no word of another's name: "crackled" is near "cracked" and near the
    "crackle" of "crackle density". Digits, the number of words and words of up to three letters
    must be the same, so "luster2" and "newspaper k" are no slips.
    """
    spelling = respell(words)
    written = "".join(spelling)
    if len(written) < _SHORTEST_TYPO or any(sign.isdigit() for sign in written):
        return None
    shape, alphabet = _shape(spelling), alphabet_of(written)
    near: dict[str, Target] = {}
    is_whole = False
    for length in range(len(written) - 2, len(written) + 3):
        for part in names.parts.get(length, ()):
            if _may_be_slip(len(written), alphabet, part) and _is_slip(written, part.letters):
                near[part.target.column] = part.target
                is_whole = is_whole or part.shape == shape
    return next(iter(near.values())) if len(near) == 1 and is_whole else None


def alphabet_of(letters: str) -> int:
    """Return which letters occur, one bit each; letters 64 apart in Unicode share a bit.

    >>> alphabet_of("abba") == alphabet_of("ab"), alphabet_of("ab") == alphabet_of("ac")
    (True, False)
    """
    bits = 0
    for letter in letters:
        bits |= 1 << (ord(letter) % 64)
    return bits


def _may_be_slip(length: int, alphabet: int, part: Part) -> bool:
    """Say whether two names share letters enough; a thousand times faster than comparing them.

    A likeness r needs r (m + n) / 2 letters in common, so of m letters at most
    m - r (m + n) / 2 may be foreign to the other name.
    """
    common = _LIKENESS * (length + len(part.letters)) / 2 - 1e-9
    return (alphabet & ~part.alphabet).bit_count() <= length - common and (
        part.alphabet & ~alphabet
    ).bit_count() <= len(part.letters) - common


def _is_slip(written: str, name: str) -> bool:
    matcher = SequenceMatcher(a=written, b=name, autojunk=False)
    return matcher.quick_ratio() >= _LIKENESS and matcher.ratio() >= _LIKENESS


def _parts(
    spellings: Mapping[Words, Target],
) -> Mapping[int, tuple[Part, ...]]:
    """Return whole names, and their single words, by the number of their letters."""
    seen: dict[tuple[str, str], Part] = {}
    for name, target in spellings.items():
        whole = _build_part("".join(name), _shape(name), target)
        for part in (whole, *(_build_part(word, None, target) for word in name)):
            if len(part.letters) >= _SHORTEST_TYPO and part.letters.isalpha():
                seen.setdefault((part.letters, target.column), part)
    lengths = {len(letters) for letters, _ in seen}
    return MappingProxyType(
        {n: tuple(part for part in seen.values() if len(part.letters) == n) for n in lengths}
    )


def _build_part(letters: str, shape: Words | None, target: Target) -> Part:
    return Part(letters=letters, alphabet=alphabet_of(letters), shape=shape, target=target)


def _shape(words: Words) -> Words:
    """Return what a slip may not touch: how many words there are, and the short ones."""
    return tuple(word if len(word) < 4 else "" for word in sorted(words, key=len))


def _targets(codebook: Codebook) -> Iterator[Target]:
    """Yield the special columns, the factors and the outcomes."""
    for factor in codebook.factors:
        words = split_words(factor.name)
        stated = find_unit(words[-1], base=factor.unit, accepted=factor.accepted_units)
        has_unit = len(words) > 1 and stated != "" and stated == factor.unit
        yield Target(
            column=factor.name,
            stem=words[:-1] if has_unit else words,
            stated=factor.unit if has_unit else _unit_within(words, factor.unit),
            unit=factor.unit,
            accepted=factor.accepted_units,
            measures=tuple(word for word, _ in factor.measures),
            is_number=factor.kind is Kind.NUMBER,
        )
    factors = {factor.name for factor in codebook.factors}
    others = [*codebook.special_columns(), *(outcome.name for outcome in codebook.outcomes)]
    for name in others:
        if name not in factors:
            yield Target(column=name, stem=split_words(name))


def _unit_within(words: Words, unit: str) -> str:
    """Return the base unit when a word of the name spells it out ("seconds_to_can")."""
    spelled = [word for word in words if len(word) > 2 and find_unit(word, base=unit) == unit]
    return unit if unit and spelled else ""


def _aliases(codebook: Codebook, targets: list[Target]) -> Iterator[tuple[str, Target]]:
    by_name = {target.column: target for target in targets}
    for factor in codebook.factors:
        yield from ((alias, by_name[factor.name]) for alias in factor.aliases)
    for outcome in codebook.outcomes:
        yield from ((alias, by_name[outcome.name]) for alias in outcome.aliases)
    for column, aliases in codebook.special_aliases:
        if column in by_name:
            yield from ((alias, by_name[column]) for alias in aliases)


def _labels(codebook: Codebook, targets: list[Target]) -> Iterator[tuple[Words, Target]]:
    by_name = {target.column: target for target in targets}
    for factor in codebook.factors:
        yield split_words(factor.label), by_name[factor.name]
    for outcome in codebook.outcomes:
        yield split_words(outcome.label), by_name[outcome.name]


def _begins_another(target: Target, targets: list[Target]) -> bool:
    """Say whether a name without its unit is how another column's name begins."""
    if split_words(target.column) == target.stem:
        return False
    return any(
        split_words(other.column)[: len(target.stem)] == target.stem
        for other in targets
        if other is not target
    )


def _first(pairs: list[tuple[Words, Target]]) -> Mapping[Words, Target]:
    """Return the first target of each words."""
    return MappingProxyType({words: target for words, target in reversed(pairs) if words})


def _unshared(
    pairs: list[tuple[Words, Target]], *, key: Callable[[Words], _Key]
) -> Mapping[_Key, Target]:
    """Return the target of each spelling that only one column has."""
    found: dict[_Key, Target] = {}
    shared: set[_Key] = set()
    for words, target in pairs:
        if found.setdefault(key(words), target) is not target:
            shared.add(key(words))
    return MappingProxyType(
        {
            spelling: target
            for spelling, target in found.items()
            if spelling and spelling not in shared
        }
    )
