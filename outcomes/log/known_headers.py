"""A quick look for a header: exact names only, before the tolerant matching of one row.

Choosing a delimiter, a header row or a sheet compares many candidates; matching each of them
tolerantly would cost seconds on a wide file, and the best candidate is the same.
"""

import re
from collections.abc import Iterable, Sequence

from outcomes.log.codebook import Codebook

LONGEST_HEADER = 80
_PUNCTUATION = re.compile(r"[\W_]+")


def header_key(text: str) -> str:
    """Return a header without case, blanks and punctuation.

    >>> header_key(" Pull temp (°F)")
    'pulltempf'
    """
    return _PUNCTUATION.sub("", text).lower()


def known_headers(codebook: Codebook) -> frozenset[str]:
    """Return the keys of the headers the codebook names, also without and with other units."""
    items = [(item.name, item.label, item.aliases) for item in codebook.factors]
    items += [(item.name, item.label, item.aliases) for item in codebook.outcomes]
    names = [text for name, label, aliases in items for text in (name, label, *aliases)]
    for factor in codebook.factors:
        stem = factor.name.removesuffix(f"_{factor.unit.lower()}")
        names += [stem, *(f"{stem}_{unit}" for unit in factor.accepted_units)]
    names += list(codebook.special_columns())
    names += [alias for _, aliases in codebook.special_aliases for alias in aliases]
    return frozenset(header_key(name) for name in names) - {""}


def count_known(cells: Iterable[str], known: frozenset[str]) -> int:
    """Return how many different known headers a row holds."""
    return len({header_key(cell) for cell in cells if len(cell) <= LONGEST_HEADER} & known)


def likely_headers(rows: Sequence[Sequence[str]], known: frozenset[str]) -> tuple[int, ...]:
    """Return the positions of the rows worth matching: the one that holds most known headers.

    The first of equals; when no row holds two, every row of two or more short cells.
    """
    counts = [count_known(cells, known) for cells in rows]
    most = max(counts, default=0)
    if most >= 2:
        return (counts.index(most),)
    return tuple(
        place
        for place, cells in enumerate(rows)
        if sum(0 < len(cell.strip()) <= LONGEST_HEADER for cell in cells) >= 2
    )
