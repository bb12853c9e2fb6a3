"""A grid of text -> a table: which row is the header, which rows cannot be pieces."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import RowSetAside
from outcomes.log.headers import match_headers
from outcomes.log.known_headers import known_headers, likely_headers
from outcomes.log.places import list_rows
from outcomes.log.quoting import list_words, quote_text
from outcomes.log.tables import Grid, RawTable, Row
from outcomes.log.text_rows import TextRows, gather_rows
from outcomes.log.units_row import NO_PIECE, read_units

REPEATS_HEADER = "it repeats the header"
HEADER_IS_AMONG = 20  # rows looked at for the header
TOTALS = re.compile(
    r"\W*((grand|sub)[- ]?)?(totals?|sums?|averages?|means?|avg|counts?|medians?"
    # German, French, Spanish, Dutch: common practice, no source.
    r"|(zwischen)?summen?|gesamt(summe)?|insgesamt|mittelwert|durchschnitt"
    r"|sous[- ]?tota(l|ux)|sommes?|moyennes?|suma|promedio|(sub)?totaal|gemiddelde)\W*",
    re.IGNORECASE,
)


def build_table(grid: Grid, codebook: Codebook) -> RawTable:
    """Find the header and part the rows that cannot be pieces.

    Raises
    ------
    LogError
        When no row among the first twenty names a column of the codebook.
    """
    place = find_header(grid.rows, codebook)
    if place is None:
        raise LogError(_no_header(grid, codebook))
    number, cells = grid.rows[place]
    if isinstance(grid.rows, TextRows):
        fitted, aside = _fit_even_rows(grid.rows, place, grid.source.name)
        short: list[int] = []
    else:
        fitted, aside, short = _fit_rows(grid.rows[place + 1 :], cells, grid.source.name)
    headers, rows = _drop_empty_end(cells, fitted)
    units = read_units(rows[0][1]) if len(rows) else ()
    if units:
        aside.append(_set_aside(grid.source.name, *rows[0], reason=NO_PIECE))
    broken = [item for item in grid.broken if item.row > number]
    return RawTable(
        source=replace(grid.source, header_row=number),
        headers=headers,
        units=units,
        rows=rows[1:] if units else rows,
        faults=grid.faults,
        aside=tuple(sorted((*aside, *broken), key=lambda item: item.row)),
        findings=(*grid.findings, *_note_header(grid, place)),
        short=tuple(short),
    )


def find_header(rows: Sequence[Row], codebook: Codebook) -> int | None:
    """Return the position of the row that names most columns of the codebook, or None.

    The first of equally good rows wins. Only the first twenty rows are looked at.
    """
    first = [cells for _, cells in rows[:HEADER_IS_AMONG]]
    places = likely_headers(first, known_headers(codebook))
    if len(places) == 1:
        return places[0]
    counts = {place: count_columns(first[place], codebook) for place in places}
    best = max(counts, key=lambda place: counts[place], default=None)
    return best if best is not None and counts[best] else None


def count_columns(cells: Sequence[str], codebook: Codebook) -> int:
    """Return how many columns of the codebook a row names."""
    matches = match_headers(cells, codebook, file="")
    return sum(match.column is not None for match in matches)


def letter_of(position: int) -> str:
    """Return a column's letter as a spreadsheet shows it.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('A', 'Z', 'AA')
    """
    letters, rest = "", position + 1
    while rest:
        rest, last = divmod(rest - 1, 26)
        letters = chr(65 + last) + letters
    return letters


def _fit_rows(
    rows: Sequence[Row], header: Sequence[str], name: str
) -> tuple[TextRows, list[RowSetAside], list[int]]:
    """Give every row the header's width; set aside what is too long or no piece."""
    width, keys = len(header), [_key(cell) for cell in header]
    named = width - next((n for n, key in enumerate(reversed(keys)) if key), width)
    fitted: list[Row] = []
    aside: list[RowSetAside] = []
    short: list[int] = []
    for number, cells in rows:
        reason = _reason_against(cells, keys)
        if reason:
            aside.append(_set_aside(name, number, cells, reason=reason))
        elif len(cells) < width:
            short += [number] if len(cells) < named else []
            fitted.append((number, cells + ("",) * (width - len(cells))))
        else:
            fitted.append((number, cells[:width] if len(cells) > width else cells))
    return gather_rows(fitted, width), aside, short


