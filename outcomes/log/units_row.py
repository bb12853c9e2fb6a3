"""A row of units right below the header: it states the units, and is no piece."""

from collections.abc import Sequence
from dataclasses import replace

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import HeaderMatch
from outcomes.log.headers import match_headers
from outcomes.log.units import find_unit

NO_PIECE = "it holds the units of the columns, not a piece"


def read_units(cells: Sequence[str]) -> tuple[str, ...]:
    """Return the units a row states, column by column; empty when it is no row of units.

    >>> read_units(["", "°F", "(s)", "g"]), read_units(["R1", "1835", "12", "g"])
    (('', '°F', 's', 'g'), ())
    """
    bare = [cell.strip().strip("()[]").strip() for cell in cells]
    written = [cell for cell in bare if cell]
    units = tuple(cell if find_unit(cell) else "" for cell in bare)
    found = sum(map(bool, units))
    is_row = found >= 2 and found >= 0.6 * len(written)
    return units if is_row and not any(cell.isdecimal() for cell in written) else ()


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
