"""Which column of the codebook each header of a file means, and the unit it states.

A header is taken apart into words and unit; the words are compared with the codebook's names,
the most certain kind of likeness first, so that a column named as in the codebook goes before
one that is merely like it, wherever the two stand.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import HeaderMatch
from outcomes.log.header_names import Names, Target, build_names, find_spelling, find_typo
from outcomes.log.header_words import Header, Words, parse_header, split_words
from outcomes.log.units import find_unit
from outcomes.log.words import clean_text, is_same_measure

SAME_NAME = "same name"
KNOWN_ALIAS = "known alias"
ANOTHER_SPELLING = "another spelling"
NOT_IN_CODEBOOK = "not in the codebook"
EMPTY = "the header is empty"

# In brackets after a name, or as its last word, these say nothing about the unit.
_HARMLESS = re.compile(
    r"[0-9.\s]+(?:-|to|/)[0-9.\s]+|approx\.?|about|est\.?|estimated|measured|avg\.?|average|mean|"
    r"optional|if known|if any|no unit|number|y/n|yes/no|yes or no|[#?*!]+"
)
# Measures a header may count in; without the studio's own amount its numbers mean nothing.
_MEASURES = (
    "sheet",
    "handful",
    "coat",
    "dip",
    "scoop",
    "bucket",
    "bag",
    "fistful",
    "brush",
    "layer",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Claim:
    """A header's best guess: how far from certain, which column, which unit, why."""

    rank: int
    how: str
    column: str = ""
    unit: str = ""


_NO_CLAIM = _Claim(rank=99, how=NOT_IN_CODEBOOK)
_EMPTY = _Claim(rank=99, how=EMPTY)


def match_headers(
    headers: Sequence[str], codebook: Codebook, *, file: str
) -> tuple[HeaderMatch, ...]:
    """Return what each header of a file is taken to mean, in the order of the headers.

    Parameters
    ----------
    headers
        As typed; empty ones and repeats are allowed.
    codebook
        Its columns, with their aliases and accepted units.
    file
        Name of the file, for the report.

    Notes
    -----
    A column of the codebook is matched at most once. Of several headers that claim it the most
    certain gets it (same name, known alias, another spelling, a slip of the keyboard), the first
    of equals; the others are kept aside and say so. A header with a unit its column does not
    accept is kept aside too: read as another unit its numbers would be wrong. A header that
    counts in a measure ("combustible (sheets)") has that word as its unit.
    """
    names = build_names(codebook)
    claims = [_claim(header, names) for header in headers]
    owners: dict[str, int] = {}
    for _, at in sorted((claim.rank, at) for at, claim in enumerate(claims) if claim.column):
        owners.setdefault(claims[at].column, at)
    matches = []
    for at, (written, claim) in enumerate(zip(headers, claims, strict=True)):
        owner = owners.get(claim.column, at)
        kept = claim if owner == at else _second(claim, headers[owner])
        matches.append(
            HeaderMatch(
                file=file,
                written=written,
                column=kept.column or None,
                unit=kept.unit if kept.column else "",
                how=kept.how,
            )
        )
    return tuple(matches)


def _second(claim: _Claim, owner: str) -> _Claim:
    """Return the claim of a header that came too late."""
    return _Claim(
        rank=claim.rank,
        how=f"kept aside: a second column for {claim.column}, which is read from {owner.strip()!r}",
    )


def _claim(written: str, names: Names) -> _Claim:
    """Return the most certain thing a header can mean."""
    header = parse_header(written)
    if not header.words:
        return _NO_CLAIM if clean_text(written) else _EMPTY
    whole = header.words + tuple(w for part in header.brackets for w in split_words(part))
    return (
        _claim_whole(header, names)
        or _claim_with_unit(header, names)
        or (_claim_whole(Header(words=whole), names) if header.brackets else None)
        or _claim_spelling(header, names)
        or _claim_shared_stem(header, names)
        or _NO_CLAIM
    )


def _claim_whole(header: Header, names: Names) -> _Claim | None:
    """Match all words of the header with a name, an alias or a label."""
    tables = (
        (0, names.names, SAME_NAME),
        (2, names.aliases, KNOWN_ALIAS),
        (4, names.stems, ANOTHER_SPELLING),
        (5, names.labels, ANOTHER_SPELLING),
    )
    for rank, table, how in tables:
        target = table.get(header.words)
        if target:
            own = target.stated if rank == 0 else _unit_among(header.words, target)
            return _stating(target, header, rank=rank, how=how, own=own)
    return None


