"""One column of text -> typed values beside how each was read.

A column's distinct texts are parsed once and mapped back: a log of a million pieces has a
few hundred distinct numbers in most columns.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from outcomes.log.cell import set_aside
from outcomes.log.cells import Cell, parse_grade, parse_level, parse_name, parse_number
from outcomes.log.codebook import Codebook, Factor, Kind, Range, Role, Shape
from outcomes.log.dates import parse_dates
from outcomes.log.firing_log import HeaderMatch, How
from outcomes.log.formula_guard import strip_guard
from outcomes.log.how_codes import HowCodes, code_hows, code_of
from outcomes.log.levels import are_plain_names
from outcomes.log.text_rows import TextColumn, Texts
from outcomes.log.workbook_cells import REPAIR, SPREADSHEET_ERRORS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnRead:
    """One matched column of one file.

    ``values`` holds float64, object (str or None) or datetime64[s]; ``written`` and ``reasons``
    are object arrays of str of the same length (n,), ``how`` the numbers of `how_codes`; a
    reason is "" unless a cell is set aside. ``stated`` holds the unit code the cell itself
    states, or "". ``ambiguous`` marks dates that could be day or month first.
    """

    match: HeaderMatch
    values: NDArray[np.generic]
    how: HowCodes
    written: Texts
    reasons: Texts
    stated: Texts
    decimal: str = ""
    order: str = ""
    ambiguous: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, dtype=np.int64))

    def is_read(self, how: How) -> NDArray[np.bool_]:
        """Return where cells were read in this way."""
        marks: NDArray[np.bool_] = self.how == code_of(how)
        return marks

    def find_reason(self, reason: str) -> NDArray[np.int64]:
        """Return the positions of the cells set aside for this reason."""
        aside = np.flatnonzero(self.is_read(How.SET_ASIDE))
        found: NDArray[np.int64] = aside[self.reasons[aside] == reason]
        return found


def read_column(
    column: TextColumn,
    match: HeaderMatch,
    codebook: Codebook,
    *,
    decimal: str = ".",
) -> ColumnRead:
    """Parse one column by what its canonical name means in the codebook.

    Parameters
    ----------
    column
        Cells as typed, n of them.
    match
        What the header was taken to mean; ``match.column`` is not None.
    codebook
        The codebook.
    decimal
        Decimal mark of this column's numbers.
    """
    texts, codes, distinct = column.spread(), column.codes, column.distinct
    if match.column == codebook.date:
        return _read_dates(texts, codes, distinct, match=match, codebook=codebook)
    parse, numeric = choose_parser(match, codebook, decimal=decimal)
    if parse is parse_name and are_plain_names(distinct):
        return _read_plain_names(texts, match)
    cells = [_parse_cell(text, parse) for text in distinct]
    kind = np.float64 if numeric else np.object_
    values = np.array([_value_of(cell, numeric) for cell in cells], dtype=kind)
    return ColumnRead(
        match=match,
        values=values.take(codes) if len(distinct) else values,
        how=_spread_hows([cell.how for cell in cells], codes),
        written=texts,
        reasons=_spread([cell.reason for cell in cells], codes),
        stated=_spread([cell.unit for cell in cells], codes),
        decimal=decimal if numeric else "",
    )


def _read_plain_names(texts: Texts, match: HeaderMatch) -> ColumnRead:
    """Return a column in which every text is a name as it stands, as a million numbers are."""
    nothing = np.broadcast_to(np.array("", dtype=object), texts.shape)
    return ColumnRead(
        match=match,
        values=texts.copy(),
        how=np.full(texts.shape, code_of(How.EXACT), dtype=np.int8),
        written=texts,
        reasons=nothing,
        stated=nothing,
    )


def choose_parser(
    match: HeaderMatch, codebook: Codebook, *, decimal: str = "."
) -> tuple[Callable[[str], Cell], bool]:
    """Return the parser of a column's cells, and whether its values are numbers."""
    name = match.column or ""
    graded = next((item for item in codebook.outcomes if item.name == name), None)
    if graded is not None:
        return lambda text: parse_grade(text, graded), True
    factor = find_factor(codebook, name)
    if factor is None:
        return (_keep_note if name == codebook.notes else parse_name), False
    if factor.kind is Kind.NUMBER:
        return (
            lambda text: parse_number(text, factor, header_unit=match.unit, decimal=decimal)
        ), True
    if factor.kind is Kind.LEVELS:
        return lambda text: parse_level(text, factor.levels, factor.level_words), False
    return parse_name, False


