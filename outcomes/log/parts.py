"""One table understood: each matched column parsed, each row kept or set aside."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outcomes.finding import Finding
from outcomes.log.codebook import Codebook
from outcomes.log.columns import ColumnRead, choose_parser, read_column, set_cells_aside
from outcomes.log.decimals import decide_marks
from outcomes.log.dittos import fill_dittos
from outcomes.log.firing_log import HeaderMatch, RowSetAside, SourceFile
from outcomes.log.layout import REPEATS_HEADER
from outcomes.log.scales import question_scales
from outcomes.log.tables import RawTable
from outcomes.log.text_rows import Texts
from outcomes.log.units_row import NO_PIECE, match_columns

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogPart:
    """One file's share of a log.

    Parameters
    ----------
    source, headers, findings
        As in `FiringLog`, of this file alone.
    rows
        The maker's row numbers, shape (n,).
    columns
        ``{canonical name: column}``, each of length n.
    others
        Unmatched columns ``(header as typed, texts)``, each of length n.
    aside
        Rows that are no pieces.
    short
        Numbers of the rows that ended before the last header.
    """

    source: SourceFile
    headers: tuple[HeaderMatch, ...]
    rows: NDArray[np.int64]
    columns: Mapping[str, ColumnRead]
    others: tuple[tuple[str, Texts], ...]
    aside: tuple[RowSetAside, ...]
    findings: tuple[Finding, ...]
    short: tuple[int, ...] = ()


def build_part(table: RawTable, codebook: Codebook) -> LogPart:
    """Understand one table.

    Parameters
    ----------
    table
        Header found, rows of one width.
    codebook
        What its columns mean.
    """
    matches = match_columns(table.headers, table.units, codebook, file=table.source.name)
    cells = table.rows.columns
    places = {m.column: k for k, m in enumerate(matches) if m.column is not None}
    marks = _decide_marks(places, table, matches, codebook)
    columns = {
        name: read_column(cells[k], matches[k], codebook, decimal=marks.get(name, "."))
        for name, k in places.items()
    }
    rows = table.rows.numbers
    columns = _apply_faults(columns, table, places=places, rows=rows)
    columns = {name: question_scales(column, codebook) for name, column in columns.items()}
    unread = [row.row for row in table.aside if row.reason not in (REPEATS_HEADER, NO_PIECE)]
    stretch = np.searchsorted(np.array(sorted(unread), dtype=np.int64), rows)
    return LogPart(
        source=_with_decimal(table.source, marks),
        headers=matches,
        rows=rows,
        columns={name: fill_dittos(column, stretch) for name, column in columns.items()},
        others=tuple(
            (m.written, cells[k].spread()) for k, m in enumerate(matches) if m.column is None
        ),
        aside=table.aside,
        findings=table.findings,
        short=table.short,
    )


def _with_decimal(source: SourceFile, marks: Mapping[str, str]) -> SourceFile:
    """Note the decimal mark of a text file: the comma when any column uses it."""
    mark = "," if "," in marks.values() else "."
    return replace(source, decimal=mark if source.kind == "csv" else "")


def _decide_marks(
    places: Mapping[str, int],
    table: RawTable,
    matches: Sequence[HeaderMatch],
    codebook: Codebook,
) -> dict[str, str]:
    """Decide the decimal mark of each column of numbers."""
    numbers = [
        name
        for name, k in places.items()
        if name != codebook.date and choose_parser(matches[k], codebook)[1]
    ]
    distinct = [table.rows.columns[places[name]].distinct for name in numbers]
    return dict(zip(numbers, decide_marks(distinct), strict=True))


def _apply_faults(
    columns: Mapping[str, ColumnRead],
    table: RawTable,
    *,
    places: Mapping[str, int],
    rows: NDArray[np.int64],
) -> dict[str, ColumnRead]:
    """Set aside the cells which the file itself marks as unusable."""
    changed = dict(columns)
    for name, k in places.items():
        faulty = {row: why for (row, place), why in table.faults.items() if place == k}
        if faulty:
            at = np.flatnonzero(np.isin(rows, list(faulty)))
            changed[name] = set_cells_aside(
                columns[name], at, reasons=[faulty[int(rows[i])] for i in at]
            )
    return changed


def drop_rows(part: LogPart, mask: Mask, why: Callable[[int], str]) -> LogPart:
    """Return the part without the masked rows, each accounted for with its reason.

    Parameters
    ----------
    part
        One file's share.
    mask
        Rows to set aside, shape (n,).
    why
        Position -> reason.
    """
    if not mask.any():
        return part
    aside = [
        RowSetAside(
            file=part.source.name,
            row=int(part.rows[i]),
            reason=why(int(i)),
            written=_text_of_row(part, int(i)),
        )
        for i in np.flatnonzero(mask)
    ]
    keep = ~mask
    return replace(
        part,
        rows=part.rows[keep],
        columns={name: keep_cells(column, keep) for name, column in part.columns.items()},
        others=tuple((header, texts[keep]) for header, texts in part.others),
        aside=tuple(sorted((*part.aside, *aside), key=lambda item: item.row)),
    )


def keep_cells(column: ColumnRead, keep: Mask) -> ColumnRead:
    """Return the column with the kept rows only."""
    doubtful = np.zeros(len(keep), dtype=bool)
    doubtful[column.ambiguous] = True
    return replace(
        column,
        values=column.values[keep],
        how=column.how[keep],
        written=column.written[keep],
        reasons=column.reasons[keep],
        stated=column.stated[keep],
        ambiguous=np.flatnonzero(doubtful[keep]),
    )


def _text_of_row(part: LogPart, at: int) -> str:
    cells = [column.written[at] for column in part.columns.values()]
    cells += [texts[at] for _, texts in part.others]
    return " | ".join(cell for cell in cells if cell.strip())
