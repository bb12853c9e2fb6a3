"""Delimited text -> records of cells, distrusting quotation marks.

A quotation mark that is never closed makes the `csv` module swallow the rows below it
without a word. So lines without one go through `csv` in bulk, and a line with one must give
a record of the expected width, or its marks are taken as plain characters, and that is said.
"""

import csv
import io
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from outcomes.log.text_rows import TextRows, TextRowsBuilder

# Cells small enough in number to stay in a processor's nearest memory: twice as fast as 100 000.
_CELLS_AT_ONCE = 8_000
MAX_LINES_IN_A_CELL = 400  # a longer note is taken for an unclosed quotation mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One row of a delimited file.

    ``fault`` is "" for a sound row, "literal" when its quotation marks do not pair and were
    taken as plain characters, and otherwise the reason why it cannot be cut into cells.
    """

    cells: list[str]
    fault: str = ""


def split_lines(text: str) -> list[str]:
    r"""Split at CR, LF or CRLF only, ends kept.

    >>> split_lines("a\rb\r\nc")
    ['a\r', 'b\r\n', 'c']
    """
    return list(io.StringIO(text, newline=""))


def read_records(lines: Sequence[str], *, delimiter: str, width: int) -> Iterator[Record]:
    """Yield one record per row as a spreadsheet counts them, blank rows included.

    Parameters
    ----------
    lines
        Physical lines, ends kept.
    delimiter
        One character.
    width
        Number of cells an ordinary row has, to tell a broken row by.
    """
    quoted = [i for i, line in enumerate(lines) if '"' in line]
    if quoted and _is_sound(lines, delimiter, width):
        for cells in csv.reader(lines, delimiter=delimiter, strict=True):
            yield Record(cells=cells)
        return
    at = 0
    while at < len(lines):
        place = bisect_left(quoted, at)
        until = quoted[place] if place < len(quoted) else len(lines)
        for cells in csv.reader(lines[at:until], delimiter=delimiter, quoting=csv.QUOTE_NONE):
            yield Record(cells=cells)
        if until < len(lines):
            ends = quoted[place : place + MAX_LINES_IN_A_CELL]
            record, used = _read_quoted(lines, ends, delimiter=delimiter, width=width)
            yield record
            until += used
        at = until


def read_sound_rows(lines: Sequence[str], *, delimiter: str, width: int) -> TextRows | None:
    """Cut a file in one pass; None when any line is not one well-quoted record of the width.

    Parameters
    ----------
    lines, delimiter, width
        As in `read_records`, which has to be asked after a None.

    Returns
    -------
    TextRows or None
        Blank lines left out.
    """
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    builder, read = TextRowsBuilder(width), 0
    try:
        while records := list(islice(reader, max(1, _CELLS_AT_ONCE // width))):
            if not set(map(len, records)) <= {0, width}:
                return None
            numbers = np.arange(read + 1, read + len(records) + 1)
            filled = np.array(list(map(bool, records)))
            builder.add(numbers[filled], [cells for cells in records if cells])
            read += len(records)
            if reader.line_num != read:  # a record over several lines
                return None
    except csv.Error:
        return None
    return builder.build().without_blank()


def _is_sound(lines: Sequence[str], delimiter: str, width: int) -> bool:
    """Say whether every line is one well-quoted record of the width, or blank."""
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    try:
        return all(
            len(cells) in (0, width) and reader.line_num == number
            for number, cells in enumerate(reader, start=1)
        )
    except csv.Error:
        return False


def _read_quoted(
    lines: Sequence[str], quoted: Sequence[int], *, delimiter: str, width: int
) -> tuple[Record, int]:
    """Read the record that starts at line ``quoted[0]``, and say how many lines it takes."""
    at = quoted[0]
    for end in quoted:
        taken = lines[at : end + 1]
        cells = _parse_strictly(taken, delimiter)
        if end - at > MAX_LINES_IN_A_CELL or (cells is None and _is_stray(taken, delimiter)):
            break
        if cells is None:
            continue
        if end > at and _swallows(taken, delimiter, width):
            break
        if end == at and len(cells) != width:
            literal = split_literally(lines[at], delimiter)
            if len(literal) == width:
                return Record(cells=literal, fault=_name_fault(literal)), 1
        return Record(cells=cells), len(taken)
    return _read_literally(lines[at], delimiter, width), 1


def _read_literally(line: str, delimiter: str, width: int) -> Record:
    """Read a line whose marks do not pair; one that opens a cell and never closes is left out."""
    literal = split_literally(line, delimiter)
    cells = [_drop_lone_mark(cell) for cell in literal]
    if len(cells) == width or not any(cells[width:]):
        return Record(cells=cells, fault=_name_fault(literal))
    reason = (
        f"a quotation mark in this row has no partner, so the row breaks into {len(cells)} cells "
        f"where {width} were expected"
    )
    return Record(cells=cells, fault=reason)


def _name_fault(cells: Sequence[str]) -> str:
    """Return "literal", or "" where every mark stands alone in its cell: "as in the row above"."""
    return "" if all(cell.strip() == '"' for cell in cells if '"' in cell) else "literal"


def _drop_lone_mark(cell: str) -> str:
    return cell[1:] if len(cell) > 1 and cell[0] == '"' and cell.count('"') == 1 else cell


def _parse_strictly(lines: Sequence[str], delimiter: str) -> list[str] | None:
    """Return the cells of exactly one well-quoted record, or None."""
    try:
        records = list(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error:
        return None
    return records[0] if len(records) == 1 else None


def _is_stray(lines: Sequence[str], delimiter: str) -> bool:
    """Say whether adding lines cannot help: a mark closes and is followed by other text."""
    try:
        list(csv.reader(lines, delimiter=delimiter, strict=True))
    except csv.Error as error:
        return "unexpected end of data" not in str(error)
    return True


def _swallows(lines: Sequence[str], delimiter: str, width: int) -> bool:
    """Say whether a quoted cell over several lines holds what look like rows of their own."""
    full = [len(split_literally(line, delimiter)) >= width for line in lines]
    return width > 1 and full[0] and any(full[1:])


def split_literally(line: str, delimiter: str) -> list[str]:
    r"""Split a line with every quotation mark kept, except around a cell that is closed.

    >>> split_literally('R1,",30,"a, b"\n', ",")
    ['R1', '"', '30', 'a, b']
    """
    rest, cells, at = line.rstrip("\r\n"), [], 0
    if '"' not in rest:
        return rest.split(delimiter)
    while True:
        cell, after = _cut_cell(rest, at, delimiter)
        cells.append(cell)
        if after is None:
            return cells
        at = after


def _cut_cell(rest: str, at: int, delimiter: str) -> tuple[str, int | None]:
    """Cut out the cell that starts here; also where the next one starts, None at the end."""
    if _opens_quote(rest, at, delimiter):
        close = rest.find('"', at + 1)
        while close >= 0 and rest.startswith('"', close + 1):
            close = rest.find('"', close + 2)
        is_last = close + 1 == len(rest)
        if close >= 0 and (is_last or rest.startswith(delimiter, close + 1)):
            cell = rest[at + 1 : close].replace('""', '"')
            return cell, None if is_last else close + 2
    end = rest.find(delimiter, at)
    return (rest[at:], None) if end < 0 else (rest[at:end], end + 1)


def _opens_quote(rest: str, at: int, delimiter: str) -> bool:
    """Say whether a mark here opens a cell and is not a cell of its own."""
    is_alone = at + 1 == len(rest) or rest.startswith(delimiter, at + 1)
    return rest.startswith('"', at) and not is_alone
