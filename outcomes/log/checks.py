"""Do the cells hold what the codebook allows? The one door to pandera.

Reading has turned text into typed values; here two schemas made from the codebook look at
them. The *impossible* one tells typing errors, which `set_impossible_aside` takes out of the
analysis; the *implausible* one tells values that are kept and asked about.

Traps this module is built around: a check with one bound lets infinity pass, so every number
is checked for being finite too; coercion hides failures, so nothing is coerced; the frame's
index must be unique to find a row again, so it is the position, translated to the maker's
file and row afterwards; the text of pandera's own error lists every value and is never shown.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
import pandera.pandas as pa
from pandera.errors import SchemaErrors

from outcomes.finding import Finding, Severity
from outcomes.log.check_unusable import check_unusable
from outcomes.log.codebook import Codebook, Factor, Kind, Range
from outcomes.log.cross_checks import check_rows
from outcomes.log.expectations import describe_expected, describe_range, find_factor
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.places import (
    CellWords,
    Positions,
    about_cells,
    about_column,
    header_of,
    unit_of,
)
from outcomes.log.refusal import refuse_log

IMPOSSIBLE = "impossible_value"
IMPLAUSIBLE = "implausible_value"
WRONG_TYPE = "unexpected_type"
OUT_OF_RANGE = "outside what is possible"
_LOADED = Range(low=1.0, high=10_000.0)
# (column, code of the rule) -> positions of the cells that break it
Failures = dict[tuple[str, str], Positions]


def check_log(log: FiringLog) -> tuple[Finding, ...]:
    """Say what deserves a look: cells, then rows against each other, then the log as a whole.

    Returns
    -------
    tuple of Finding
        Those of reading (``log.findings``) are not among them.
    """
    impossible = find_failures(log, build_impossible_schema(log.codebook))
    implausible = find_failures(log, build_implausible_schema(log.codebook))
    return (
        *check_unusable(log),
        *check_types(log, impossible),
        *check_ranges(log, impossible),
        *check_ranges(log, implausible),
        *check_rows(_without(log, impossible)),
    )


def refusal(log: FiringLog, findings: Sequence[Finding] = ()) -> str | None:
    """Return why nothing can be learnt from the log, None when something can.

    The sentence says what was found, which headers were seen and what would make it usable.
    """
    return refuse_log(set_impossible_aside(log), findings)


def build_impossible_schema(codebook: Codebook) -> pa.DataFrameSchema:
    """Return the schema of what can be true at all; columns the log lacks are not missed."""
    columns = {factor.name: _factor_column(factor) for factor in codebook.factors}
    for outcome in codebook.outcomes:
        grades = [float(grade) for grade in range(len(outcome.levels))]
        columns[outcome.name] = _column("float64", pa.Check.isin(grades, error=IMPOSSIBLE))
    if codebook.loaded:
        columns[codebook.loaded] = _column("float64", _within(_LOADED))
    if codebook.date:
        columns[codebook.date] = _column("datetime64[s]")
    for name in (codebook.firing, codebook.piece, codebook.notes):
        if name:
            columns[name] = _column("object")
    return pa.DataFrameSchema(columns, coerce=False, strict=False)


def build_implausible_schema(codebook: Codebook) -> pa.DataFrameSchema:
    """Return the schema of what is usual: values outside are kept and asked about."""
    columns = {
        factor.name: _column(None, _usual(factor.plausible, factor.possible))
        for factor in codebook.factors
        if factor.kind is Kind.NUMBER and factor.plausible is not None
    }
    return pa.DataFrameSchema(columns, coerce=False, strict=False)


def find_failures(log: FiringLog, schema: pa.DataFrameSchema) -> Failures:
    """Return the positions of the cells that break each rule, keyed by (column, rule)."""
    frame = log.values.reset_index(drop=True)
    try:
        schema.validate(frame, lazy=True)
    except SchemaErrors as error:
        return _group_failures(error.failure_cases)
    return {}


def check_ranges(log: FiringLog, failures: Failures) -> tuple[Finding, ...]:
    """Return one finding per column, rule and file for the cells outside a schema."""
    found: list[Finding] = []
    for (column, code), positions in failures.items():
        if code != WRONG_TYPE:
            found += about_cells(
                log,
                positions,
                column=column,
                code=code,
                severity=Severity.WARNING,
                words=partial(_words, log, column, code),
            )
    return tuple(found)


def check_types(log: FiringLog, failures: Failures) -> tuple[Finding, ...]:
    """Return one finding per column whose values are not of the type `FiringLog` promises."""
    return tuple(
        about_column(
            log,
            column,
            code=WRONG_TYPE,
            severity=Severity.PROBLEM,
            message=f"its values are of the type {log.values[column].dtype}, which a log that was "
            "read cannot hold; they were not checked.",
            advice="If you made this log yourself, see `FiringLog.values`; otherwise this is a "
            "fault of the program: please report it.",
        )
        for column, code in failures
        if code == WRONG_TYPE
    )


def set_impossible_aside(log: FiringLog) -> FiringLog:
    """Return the log with every impossible value taken out and listed among the unusable.

    The row stays: only the cell becomes blank (NaN or None, how `How.SET_ASIDE`), as a typing
    error says nothing about the piece's other cells.
    """
    return _without(log, find_failures(log, build_impossible_schema(log.codebook)))


def _without(log: FiringLog, failures: Failures) -> FiringLog:
    """Return the log without its impossible values, failures of that schema being known."""
    bad = {column: cells for (column, code), cells in failures.items() if code == IMPOSSIBLE}
    if not bad:
        return log
    blanked = {name: _put(log.values[name], cells, None) for name, cells in bad.items()}
    marked = {name: _put(log.how[name], cells, str(How.SET_ASIDE)) for name, cells in bad.items()}
    listed = [_unusable_rows(log, name, cells) for name, cells in bad.items()]
    before = [log.unusable] if len(log.unusable) else []
    return replace(
        log,
        values=log.values.assign(**blanked),
        how=log.how.assign(**marked),
        unusable=pd.concat([*before, *listed], ignore_index=True),
    )


def _words(log: FiringLog, column: str, code: str, file: str) -> CellWords:
    """Word a broken rule in the unit of the file's header."""
    factor, unit = find_factor(log, column), unit_of(log, column, file=file)
    if code == IMPLAUSIBLE and factor is not None and factor.plausible is not None:
        usual = describe_range(factor.plausible, base=factor.unit, unit=unit)
        return CellWords(
            case="outside what is usual, kept as written",
            expected=f"Usual is {usual}.",
            advice="Look at these cells again; a value that is right stays as it is.",
        )
    return CellWords(
        case="outside what is possible, set aside as a slip of the pen",
        expected=f"Expected {describe_expected(log, column, file=file)}.",
        advice="Correct the cell. If the value is right, give this column a wider `possible` "
        "range in the codebook.",
    )


