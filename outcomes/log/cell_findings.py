"""What there is to say about a file's cells: approximate, converted, repeated, not computed."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.columns import ColumnRead, find_factor
from outcomes.log.firing_log import How
from outcomes.log.parts import LogPart
from outcomes.log.quoting import list_words, quote_text, show_text
from outcomes.log.scale_findings import check_date_order, check_scales, describe_cells
from outcomes.log.workbook_cells import NOT_COMPUTED

Positions = NDArray[np.int64]
MOST_WITH_ROWS = 5  # cells of one column; the rows of more are in the finding, not its sentence
# code, how, what is said of the cells, what the maker can do
_READINGS: tuple[tuple[str, How, str, str], ...] = (
    (
        "approximate_values",
        How.APPROXIMATE,
        "marked as rough (such as '~30') and read as the number written",
        "Nothing, unless the exact number is known.",
    ),
    (
        "ranges_read_by_middle",
        How.RANGE_MIDDLE,
        "written as a range (such as '2-3') and read as its middle",
        "Nothing, unless the exact number is known.",
    ),
    (
        "words_read",
        How.WORD,
        "written in words and read as the codebook says",
        "Look whether the codebook's amounts and levels are your studio's.",
    ),
    (
        "ditto_read",
        How.DITTO,
        "marked 'as above' and read as the row above",
        "Nothing, if the rows still stand in the order they were written in.",
    ),
)


def check_cells(part: LogPart, codebook: Codebook) -> tuple[Finding, ...]:
    """Return the findings about one file's cells.

    Cells that could not be used are in `FiringLog.unusable`; here stand the questions among
    them that one line answers, and what was done to the cells that could.
    """
    return (
        *check_scales(part, codebook),
        *check_date_order(part, codebook),
        *_warn_uncomputed(part),
        *_note_decimal_commas(part),
        *_note_conversions(part, codebook),
        *(finding for reading in _READINGS for finding in _note_reading(part, reading)),
    )


def _warn_uncomputed(part: LogPart) -> tuple[Finding, ...]:
    """Name the formulas that hold no result, column by column."""
    found = []
    for column in part.columns.values():
        at = column.find_reason(NOT_COMPUTED)
        if len(at):
            header = column.match.written
            finding = Finding(
                code="formula_without_value",
                severity=Severity.WARNING,
                message=f"{part.source.name}, column {show_text(header)}: "
                f"{describe_cells(part, column, at)} hold a formula whose result is not stored "
                "in the file; not used.",
                advice="Open the workbook in a spreadsheet program, which computes it, and save.",
                column=header,
                rows=tuple(part.rows[at].tolist()),
                file=part.source.name,
            )
            found.append(finding)
    return tuple(found)


def _note_reading(part: LogPart, reading: tuple[str, How, str, str]) -> tuple[Finding, ...]:
    code, how, what, advice = reading
    return _count(
        part,
        lambda column: np.flatnonzero(column.is_read(how)),
        code=code,
        what=what,
        advice=advice,
    )


def _note_decimal_commas(part: LogPart) -> tuple[Finding, ...]:
    """Say where a comma was read as the decimal mark."""

    def find(column: ColumnRead) -> Positions:
        if column.decimal != ",":
            return np.empty(0, dtype=np.int64)
        return np.array([i for i, text in enumerate(column.written) if "," in text], dtype=np.int64)

    return _count(
        part,
        find,
        code="decimal_comma",
        what="written with a decimal comma ('985,5' is 985.5)",
        advice="Nothing, if the comma marks the decimals in these columns.",
    )


def _note_conversions(part: LogPart, codebook: Codebook) -> tuple[Finding, ...]:
    """Say which columns were converted to the base unit."""
    found = []
    for name, column in part.columns.items():
        factor = find_factor(codebook, name)
        at = np.flatnonzero(column.is_read(How.CONVERTED))
        if factor is None or len(at) == 0:
            continue
        units = {*(column.stated[at]), column.match.unit} - {"", factor.unit}
        source = " and ".join(sorted(units)) or "F"
        found.append(
            f"{show_text(column.match.written)} {len(at):,} from {source} to {factor.unit}"
        )
    if not found:
        return ()
    finding = Finding(
        code="units_converted",
        severity=Severity.NOTE,
        message=f"{show_text(part.source.name)}: cells converted: {list_words(found, most=12)}.",
        advice="Nothing, if these are the units they were written in.",
        file=part.source.name,
    )
    return (finding,)


def _describe_briefly(part: LogPart, column: ColumnRead, at: Positions) -> str:
    """Return a few cells with their rows; of many, how many and what they are like."""
    if len(at) <= MOST_WITH_ROWS:
        return describe_cells(part, column, at)
    texts = list(dict.fromkeys(column.written[at].tolist()))
    shown = ", ".join(quote_text(text) for text in texts[:2])
    return f"{len(at):,} cells ({shown}{', ...' if len(texts) > 2 else ''})"


def _count(
    part: LogPart,
    find: Callable[[ColumnRead], Positions],
    *,
    code: str,
    what: str,
    advice: str,
) -> tuple[Finding, ...]:
    """Gather cells of all columns that were read alike into one finding."""
    places = [(column, find(column)) for column in part.columns.values()]
    counts = [
        f"{show_text(column.match.written)} {_describe_briefly(part, column, at)}"
        for column, at in places
        if len(at)
    ]
    if not counts:
        return ()
    named = np.zeros(len(part.rows), dtype=bool)
    for _, at in places:
        named[at] = True
    finding = Finding(
        code=code,
        severity=Severity.NOTE,
        message=f"{show_text(part.source.name)}: {what}: {list_words(counts, most=12)}.",
        advice=advice,
        rows=tuple(part.rows[named].tolist()),
        file=part.source.name,
    )
    return (finding,)
