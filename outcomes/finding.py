"""The one shape of every caveat, whether from a data check or from a model."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a caveat matters to the reader."""

    NOTE = "note"  # said for completeness: nothing is lost
    WARNING = "warning"  # a cell, a row or a conclusion is affected
    PROBLEM = "problem"  # something must be settled before the answer can be trusted


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One caveat.

    Parameters
    ----------
    code
        Stable snake_case name, e.g. ``"impossible_value"``; tests and docs refer to it.
    severity
        How much it matters.
    message
        What is the case, in full sentences: where, what was found, what was expected.
    advice
        What the reader can do about it now.
    column
        The column's header as the maker typed it, or the factor's name; None if about the log.
    rows
        Row numbers of the maker's own sheet (header = row 1 when it stands in row 1).
    file
        Name of the file the rows belong to; None when there is one file or none is concerned.
    """

    code: str
    severity: Severity
    message: str
    advice: str
    column: str | None = None
    rows: tuple[int, ...] = ()
    file: str | None = None