def _claim_with_unit(header: Header, names: Names) -> _Claim | None:
    """Match the header without the unit at its end."""
    refused: _Claim | None = None
    for rest, word in _split_unit(header.words):
        tables = (
            (1, names.stems, SAME_NAME),
            (1, names.shared_stems, SAME_NAME),
            (3, names.aliases, KNOWN_ALIAS),
            (6, names.labels, ANOTHER_SPELLING),
        )
        for rank, table, how in tables:
            target = table.get(rest)
            if target and target.is_number:
                unit = _unit_of(word, target)
                if unit:
                    return _stating(target, header, rank=rank, how=how, own=unit)
                if find_unit(word, base=target.unit):
                    refused = refused or _refused(word, target)
    return refused


def _claim_spelling(header: Header, names: Names) -> _Claim | None:
    """Match the header in another spelling or word order, then as a slip of the keyboard."""
    splits = [(header.words, ""), *_split_unit(header.words)]
    for rank, find in ((7, find_spelling), (8, find_typo)):
        for rest, word in splits:
            target = find(rest, names)
            if target is None:
                continue
            own = _unit_of(word, target) if word else _unit_among(rest, target)
            if not word or own:
                return _stating(target, header, rank=rank, how=ANOTHER_SPELLING, own=own)
            if find_unit(word, base=target.unit):
                return _refused(word, target)
    return None


def _claim_shared_stem(header: Header, names: Names) -> _Claim | None:
    """Match "Combustible (g)", which only its unit tells from the kind of combustible."""
    target = names.shared_stems.get(header.words)
    if target is None:
        return None
    claim = _stating(target, header, rank=1, how=SAME_NAME, own="")
    if claim.column and not claim.unit:
        return _Claim(
            rank=99,
            how=f"kept aside: this may mean {target.column} or another column whose name begins "
            "the same; write the unit or the whole name",
        )
    return claim


def _split_unit(words: Words) -> list[tuple[Words, str]]:
    """Return every way to part a name from a unit of one to three words at its end."""
    splits = []
    for count in (3, 2, 1):
        rest, unit = words[:-count], words[-count:]
        if rest and rest[-1] == "in" and len(rest) > 1:
            splits.append((rest[:-1], " ".join(unit)))
        if rest:
            splits.append((rest, " ".join(unit)))
    return splits


def _unit_of(word: str, target: Target) -> str:
    """Return the accepted unit or the measure a word states for a column, or ""."""
    if not target.is_number:
        return ""
    unit = find_unit(word, base=target.unit, accepted=target.accepted)
    if unit and (unit == target.unit or unit in target.accepted):
        return unit
    known = (*target.measures, *_MEASURES)
    return next((measure for measure in known if is_same_measure(word, measure)), "")


def _unit_among(words: Words, target: Target) -> str:
    """Return the one unit a name spells out among its words ("minutes in can", "can gallons")."""
    told = {_unit_of(word, target) for word in words if len(word) > 2 or word == words[-1]} - {""}
    return told.pop() if len(told) == 1 else ""


def _stating(target: Target, header: Header, *, rank: int, how: str, own: str) -> _Claim:
    """Return the claim with the unit of the words or the brackets, or why they do not fit."""
    if not target.is_number:
        return _Claim(rank=rank, how=how, column=target.column)
    unit = own
    for bracket in header.brackets:
        if _HARMLESS.fullmatch(bracket.casefold()):
            continue
        stated = _unit_of(bracket.casefold().removeprefix("in "), target)
        if not stated:
            return _refused(bracket, target)
        if own and stated != own:
            return _Claim(
                rank=99,
                how=f"kept aside: the header states two units, {own} and {stated}; keep the right "
                "one",
            )
        unit = stated
    return _Claim(rank=rank, how=how, column=target.column, unit=unit)


def _refused(word: str, target: Target) -> _Claim:
    """Return the claim of a header whose unit its column does not accept."""
    accepted = " or ".join(target.accepted) or "no unit"
    return _Claim(
        rank=99,
        how=f"kept aside: the header states {word!r}, but {target.column} is written in "
        f"{accepted}; rename the header if that is what it holds",
    )
