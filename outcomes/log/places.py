"""Where a finding stands: the maker's own files, rows and headers.

Everything inside a `FiringLog` is addressed by position 0..n-1; a maker knows only "row 14 of
the sheet" and the header as typed. This module is the one place that translates.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.quoting import list_words, quote_text, show_text

Positions = NDArray[np.int64]
MOST_CELLS = 5


def positions_of(mask: "pd.Series[bool]") -> Positions:
    """Return the positions at which a mask over the log's rows holds."""
    return np.flatnonzero(mask.to_numpy(dtype=bool)).astype(np.int64)


def header_of(log: FiringLog, column: str, *, file: str | None = None) -> str:
    """Return the header as the maker typed it; the canonical name where there is none."""
    for match in log.headers:
        if match.column == column and file in (None, match.file):
            return match.written
    return column


def unit_of(log: FiringLog, column: str, *, file: str | None = None) -> str:
    """Return the unit code the column's header states, "" when it states none."""
    for match in log.headers:
        if match.column == column and file in (None, match.file):
            return match.unit
    return ""


def has_column(log: FiringLog, column: str) -> bool:
    """Whether the log holds a canonical column of that name."""
    return bool(column) and column in log.values.columns


def is_empty(texts: "pd.Series[str]") -> "pd.Series[bool]":
    """Whether nothing but spaces is written in each cell; every distinct text is looked at once."""
    codes, distinct = pd.factorize(texts)
    empty = np.array([not str(text).strip() for text in distinct], dtype=bool)
    return pd.Series(empty.take(codes) if len(codes) else empty, index=texts.index)


def rows_at(log: FiringLog, positions: Iterable[int]) -> tuple[int, ...]:
    """Return the maker's row numbers of these positions, ascending, each once."""
    numbers = log.origin["row"].to_numpy()[np.fromiter(positions, dtype=np.int64)]
    return tuple(sorted({int(number) for number in numbers}))


def split_by_file(log: FiringLog, positions: Positions) -> tuple[tuple[str, Positions], ...]:
    """Return the positions file by file, files in the order they were given."""
    files = log.origin["file"].to_numpy(dtype=object)[positions]
    names = [source.name for source in log.files]
    return tuple((name, positions[files == name]) for name in names if (files == name).any())


def where_of(log: FiringLog, column: str, *, file: str) -> str:
    """Return the opening of a message: the file, then the column as typed."""
    return f"{show_text(file)}, column {show_text(header_of(log, column, file=file))}"


def list_rows(rows: Sequence[int]) -> str:
    """Return row numbers as words, at most five.

    >>> list_rows((14,)), list_rows((3, 9)), list_rows(tuple(range(2, 9)))
    ('row 14', 'rows 3 and 9', 'rows 2, 3, 4, 5, 6 and 2 more')
    """
    first = [str(row) for row in rows[: MOST_CELLS + 1]]
    return f"row{'s' if len(rows) != 1 else ''} " + list_words(first, total=len(rows))


def list_cells(log: FiringLog, positions: Positions, column: str) -> str:
    """Return at most five cells as "row 14 '9000'", then how many more."""
    rows = log.origin["row"].to_numpy()[positions[: MOST_CELLS + 1]]
    texts = log.written[column].to_numpy(dtype=object)[positions[: MOST_CELLS + 1]]
    cells = [f"row {row} {quote_text(str(text))}" for row, text in zip(rows, texts, strict=True)]
    return list_words(cells, total=len(positions))


def about_log(code: str, severity: Severity, *, message: str, advice: str) -> Finding:
    """Return a finding about the whole log: no rows, no column."""
    return Finding(code=code, severity=severity, message=message, advice=advice)


def about_column(
    log: FiringLog, column: str, *, code: str, severity: Severity, message: str, advice: str
) -> Finding:
    """Return a finding about a whole column: no rows."""
    return Finding(
        code=code,
        severity=severity,
        message=f"Column {show_text(header_of(log, column))}: {message}",
        advice=advice,
        column=header_of(log, column),
    )


def about_rows(
    log: FiringLog,
    positions: Positions,
    *,
    column: str,
    code: str,
    severity: Severity,
    words: Callable[[Positions], tuple[str, str]],
) -> tuple[Finding, ...]:
    """Gather rows that break one rule: one finding a file.

    Parameters
    ----------
    log, positions
        The rows.
    column
        Canonical name of the column concerned; "" when whole rows are.
    code, severity
        Of the findings.
    words
        Positions in one file -> (what is the case, what to do), full sentences. The message
        opens with the file and the column as typed.
    """
    found = []
    for file, here in split_by_file(log, positions):
        case, advice = words(here)
        place = where_of(log, column, file=file) if column else show_text(file)
        found.append(
            Finding(
                code=code,
                severity=severity,
                message=f"{place}: {case}",
                advice=advice,
                column=header_of(log, column, file=file) if column else None,
                rows=rows_at(log, here),
                file=file if len(log.files) > 1 else None,
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class CellWords:
    """How a finding about cells is worded.

    ``case`` follows "3 cells" ("outside what is usual, kept"); ``expected`` is the sentence
    after the cells; ``advice`` says what to do.
    """

    case: str
    expected: str
    advice: str


def about_cells(
    log: FiringLog,
    positions: Positions,
    *,
    column: str,
    code: str,
    severity: Severity,
    words: Callable[[str], CellWords],
) -> tuple[Finding, ...]:
    """Gather cells of one column that break one rule: one finding a file, texts as typed.

    Parameters
    ----------
    log, positions, column
        The cells.
    code, severity
        Of the findings.
    words
        File name -> the wording (units of the expected range follow the file's header).
    """

    def sentence(here: Positions) -> tuple[str, str]:
        told = words(str(log.origin["file"].iloc[int(here[0])]))
        count = "1 cell" if len(here) == 1 else f"{len(here)} cells"
        cells = list_cells(log, here, column)
        return f"{count} {told.case}: {cells}. {told.expected}".strip(), told.advice

    return about_rows(log, positions, column=column, code=code, severity=severity, words=sentence)
