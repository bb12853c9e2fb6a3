"""Delimited text (CSV, TSV, semicolons, bars) -> a grid of text with row numbers."""

import csv
import re
from collections import Counter
from collections.abc import Iterable, Sequence

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.log.crowded import (
    refuse_many_lines,
    refuse_many_lines_unread,
    refuse_wide_lines,
)
from outcomes.log.encodings import decode_text
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.files import FileBytes
from outcomes.log.firing_log import RowSetAside, SourceFile
from outcomes.log.known_headers import count_known
from outcomes.log.places import list_rows
from outcomes.log.records import (
    Record,
    read_records,
    read_sound_rows,
    split_lines,
    split_literally,
)
from outcomes.log.tables import Grid, Row
from outcomes.log.text_rows import TextRows

DELIMITERS = (",", ";", "\t", "|")
_DECLARED = re.compile(r"\ufeff?\"?sep=(.)\"?[,;\t|]*\r?\n?", re.IGNORECASE)
_SAMPLE_ROWS = 60
_SAMPLE_SIGNS = 1_000_000
# The csv module refuses a cell of more than 131,072 characters; ours is measured afterwards.
_ANY_LENGTH = 2**31 - 1


def read_delimited(
    file: FileBytes, known: frozenset[str], *, limits: FileLimits = DEFAULT_LIMITS
) -> Grid:
    """Cut a text file into rows of cells.

    Parameters
    ----------
    file
        Its bytes.
    known
        Header keys of the codebook (see `known_headers`): they decide the delimiter.
    limits
        Most rows, columns and characters in a cell.

    Raises
    ------
    LogError
        When the bytes are no text, or hold more than `limits`.
    """
    refuse_many_lines_unread(file.data, file.name, limits)
    decoded = decode_text(file.data, file.name)
    refuse_many_lines(decoded.text, file.name, limits)
    lines = split_lines(decoded.text.rstrip("\x1a"))
    declared = _DECLARED.fullmatch(lines[0]) if lines else None
    lines = lines[1:] if declared else lines
    start = [line[:_SAMPLE_SIGNS] for line in lines[: 4 * _SAMPLE_ROWS]]
    sample = [line for line in start if line.strip()][:_SAMPLE_ROWS]
    delimiter = declared[1] if declared else vote_delimiter(sample, known)
    refuse_wide_lines(lines, file.name, delimiter=delimiter, limits=limits)
    width = expected_width(sample, delimiter, known)
    before = csv.field_size_limit(_ANY_LENGTH)
    try:
        rows, broken, literal = _read_rows(
            lines, file.name, delimiter=delimiter, width=width, limits=limits
        )
    finally:
        csv.field_size_limit(before)
    source = SourceFile(
        name=file.name,
        sha256=file.sha256,
        kind="csv",
        header_row=0,
        encoding=decoded.encoding,
        delimiter=delimiter,
    )
    findings = (*decoded.findings, *_note_literal_quotes(literal, file.name))
    return Grid(source=source, rows=rows, broken=broken, findings=findings)


def vote_delimiter(lines: Sequence[str], known: frozenset[str]) -> str:
    """Return the delimiter that finds most known headers, then the steadiest rows.

    >>> vote_delimiter(["glaze;pull temp", "Moth, white;985,5"], frozenset({"glaze"}))
    ';'
    """
    return max(DELIMITERS, key=lambda delimiter: _score(lines, delimiter, known))


def _score(lines: Sequence[str], delimiter: str, known: frozenset[str]) -> tuple[float, ...]:
    rows = [split_literally(line, delimiter) for line in lines]
    found = max((count_known(row, known) for row in rows[:20]), default=0)
    width, times = Counter(len(row) for row in rows).most_common(1)[0] if rows else (1, 0)
    steady = times / len(rows) if width > 1 else 0.0
    return (found, steady, width)


