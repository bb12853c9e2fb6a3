"""One table of gradings -> one log a grader, read by the machinery that reads any log."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from outcomes.doubts.check_graders import GRADER
from outcomes.graders.columns import (
    GradeColumn,
    find_grade_columns,
    with_header,
)
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.headers import match_headers
from outcomes.log.joining import join_parts
from outcomes.log.no_pieces import set_no_pieces_aside
from outcomes.log.parts import build_part
from outcomes.log.spellings import unite_spellings
from outcomes.log.tables import RawTable


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """One grading of one file; ``grader`` is "" where a column of the log names it."""

    log: FiringLog
    grader: str
    how: str


def build_views(table: RawTable, codebook: Codebook) -> tuple[View, ...]:
    """Return the gradings a table holds.

    Parameters
    ----------
    table
        Header found.
    codebook
        With the grading columns.

    Notes
    -----
    A column of graders makes one view of all rows, whoever graded; else grade columns make one
    each; else the file itself is one grading, by whom its name says.
    """
    matches = match_headers(table.headers, codebook, file=table.source.name)
    if any(match.column == GRADER for match in matches):
        return (View(log=_read(table, codebook), grader="", how="long"),)
    columns = find_grade_columns(table.headers, codebook)
    if columns:
        return tuple(_wide_views(table, columns, codebook))
    return (View(log=_read(table, codebook), grader=name_grader(table.source.name), how="file"),)


def name_grader(file: str) -> str:
    """Return a file's name without its ending: who graded in it.

    >>> name_grader("grades_Ines.csv"), name_grader("Bo.xlsx")
    ('grades_Ines', 'Bo')
    """
    head, dot, _ = file.rpartition(".")
    return head if dot and head else file


def _wide_views(
    table: RawTable, columns: Sequence[GradeColumn], codebook: Codebook
) -> Iterator[View]:
    """Yield one view a grader: the shared columns and the grader's own."""
    places = {column.place for column in columns}
    shared = [place for place in range(len(table.headers)) if place not in places]
    for grader in dict.fromkeys(column.grader for column in columns):
        own = [column for column in columns if column.grader == grader]
        words = codebook
        for column in own:
            words = with_header(words, column.outcome, table.headers[column.place])
        kept = sorted([*shared, *(column.place for column in own)])
        log = _read(select_columns(table, kept), words)
        yield View(log=replace(log, codebook=codebook), grader=grader, how="wide")


def select_columns(table: RawTable, kept: Sequence[int]) -> RawTable:
    """Return a table with these columns only, its rows and their numbers unchanged."""
    place = {old: new for new, old in enumerate(kept)}
    return replace(
        table,
        headers=tuple(table.headers[at] for at in kept),
        units=tuple(table.units[at] for at in kept) if table.units else (),
        rows=table.rows.pick(kept),
        faults={
            (row, place[at]): reason for (row, at), reason in table.faults.items() if at in place
        },
    )


def _read(table: RawTable, codebook: Codebook) -> FiringLog:
    part = set_no_pieces_aside(build_part(table, codebook), codebook)
    return unite_spellings(join_parts([part], codebook))
