"""Merged and hidden cells of a sheet: filled or kept, and said."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from outcomes.finding import Finding, Severity
from outcomes.log.layout import letter_of
from outcomes.log.places import list_rows
from outcomes.log.quoting import list_words
from outcomes.log.sheet_marks import SheetMarks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilledSheet:
    """A sheet's rows with merged ranges filled, and the numbers of the rows that were."""

    rows: Mapping[int, list[str]]
    filled: tuple[int, ...]


def fill_merged(rows: Mapping[int, list[str]], marks: SheetMarks) -> FilledSheet:
    """Write a merged range's text into each of its rows.

    Notes
    -----
    A range over several rows means "the same for all of these", so its text goes down its
    first column. A range over several columns says nothing about the second column, which
    stays blank. Rows that hold nothing else are not made.
    """
    numbers = sorted(rows)
    changed: dict[int, list[str]] = {}
    for first, last, column, _ in marks.merged:
        text = _text_at(rows, first, column)
        if not text:
            continue
        for number in numbers[bisect_right(numbers, first) : bisect_right(numbers, last)]:
            cells = changed.get(number, rows[number])
            cells = cells + [""] * (column - len(cells))
            changed[number] = [*cells[: column - 1], text, *cells[column:]]
    return FilledSheet(rows={**rows, **changed}, filled=tuple(sorted(changed)))


def _text_at(rows: Mapping[int, list[str]], row: int, column: int) -> str:
    cells = rows.get(row, [])
    return cells[column - 1] if column <= len(cells) else ""


def note_marks(marks: SheetMarks, sheet: FilledSheet, name: str) -> tuple[Finding, ...]:
    """Say which rows were filled from merged cells, and what is hidden in the sheet."""
    hidden = tuple(row for row in marks.hidden_rows if row in sheet.rows)
    width = max((len(cells) for cells in sheet.rows.values()), default=0)
    columns = [letter_of(column - 1) for column in marks.hidden_columns if column <= width]
    found = []
    if sheet.filled:
        found.append(_note_merged(sheet.filled, marks, name))
    if hidden:
        where = f"{list_rows(hidden)} {'is' if len(hidden) == 1 else 'are'}"
        found.append(_note_hidden(where, "row", name, hidden))
    if columns:
        where = f"column{'' if len(columns) == 1 else 's'} {list_words(columns, most=12)} "
        where += "is" if len(columns) == 1 else "are"
        found.append(_note_hidden(where, "column", name, ()))
    return tuple(found)


def _note_merged(filled: tuple[int, ...], marks: SheetMarks, name: str) -> Finding:
    tall = sorted({left for top, bottom, left, _ in marks.merged if bottom > top})
    letters = list_words([letter_of(column - 1) for column in tall], most=12)
    return Finding(
        code="merged_cells",
        severity=Severity.NOTE,
        message=(
            f"{name} {list_rows(filled)}: cells merged with the row above (column {letters}) "
            "took its text, as the sheet shows it."
        ),
        advice="If the text belongs to the first row only, unmerge the cells.",
        rows=filled,
        file=name,
    )


def _note_hidden(where: str, what: str, name: str, rows: tuple[int, ...]) -> Finding:
    return Finding(
        code=f"hidden_{what}s",
        severity=Severity.NOTE,
        message=f"{name}: {where} hidden in the sheet; what is hidden was read like the rest.",
        advice=f"Delete a {what} that is no part of the log.",
        rows=rows,
        file=name,
    )