def expected_width(lines: Sequence[str], delimiter: str, known: frozenset[str]) -> int:
    """Return how many cells an ordinary row has: the header's, or the commonest number."""
    rows = [split_literally(line, delimiter) for line in lines]
    best = max(rows[:20], key=lambda row: count_known(row, known), default=[])
    if count_known(best, known) >= 2:
        return len(best)
    return Counter(len(row) for row in rows).most_common(1)[0][0] if rows else 1


def _read_rows(
    lines: Sequence[str], name: str, *, delimiter: str, width: int, limits: FileLimits
) -> tuple[Sequence[Row], tuple[RowSetAside, ...], list[int]]:
    """Return the rows numbered from 1, those that are broken, those with literal marks."""
    rows: Sequence[Row] | None = None
    broken: tuple[RowSetAside, ...] = ()
    literal: list[int] = []
    if 1 < width <= limits.columns:
        rows = read_sound_rows(lines, delimiter=delimiter, width=width)
    if isinstance(rows, TextRows):
        longest, row = rows.find_longest()
    else:
        seen: dict[str, str] = {}
        records = read_records(lines, delimiter=delimiter, width=width)
        rows, broken, literal = _number_rows(
            records, name, delimiter=delimiter, limits=limits, seen=seen
        )
        text = max(seen, key=len, default="")
        longest, row = len(text), next((n for n, cells in rows if text in cells), 0)
    if longest > limits.cell_characters:
        raise LogError(_too_long(name, row, longest, limits))
    if len(rows) > limits.rows + 1:
        raise LogError(_too_many_rows(name, len(rows), limits))
    return rows, broken, literal


def _number_rows(
    records: Iterable[Record],
    name: str,
    *,
    delimiter: str,
    limits: FileLimits,
    seen: dict[str, str],
) -> tuple[list[Row], tuple[RowSetAside, ...], list[int]]:
    """Return the rows of a file that has to be distrusted, as `_read_rows` does."""
    rows: list[Row] = []
    broken: list[RowSetAside] = []
    literal: list[int] = []
    for number, record in enumerate(records, start=1):
        cells = record.cells
        is_blank = not (cells and cells[0].strip()) and not "".join(cells).strip()
        if is_blank:
            continue
        if record.fault not in ("", "literal"):
            written = delimiter.join(cells)
            broken.append(RowSetAside(file=name, row=number, reason=record.fault, written=written))
            continue
        if record.fault:
            literal.append(number)
        if len(cells) > limits.columns:
            raise LogError(_too_many_columns(name, number, len(cells), limits))
        rows.append((number, tuple([seen.setdefault(cell, cell) for cell in cells])))
    return rows, tuple(broken), literal


def _too_many_rows(name: str, rows: int, limits: FileLimits) -> str:
    return (
        f"{name} has {rows:,} rows, more than the {limits.rows:,} that are read at once. "
        "Keep one row per piece and leave out what is no piece."
    )


def _too_many_columns(name: str, row: int, columns: int, limits: FileLimits) -> str:
    return (
        f"{name} row {row} has {columns:,} cells, more than the {limits.columns:,} columns a "
        "spreadsheet has. Keep the columns of the codebook only."
    )


def _too_long(name: str, row: int, characters: int, limits: FileLimits) -> str:
    return (
        f"{name} row {row} has a cell of {characters:,} characters, more than the "
        f"{limits.cell_characters:,} that are read. Shorten it, or look for a quotation mark that "
        "is never closed."
    )


def _note_literal_quotes(rows: Sequence[int], name: str) -> tuple[Finding, ...]:
    if not rows:
        return ()
    finding = Finding(
        code="stray_quotes",
        severity=Severity.WARNING,
        message=(
            f"{name} {list_rows(rows)}: a quotation mark has no partner; it was not taken to "
            "quote anything, so that it does not swallow the rows below it."
        ),
        advice='Look at these rows; a mark inside a quoted cell is written twice ("").',
        rows=tuple(rows),
        file=name,
    )
    return (finding,)
