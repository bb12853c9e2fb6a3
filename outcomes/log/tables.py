"""What a file holds before any cell is understood: grids of text with the maker's row numbers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from outcomes.finding import Finding
from outcomes.log.firing_log import RowSetAside, SourceFile
from outcomes.log.text_rows import Row, TextRows

__all__ = ["Grid", "RawTable", "Row"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """One sheet of text, its header not found yet.

    Parameters
    ----------
    source
        The file; ``header_row`` is 0 here.
    rows
        ``(row number as a spreadsheet shows it, cells)``; rows without any text are left out.
        `TextRows` where every row is known to be of one width.
    faults
        ``{(row, position of the column): reason}`` for cells which the file itself marks as
        unusable (a formula without a result, a spreadsheet's error).
    broken
        Rows that could not be cut into cells, and why.
    findings
        How the file was opened.
    """

    source: SourceFile
    rows: Sequence[Row]
    faults: Mapping[tuple[int, int], str] = field(default_factory=dict)
    broken: tuple[RowSetAside, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RawTable:
    """A grid whose header was found: every row has as many cells as there are headers.

    Parameters
    ----------
    source, faults, findings
        As in `Grid`, with ``header_row`` set.
    headers
        As typed, without blanks at their ends; a column without one is called by its letter.
    units
        What a row of units below the header says of each column, "" where nothing; empty when
        there is no such row.
    rows
        ``(row number, cells)`` of the rows that may be pieces.
    aside
        Rows that cannot be pieces, with the reason.
    short
        Numbers of the rows that ended before the last header.
    """

    source: SourceFile
    headers: tuple[str, ...]
    units: tuple[str, ...] = ()
    rows: TextRows
    faults: Mapping[tuple[int, int], str] = field(default_factory=dict)
    aside: tuple[RowSetAside, ...] = ()
    findings: tuple[Finding, ...] = ()
    short: tuple[int, ...] = ()