def _fit_even_rows(rows: TextRows, place: int, name: str) -> tuple[TextRows, list[RowSetAside]]:
    """Set aside what is no piece below the header, where every row has its width."""
    keys = [_key(cell) for cell in rows[place][1]]
    aside: dict[int, RowSetAside] = {}
    for at in np.flatnonzero(_begins_oddly(rows, keys)).tolist():
        number, cells = rows[at]
        reason = _reason_against(cells, keys) if at > place else ""
        if reason:
            aside[at] = _set_aside(name, number, cells, reason=reason)
    kept = np.setdiff1d(np.arange(place + 1, len(rows)), list(aside), assume_unique=True)
    return rows.take(kept.astype(np.int64)), list(aside.values())


def _begins_oddly(rows: TextRows, keys: Sequence[str]) -> NDArray[np.bool_]:
    """Mark the rows whose first written cell is a word for totals or stands in the header."""
    odd, unsettled = np.zeros(len(rows), dtype=bool), np.ones(len(rows), dtype=bool)
    for column in rows.columns:
        odd |= unsettled & column.marks(lambda text: bool(text.strip()) and _is_odd(text, keys))
        unsettled &= column.marks(lambda text: not text.strip())
        if not unsettled.any():
            break
    return odd


def _is_odd(text: str, keys: Sequence[str]) -> bool:
    return _key(text) in keys or TOTALS.fullmatch(text) is not None


def _set_aside(name: str, number: int, cells: Sequence[str], *, reason: str) -> RowSetAside:
    written = " | ".join(cell for cell in cells if cell.strip())
    return RowSetAside(file=name, row=number, reason=reason, written=written)


def _reason_against(cells: Sequence[str], keys: Sequence[str]) -> str:
    """Say why a row cannot be a piece, "" when it can."""
    extra = [cell for cell in cells[len(keys) :] if cell.strip()] if len(cells) > len(keys) else ()
    if extra:
        return (
            f"it has {len(cells)} cells where the header has {len(keys)}; the last is "
            f"{quote_text(extra[-1])}, and which cell is one too many cannot be told"
        )
    first = cells[0] if cells[0].strip() else next((cell for cell in cells if cell.strip()), "")
    if TOTALS.fullmatch(first):
        return f"it begins with {quote_text(first)}: a line of totals, not a piece"
    if _key(first) in keys and _repeats_header(cells, keys):
        return REPEATS_HEADER
    return ""


def _key(cell: str) -> str:
    """Return a cell to compare with a header: where files were joined a mark stands before it."""
    return cell.strip().strip("\ufeff").strip().lower()


def _repeats_header(cells: Sequence[str], keys: Sequence[str]) -> bool:
    pairs = [(_key(c), key) for c, key in zip(cells, keys, strict=False) if c.strip()]
    same = sum(cell == key for cell, key in pairs)
    return same >= 2 and same >= 0.6 * len(pairs)


def _drop_empty_end(header: Sequence[str], rows: TextRows) -> tuple[tuple[str, ...], TextRows]:
    """Drop columns at the right end with neither header nor text; name those with text only."""
    width = len(header)
    while width and not header[width - 1].strip():
        if any(text.strip() for text in rows.columns[width - 1].distinct):
            break
        width -= 1
    named = tuple(
        cell.strip() or f"(column {letter_of(place)}, no header)"
        for place, cell in enumerate(header[:width])
    )
    return named, rows.pick(range(width))


def _note_header(grid: Grid, place: int) -> tuple[Finding, ...]:
    number, name = grid.rows[place][0], grid.source.name
    if number == 1:
        return ()
    skipped = tuple(row for row, _ in grid.rows[:place])
    above = f" What stands above it ({list_rows(skipped)}) was not read." if skipped else ""
    finding = Finding(
        code="header_row_found",
        severity=Severity.NOTE,
        message=f"{name}: the header was found in row {number}, not in row 1.{above}",
        advice="If that is not the header, move the real one to row 1.",
        rows=(number,),
        file=name,
    )
    return (finding,)


def _no_header(grid: Grid, codebook: Codebook) -> str:
    name = grid.source.name
    columns = [*codebook.special_columns(), *(item.name for item in codebook.outcomes)]
    expected = f"expected a header row with columns such as {list_words(columns, most=6)}"
    if not grid.rows:
        return f"{name} has no rows, {expected}. Export the log again."
    number, cells = grid.rows[0]
    seen = list_words([quote_text(cell) for cell in cells if cell.strip()], most=6)
    return (
        f"{name}: no row among the first {HEADER_IS_AMONG} names a column of the codebook; row "
        f"{number} holds {seen}, {expected}. Name the columns so, or give the codebook these "
        "headers as aliases."
    )