def find_factor(codebook: Codebook, name: str) -> Factor | None:
    """Return the factor a column stands for; the count of pieces loaded is read as one."""
    for factor in codebook.factors:
        if factor.name == name:
            return factor
    return _pieces_loaded(name) if name and name == codebook.loaded else None


def _pieces_loaded(name: str) -> Factor:
    return Factor(
        name=name,
        label="Pieces loaded",
        role=Role.CONDITION,
        kind=Kind.NUMBER,
        shape=Shape.STRAIGHT,
        unit="count",
        accepted_units=("count",),
        possible=Range(low=0, high=100_000),
    )


def _keep_note(text: str) -> Cell:
    """Free text stays as typed: in a note, "same" is a word."""
    if text.strip():
        return Cell(value=text, how=How.EXACT)
    return Cell(value=None, how=How.BLANK)


def _read_dates(
    written: Texts,
    codes: NDArray[np.int32],
    distinct: Texts,
    *,
    match: HeaderMatch,
    codebook: Codebook,
) -> ColumnRead:
    """Read a column of dates: whether days or months come first is the column's question."""
    dates = parse_dates([str(text) for text in distinct], codebook.date_order)
    doubtful = np.zeros(len(distinct), dtype=bool)
    doubtful[list(dates.ambiguous)] = True
    return ColumnRead(
        match=match,
        values=dates.values[codes],
        how=_spread_hows(dates.how, codes),
        written=written,
        reasons=_spread(list(dates.reasons), codes),
        stated=_spread([""] * len(distinct), codes),
        order=dates.order,
        ambiguous=np.flatnonzero(doubtful[codes]),
    )


def _parse_cell(text: str, parse: Callable[[str], Cell]) -> Cell:
    """Parse one text; what a spreadsheet writes for a failed formula is no value anywhere."""
    if text.strip() in SPREADSHEET_ERRORS:
        return set_aside(f"the formula in this cell gives an error; {REPAIR}")
    return parse(strip_guard(text))


def _value_of(cell: Cell, numeric: bool) -> float | str | None:
    if numeric:
        return float("nan") if cell.value is None else float(cell.value)
    return None if cell.value is None else str(cell.value)


def _spread(parts: Sequence[str], codes: NDArray[np.int32]) -> Texts:
    """Map distinct values back to their rows; one value for all takes no room."""
    if len(set(parts)) == 1:
        return np.broadcast_to(np.array(parts[0], dtype=object), codes.shape)
    table = np.empty(len(parts), dtype=object)
    table[:] = parts
    return table.take(codes)


def _spread_hows(hows: Sequence[How], codes: NDArray[np.int32]) -> HowCodes:
    """Map how distinct texts were read back to their rows."""
    return code_hows(hows).take(codes)


def set_cells_aside(
    column: ColumnRead, at: NDArray[np.int64], *, reasons: Sequence[str]
) -> ColumnRead:
    """Return the column with the cells at these positions not used, each with its reason."""
    if len(at) == 0:
        return column
    values, how, why = column.values.copy(), column.how.copy(), column.reasons.copy()
    values[at] = missing_of(values)
    how[at] = code_of(How.SET_ASIDE)
    why[at] = reasons
    return replace(column, values=values, how=how, reasons=why)


def missing_of(values: NDArray[np.generic]) -> Any:
    """Return what stands for "no value" in an array of this type."""
    if values.dtype == object:
        return None
    return np.datetime64("NaT", "s") if values.dtype.kind == "M" else float("nan")
