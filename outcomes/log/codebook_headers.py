"""Rules of a codebook file about headers: each spelling means one column only."""

import re
from collections.abc import Iterator, Mapping

from outcomes.log.codebook_entries import CodebookEntry, FactorEntry, OutcomeEntry
from outcomes.log.codebook_problems import Problem, quote, suggest

_SPECIAL = ("firing", "date", "piece", "loaded", "notes")


def fold_header(text: str) -> str:
    """Return a header as it is compared: lower case, one space for anything but letters.

    >>> fold_header("Pull_Temp  (C)")
    'pull temp c'
    """
    return re.sub(r"[\W_]+", " ", text.lower()).strip() or text.strip()


def special_name(entry: CodebookEntry, column: str) -> str:
    """Return what a special column ("firing", "date", ...) is called, "" for none."""
    return str(getattr(entry.columns, column))


def check_headers(entry: CodebookEntry) -> Iterator[Problem]:
    """Yield every header that would mean two columns, and a glaze that is no factor."""
    yield from _check_glaze(entry)
    taken: dict[str, str] = {}
    for key, spelling, column in _spellings(entry):
        other = taken.setdefault(fold_header(spelling), column)
        if other != column:
            yield Problem(
                key=key,
                found=f"{spelling!r}, which already means the column {other!r}",
                expected="a spelling that no other column has",
                remedy="Rename or remove one of the two.",
            )


def _spellings(entry: CodebookEntry) -> Iterator[tuple[str, str, str]]:
    """Yield (key path, spelling, column), all canonical names before all aliases."""
    special = [(each, special_name(entry, each)) for each in _SPECIAL]
    tables: dict[str, Mapping[str, FactorEntry | OutcomeEntry]] = {
        "factors": entry.factors,
        "outcomes": entry.outcomes,
    }
    yield from ((f"columns.{key}", name, f"columns.{key}") for key, name in special if name)
    for table, members in tables.items():
        yield from ((f"{table}.{name}", name, f"{table}.{name}") for name in members)
    for key, name in special:
        for alias in getattr(entry.column_aliases, key) if name else ():
            yield f"column_aliases.{key}", alias, f"columns.{key}"
    for table, members in tables.items():
        for name, member in members.items():
            yield from (
                (f"{table}.{name}.aliases", each, f"{table}.{name}") for each in member.aliases
            )


def _check_glaze(entry: CodebookEntry) -> Iterator[Problem]:
    glaze = entry.columns.glaze
    names = [name for name, factor in entry.factors.items() if factor.kind == "name"]
    if glaze and glaze not in names:
        yield Problem(
            key="columns.glaze",
            found=quote(glaze),
            expected="a factor of kind 'name', or \"\" for none",
            remedy=f'{suggest(glaze, names)}Add [factors.{glaze}] with kind = "name".',
        )
    for name, outcome in entry.outcomes.items():
        if outcome.applies_to and not has_glaze(entry):
            yield Problem(
                key=f"outcomes.{name}.applies_to",
                found=quote(outcome.applies_to),
                expected="no such key in a codebook without a glaze column",
                remedy='Remove it, or name the glaze column as glaze = "…" in [columns].',
            )


def has_glaze(entry: CodebookEntry) -> bool:
    """Return whether the file has a glaze column, named or by its default name."""
    if entry.columns.glaze is not None:
        return bool(entry.columns.glaze)
    return "glaze" in entry.factors and entry.factors["glaze"].kind == "name"