def _factor_column(factor: Factor) -> pa.Column:
    """Return the rule of what is possible for one factor."""
    if factor.kind is Kind.NUMBER:
        return _column("float64", _within(factor.possible))
    if factor.kind is Kind.LEVELS:
        return _column("object", pa.Check.isin(list(factor.levels), error=IMPOSSIBLE))
    return _column("object")


def _column(dtype: str | None, *rules: pa.Check) -> pa.Column:
    """Return a column that may be absent and may hold blanks, never coerced."""
    return pa.Column(dtype, checks=list(rules), nullable=True, required=False, coerce=False)


def _within(limits: Range | None) -> pa.Check:
    """Return the rule "finite, and inside the range if there is one"."""
    low, high = (limits.low, limits.high) if limits else (-np.inf, np.inf)
    return pa.Check(
        lambda values: np.isfinite(values) & values.between(low, high), error=IMPOSSIBLE
    )


def _usual(plausible: Range, possible: Range | None) -> pa.Check:
    """Return the rule "inside the usual range", silent about what is impossible anyway."""
    low, high = (possible.low, possible.high) if possible else (-np.inf, np.inf)
    return pa.Check(
        lambda values: (
            values.between(plausible.low, plausible.high)
            | ~(np.isfinite(values) & values.between(low, high))
        ),
        error=IMPLAUSIBLE,
    )


def _group_failures(cases: pd.DataFrame) -> Failures:
    """Collect the positions of each broken rule; a column of the wrong type breaks it at all."""
    known = cases["check"].isin([IMPOSSIBLE, IMPLAUSIBLE])
    rules = cases.assign(check=cases["check"].where(known, WRONG_TYPE))
    return {
        (str(column), str(rule)): np.unique(group.dropna().to_numpy(dtype=np.int64))
        for (column, rule), group in rules.groupby(["column", "check"], sort=False)["index"]
    }


def _put(column: "pd.Series[Any]", positions: Positions, value: str | None) -> "pd.Series[Any]":
    """Return a copy of the column with one value at these positions."""
    changed = column.copy()
    changed.iloc[positions] = value
    return changed


def _unusable_rows(log: FiringLog, column: str, positions: Positions) -> pd.DataFrame:
    """Return the entries these cells get in `FiringLog.unusable`."""
    files = log.origin["file"].iloc[positions].to_numpy(dtype=object)
    return pd.DataFrame(
        {
            "file": files,
            "row": log.origin["row"].iloc[positions].to_numpy(),
            "column": [header_of(log, column, file=file) for file in files],
            "written": log.written[column].iloc[positions].to_numpy(dtype=object),
            "reason": OUT_OF_RANGE,
        }
    )
