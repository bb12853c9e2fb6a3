"""A row of units right below the header: it states the units, and is no piece."""

import re
from collections.abc import Sequence
from dataclasses import replace

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import HeaderMatch
from outcomes.log.headers import match_headers
from outcomes.log.units import find_unit
from outcomes.log.words import clean_text

NO_PIECE = "it holds the units of the columns, not a piece"
# What stands beside units where a column has none: a number sign, a choice, a scale.
_NEUTRAL = re.compile(
    r"#|no\.|nr\.?|nos\.?|number|grades?|scale|y/n|yes/no|date|names?|text|notes?|[^\d]*\?"
    r"|[01] ?(?:-|to) ?\d{1,3}",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"\(.*\)|\[.*\]")
_DIGIT = re.compile(r"\d")
_AROUND = re.compile(r"^in |(?<=\w) (?:after|later)$", re.IGNORECASE)  # "min after"


def read_units(cells: Sequence[str]) -> tuple[str, ...]:
    """Return the units a row states, column by column; empty when it is no row of units.

    >>> read_units(["", "°F", "(s)", "g"]), read_units(["R1", "1835", "12", "g"])
    (('', '°F', 's', 'g'), ())
    >>> read_units(["#", "", "(secs)", "(min after)", "(y/n)", "(0-4)"])
    ('', '', 'secs', 'min', '', '')
    """
    units = tuple(_unit_in(cell) for cell in cells)
    others = [
        cell.strip()
        for cell, unit in zip(cells, units, strict=True)
        if cell.strip() and not unit and not _is_neutral(cell)
    ]
    found = sum(map(bool, units))
    is_row = found >= 2 and found >= 0.6 * (found + len(others))
    return units if is_row and not any(map(_DIGIT.search, others)) else ()


def _unit_in(cell: str) -> str:
    """Return the unit a cell states, in brackets or not, "" when it states none."""
    bare = _AROUND.sub("", cell.strip().strip("()[]").strip())
    return bare if find_unit(bare) else ""


def _is_neutral(cell: str) -> bool:
    """Whether a cell says neither for nor against a row of units: "#", "(y/n)", "0-4"."""
    return any(pattern.fullmatch(clean_text(cell)) for pattern in (_NEUTRAL, _BRACKETS))


def match_columns(
    headers: Sequence[str], units: Sequence[str], codebook: Codebook, *, file: str
) -> tuple[HeaderMatch, ...]:
    """Match the headers, each with the unit the row below it states unless it states its own.

    Parameters
    ----------
    headers, units
        As typed; ``units`` may be empty.
    codebook, file
        As in `match_headers`.
    """
    matches = match_headers(headers, codebook, file=file)
    if not units:
        return matches
    stated = [
        f"{header} ({unit})" if unit and match.column is not None and not match.unit else header
        for header, unit, match in zip(headers, units, matches, strict=True)
    ]
    again = match_headers(stated, codebook, file=file)
    return tuple(
        replace(match, written=header) for header, match in zip(headers, again, strict=True)
    )
