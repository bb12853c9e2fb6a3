"""A log as it was read: typed values beside what the maker wrote, nothing lost."""

from dataclasses import dataclass
from enum import StrEnum

import pandas as pd

from outcomes.card import describe_line, render_card
from outcomes.finding import Finding
from outcomes.log.codebook import Codebook


class How(StrEnum):
    """How one cell became a value."""

    EXACT = "exact"  # the value as written, in the base unit
    CONVERTED = "converted"  # exact, from another unit
    APPROXIMATE = "approximate"  # "~30", "30ish", "10?"
    RANGE_MIDDLE = "range middle"  # "2-3 min" read as 2.5
    DITTO = "ditto"  # taken from the row above because the maker wrote so
    WORD = "word"  # a word the codebook gives an amount or a level to
    BLANK = "blank"  # nothing written, or a mark for nothing ("-", "n/a")
    SET_ASIDE = "set aside"  # written, but not usable; the reason is said


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceFile:
    """One file of a log and how it was opened.

    ``kind`` is "csv", "xlsx", "parquet" or "table" (a DataFrame); ``encoding``, ``delimiter``
    and ``decimal`` are "" where they do not apply; ``sheet`` is the worksheet's name or "".
    """

    name: str
    sha256: str
    kind: str
    header_row: int
    encoding: str = ""
    delimiter: str = ""
    decimal: str = ""
    sheet: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderMatch:
    """What one header was taken to mean.

    ``column`` is the canonical name, or None when the column was kept aside. ``unit`` is the
    unit code the header states ("F" in ``pull_temp_f``), the measure it counts in ("sheet" in
    ``Combustible (sheets)``), or "". ``how`` says why it matched,
    for the reader: "same name", "another spelling", "known alias", "not in the codebook".
    """

    file: str
    written: str
    column: str | None
    unit: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RowSetAside:
    """One row that enters no analysis, why, and what stood in it (cells parted by " | ")."""

    file: str
    row: int
    reason: str
    written: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowAccount:
    """Every row of the files: ``rows_read == rows_used + len(set_aside)``, always."""

    rows_read: int
    rows_used: int
    set_aside: tuple[RowSetAside, ...]

    def __post_init__(self) -> None:
        assert self.rows_read == self.rows_used + len(self.set_aside)  # noqa: S101


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FiringLog:
    """Several files read as one log.

    Parameters
    ----------
    codebook
        The codebook it was read with.
    files
        The files, in the order given.
    headers
        What was matched to what, every header of every file.
    values : DataFrame
        One row per *usable* piece, index 0..n-1, columns = canonical names of the matched
        columns. NUMBER factors float64 in the base unit (NaN: blank or set aside); LEVELS and
        NAME factors, firing, piece and notes as ``object`` str with None for missing; date
        as ``datetime64[s]``; outcomes float64 holding the level's index 0..K-1 (NaN: blank).
        ``pieces_loaded`` float64.
    origin : DataFrame
        Same index; columns ``file`` (str) and ``row`` (int, the maker's own sheet row).
    written : DataFrame
        Same index and columns as ``values``; the text exactly as typed ("" when empty).
    how : DataFrame
        Same index and columns; the `How` value (str) of every cell.
    aside : DataFrame
        Same index; the unmatched columns, text as typed under the typed header.
    unusable : DataFrame
        Every cell of the used rows that is written but not usable: columns ``file``, ``row``,
        ``column`` (header as typed), ``written``, ``reason``. Whole rows set aside are in
        ``account`` with their text.
    account
        Rows read = rows used + rows set aside.
    findings
        What reading found (encoding, decimal comma, scale questions, ...).
    """

    codebook: Codebook
    files: tuple[SourceFile, ...]
    headers: tuple[HeaderMatch, ...]
    values: pd.DataFrame
    origin: pd.DataFrame
    written: pd.DataFrame
    how: pd.DataFrame
    aside: pd.DataFrame
    unusable: pd.DataFrame
    account: RowAccount
    findings: tuple[Finding, ...]

    def _facts(self) -> tuple[tuple[str, object], ...]:
        used = self.account.rows_used
        named = ", ".join(file.name for file in self.files)
        return (
            ("", named),
            (f"of {self.account.rows_read} rows used", used),
            ("columns", self.values.shape[1]),
            ("cells set aside", len(self.unusable)),
        )

    def __repr__(self) -> str:
        return describe_line("FiringLog", self._facts())

    def _repr_html_(self) -> str:
        ways = [str(way) for way in How]
        rows = [
            (name, *((self.how[name] == way).sum() for way in ways)) for name in self.how.columns
        ]
        return render_card("Firing log", self._facts(), ["column", *ways], rows)
