"""A `FiringLog` as one clean table that reads straight back, for `outcomes export`."""

import re
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.checks import set_impossible_aside
from outcomes.log.codebook import Codebook, Kind
from outcomes.log.columns import find_factor
from outcomes.log.firing_log import FiringLog
from outcomes.log.formula_guard import neutralise_cell
from outcomes.log.units import dimension_of, to_base

SOURCE_COLUMNS = ("source_file", "source_row")
__all__ = ["SOURCE_COLUMNS", "build_cleaned_table", "choose_header", "neutralise_cell"]


def build_cleaned_table(log: FiringLog) -> pd.DataFrame:
    """Return every used row as clean text: base units or the header's own, grades by name.

    Returns
    -------
    DataFrame
        All columns str. First ``source_file`` and ``source_row``; then each matched column,
        under its header as typed when that is the canonical name with or without a unit
        suffix (``pull_temp_f`` holds °F), else under the canonical name in the base unit; then
        the columns kept aside, as typed. Missing, unusable and impossible cells are "". Read
        again with the same codebook it gives the same values.
    """
    log = set_impossible_aside(log)
    table: dict[str, Sequence[str] | NDArray[np.object_]] = {
        SOURCE_COLUMNS[0]: log.origin["file"].to_numpy(dtype=object),
        SOURCE_COLUMNS[1]: [str(row) for row in log.origin["row"]],
    }
    for name in log.values.columns:
        header, unit = choose_header(log, name)
        table[header] = _texts_of(log, name, unit=unit)
    for header in log.aside.columns:
        table[_free_header(header, table)] = log.aside[header].to_numpy(dtype=object)
    return pd.DataFrame(table, index=log.values.index, dtype=object)


def choose_header(log: FiringLog, name: str) -> tuple[str, str]:
    """Return a column's header in the cleaned table and the unit it states ("" for none).

    The typed header is kept when every file types it alike and it says no more and no less
    than the canonical name, or that name with another accepted unit as its suffix.
    """
    factor = find_factor(log.codebook, name)
    base = factor.unit if factor is not None else ""
    matches = [match for match in log.headers if match.column == name]
    typed = {_normalise(match.written) for match in matches}
    units = {match.unit for match in matches} or {""}
    if len(typed) != 1 or len(units) != 1:
        return name, base
    header, unit = typed.pop(), units.pop()
    written = matches[0].written
    if header == name.lower():
        return written, base
    stem = name.lower().removesuffix(f"_{base.lower()}") if base else name.lower()
    suffixed = bool(base) and unit != "" and header == f"{stem}_{unit.lower()}"
    if suffixed and dimension_of(unit) == dimension_of(base) != "":
        return written, unit
    return name, base


def _normalise(header: str) -> str:
    return re.sub(r"[\s_-]+", "_", header.strip()).lower()


def _texts_of(log: FiringLog, name: str, *, unit: str) -> list[str]:
    """Return one column's values as text; distinct values are worded once."""
    values, codebook = log.values[name], log.codebook
    codes, distinct = pd.factorize(values, use_na_sentinel=True)
    texts = [_text_of(value, name, unit=unit, codebook=codebook) for value in distinct]
    return ["" if code < 0 else texts[code] for code in codes]


def _text_of(value: object, name: str, *, unit: str, codebook: Codebook) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, np.datetime64 | pd.Timestamp):
        moment = pd.Timestamp(value)
        return str(moment.date()) if moment == moment.normalize() else str(moment)
    number = float(value)  # type: ignore[arg-type]
    for outcome in codebook.outcomes:
        if outcome.name == name:
            return outcome.levels[int(number)].name
    factor = find_factor(codebook, name)
    if factor is None or factor.kind is not Kind.NUMBER or unit in ("", factor.unit):
        return text_of_number(number)
    return text_of_number(_from_base(number, unit, factor.unit))


def _from_base(value: float, unit: str, base: str) -> float:
    """Return the shortest number that converts to this value, within rounding."""
    written = to_base(value, base, unit)
    for digits in range(1, 16):
        short = float(f"{written:.{digits}g}")
        if to_base(short, unit, base) == value:
            return short
    return written


def text_of_number(value: float) -> str:
    """Return the shortest text that reads back as this number, without an exponent.

    >>> text_of_number(30.0), text_of_number(1e-7), text_of_number(871.1111111111111)
    ('30', '0.0000001', '871.1111111111111')
    """
    return str(np.format_float_positional(value, trim="-"))


def _free_header(header: str, taken: Mapping[str, object]) -> str:
    """Return a header that is not in the table yet."""
    free, number = header, 2
    while free in taken:
        free, number = f"{header} ({number})", number + 1
    return free
