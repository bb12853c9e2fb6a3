"""Rows that are no pieces: empty ones, remarks, another table below the log.

Nothing is dropped without a word: every such row is accounted for with its reason and text.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Kind
from outcomes.log.columns import ColumnRead
from outcomes.log.firing_log import How
from outcomes.log.parts import LogPart, Mask, drop_rows
from outcomes.log.places import list_rows
from outcomes.log.text_rows import Texts

NOTHING_WRITTEN = "nothing is written in any setting, condition or outcome"
A_REMARK = "it begins with # and nothing in it fits its columns: a remark, not a piece"
ANOTHER_TABLE = (
    "it stands below a blank line and does not fit the columns: another table, not a piece"
)


def set_no_pieces_aside(part: LogPart, codebook: Codebook) -> LogPart:
    """Return the file's share without the rows that are no pieces.

    Parameters
    ----------
    part
        One file's share, every cell read.
    codebook
        The codebook.
    """
    part = drop_rows(part, _find_remarks(part, codebook), lambda _: A_REMARK)
    part = drop_rows(part, _find_empty(part, codebook), lambda _: NOTHING_WRITTEN)
    part = drop_rows(part, _find_other_tables(part, codebook), lambda _: ANOTHER_TABLE)
    return replace(part, findings=(*part.findings, *_note_short_rows(part)))


def _find_empty(part: LogPart, codebook: Codebook) -> Mask:
    """Mark rows in which nothing is written that could make them a piece."""
    graded = {outcome.name for outcome in codebook.outcomes}
    counted = {factor.name for factor in codebook.factors} | graded | {codebook.piece}
    empty = np.ones(len(part.rows), dtype=bool)
    for name, column in part.columns.items():
        if name in counted:
            empty &= column.is_read(How.BLANK)
    return empty


def _find_remarks(part: LogPart, codebook: Codebook) -> Mask:
    """Mark rows that begin with # and hold no usable number, level, grade or date."""
    codes, distinct = pd.factorize(_first_column(part))
    marked = np.array([text.lstrip().startswith("#") for text in distinct], dtype=bool)
    if not marked.any():
        return np.zeros(len(part.rows), dtype=bool)
    return marked.take(codes) & ~_is_usable(part, codebook)


def _find_other_tables(part: LogPart, codebook: Codebook) -> Mask:
    """Mark the stretches below a blank line that begin like the header of another table.

    Notes
    -----
    Their first row has text where numbers, levels, grades or dates belong, and none that can be
    read; every further row is as unreadable, or fills at most half of the columns. A sparse
    firing typed below a blank line begins with a cell that can be read, and stays.
    """
    other = np.zeros(len(part.rows), dtype=bool)
    starts = _find_gaps(part)
    if not len(starts):
        return other
    usable, failed = _is_usable(part, codebook), _is_failed(part, codebook)
    ends = np.append(starts[1:], len(part.rows))
    suspected = failed[starts] & ~usable[starts]
    for start, end in zip(starts[suspected], ends[suspected], strict=True):
        sparse = _count_filled(part, int(start), int(end)) <= len(part.headers) / 2
        other[start:end] = bool((sparse | ~usable[start:end]).all())
    return other


def _find_gaps(part: LogPart) -> NDArray[np.int64]:
    """Return the positions of rows below blank lines (rows set aside are no blank lines)."""
    if len(part.rows) < 2:
        return np.empty(0, dtype=np.int64)
    aside = np.array(sorted(row.row for row in part.aside), dtype=np.int64)
    between = np.diff(np.searchsorted(aside, part.rows))
    return np.flatnonzero(np.diff(part.rows) > 1 + between) + 1


def _typed_columns(part: LogPart, codebook: Codebook) -> list[ColumnRead]:
    """Return each column that does not take any text."""
    typed = {factor.name for factor in codebook.factors if factor.kind is not Kind.NAME}
    typed |= {outcome.name for outcome in codebook.outcomes} | {codebook.date, codebook.loaded}
    return [column for name, column in part.columns.items() if name in typed]


def _is_usable(part: LogPart, codebook: Codebook) -> Mask:
    """Whether each row holds a usable number, level, grade or date."""
    usable = np.zeros(len(part.rows), dtype=bool)
    for column in _typed_columns(part, codebook):
        usable |= ~column.is_read(How.BLANK) & ~column.is_read(How.SET_ASIDE)
    return usable


def _is_failed(part: LogPart, codebook: Codebook) -> Mask:
    """Whether each row holds text where a number, level, grade or date belongs."""
    failed = np.zeros(len(part.rows), dtype=bool)
    for column in _typed_columns(part, codebook):
        failed |= column.is_read(How.SET_ASIDE)
    return failed


def _count_filled(part: LogPart, start: int, end: int) -> NDArray[np.int64]:
    """Return how many cells of each row of a stretch hold text."""
    filled = np.zeros(end - start, dtype=np.int64)
    texts = [column.written for column in part.columns.values()]
    for column in (*texts, *(others for _, others in part.others)):
        filled += np.array([bool(text.strip()) for text in column[start:end]], dtype=np.int64)
    return filled


def _first_column(part: LogPart) -> Texts:
    """Return the texts of the sheet's first column."""
    name = part.headers[0].column
    return part.columns[name].written if name is not None else part.others[0][1]


def _note_short_rows(part: LogPart) -> tuple[Finding, ...]:
    """Name the rows that end early, of those that are used."""
    rows = tuple(row for row in part.short if row in set(part.rows.tolist()))
    if not rows:
        return ()
    finding = Finding(
        code="ragged_rows",
        severity=Severity.WARNING,
        message=(
            f"{part.source.name} {list_rows(rows)}: fewer cells than the header's "
            f"{len(part.headers)}; the missing cells at the right end were read as blank."
        ),
        advice="Look whether a cell is missing in the middle of these rows.",
        rows=rows,
        file=part.source.name,
    )
    return (finding,)
