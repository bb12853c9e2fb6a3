"""Whether the cells hold what the codebook allows.

Reading has turned text into typed values; here two sets of rules made from the codebook (see
`value_rules`) look at them. The *impossible* one tells typing errors, which
`set_impossible_aside` takes out of the analysis; the *implausible* one tells values that are
kept and asked about.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.check_unusable import check_unusable
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
from outcomes.log.value_rules import (
    IMPLAUSIBLE,
    IMPOSSIBLE,
    WRONG_TYPE,
    Failures,
    build_implausible_rules,
    build_impossible_rules,
    find_failures,
)

OUT_OF_RANGE = "outside what is possible"


def check_log(log: FiringLog) -> tuple[Finding, ...]:
    """Say what deserves a look: cells, then rows against each other, then the log as a whole.

    Returns
    -------
    tuple of Finding
        Those of reading (``log.findings``) are not among them.
    """
    impossible = find_failures(log.values, build_impossible_rules(log.codebook))
    implausible = find_failures(log.values, build_implausible_rules(log.codebook))
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


def check_ranges(log: FiringLog, failures: Failures) -> tuple[Finding, ...]:
    """Return one finding per column, rule and file for the cells outside their rules."""
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
    return _without(log, find_failures(log.values, build_impossible_rules(log.codebook)))


def _without(log: FiringLog, failures: Failures) -> FiringLog:
    """Return the log without its impossible values, failures of those rules being known."""
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
