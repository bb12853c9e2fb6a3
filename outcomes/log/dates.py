"""A column of dates, read together: whether day or month comes first is a column's question."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from outcomes.log.firing_log import How
from outcomes.log.words import LONGEST_CELL, clean_text, is_blank, is_ditto

DAY_FIRST = "day first"
MONTH_FIRST = "month first"

ORDER_UNKNOWN = (
    "day and month cannot be told apart; write the month as a word, or set date_order to "
    '"day first" or "month first" in the codebook'
)
NOT_A_DATE = "this is not read as a date; write it as 2025-03-04 or 4 March 2025"
NO_SUCH_DAY = "there is no such day in the calendar; look it up and write it again"
NO_YEAR = "this date has no year; write it as 2025-03-04 or 4 March 2025"
DAY_NUMBER = (
    "this is a bare number; if the spreadsheet shows a date here, format the column as a date, "
    "else write it as 2025-03-04"
)
YEAR_OUT_OF_RANGE = "the year is not between 1900 and 2199; write all four figures of the year"

_MONTHS: Mapping[str, int] = MappingProxyType(
    {"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7, "aug": 8, "sep": 9}
    | {"oct": 10, "nov": 11, "dec": 12}
)
_DAY = r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th)?"
_MONTH = (
    r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|"
    r"sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?"
)
_YEAR = r"(?P<year>'?[0-9]{2}|[0-9]{3,5})"
_GAP = r"[ ,./-]+(?:of )?"
_WEEKDAY = re.compile(
    r"^(?:mon|tue|tues|wed|weds|thu|thur|thurs|fri|sat|sun)(?:day|nesday|rsday|urday|sday)?\.?,? +"
)
_TIME = re.compile(
    r"(?:t| |, ?| at )(?P<hour>[0-9]{1,2})(?::(?P<minute>[0-9]{2})(?::(?P<second>[0-9]{2})"
    r"(?:\.[0-9]+)?)?)? ?(?P<half>[ap])?\.?(?:m\.?)?(?: ?(?:z|utc|[+-][0-9]{2}:?[0-9]{2}))?$"
)
_YEAR_FIRST = re.compile(r"(?P<year>[0-9]{4})([-/. ])(?P<month>[0-9]{1,2})\2(?P<day>[0-9]{1,2})")
_COMPACT = re.compile(r"(?P<year>(?:19|20|21)[0-9]{2})(?P<month>[0-9]{2})(?P<day>[0-9]{2})")
_WORDED = (
    re.compile(rf"{_DAY}(?:{_GAP})?{_MONTH}(?:{_GAP})?{_YEAR}"),
    re.compile(rf"{_MONTH}(?:{_GAP})?{_DAY}{_GAP}{_YEAR}"),
    re.compile(rf"(?P<year>[0-9]{{4}}){_GAP}{_MONTH}(?:{_GAP})?{_DAY}"),
)
_NO_YEAR = (
    re.compile(rf"{_DAY}(?:{_GAP})?{_MONTH}"),
    re.compile(rf"{_MONTH}(?:{_GAP})?{_DAY}"),
    re.compile(r"[0-9]{1,2} ?[-/.] ?[0-9]{1,2}\.?"),
)
_NUMBERS = re.compile(
    r"(?P<first>[0-9]{1,2}) ?([-/.]) ?(?P<second>[0-9]{1,2}) ?\2 ?(?P<year>'?[0-9]{2,5})"
)
_BARE_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DateColumn:
    """A column of dates as it was read, one entry a row.

    Parameters
    ----------
    values : array of datetime64[s], shape (n,)
        NaT where there is no date; a time of day is kept, a time zone is not applied.
    how, reasons
        As in `Cell`; ``reasons`` is "" except where ``how`` is set aside.
    order
        "day first" or "month first" when the argument or an entry of the column settles it
        ("25/03/2024" does); "" when nothing had to be settled or nothing could settle it.
    ambiguous
        Positions of the entries that are set aside because the order is not known.
    """

    values: npt.NDArray[np.datetime64]
    how: tuple[How, ...]
    reasons: tuple[str, ...]
    order: str
    ambiguous: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """One cell: a day, or two numbers and a year whose order is open, or why it is neither."""

    how: How = How.EXACT
    reason: str = ""
    moment: datetime | None = None
    numbers: tuple[int, int, int] | None = None
    is_dotted: bool = False
    time: tuple[int, int, int] = (0, 0, 0)


def parse_dates(texts: Sequence[str], order: str = "") -> DateColumn:
    """Read a column of dates.

    Parameters
    ----------
    texts
        The cells as typed, one a row.
    order
        "day first", "month first" or "" (let the column decide, else leave it open).

    Notes
    -----
    Year-first dates are always year, month, day. Of "03/04/2024" and its like the order is
    never guessed: it is settled by the argument, by a number above 12 somewhere in the column
    while none speaks for the other order, or not at all. An entry that is a real day one way
    round only ("25/03/2024") is read that way under any order. Numbers between dots are commonly
    day first (common practice, no source): a "5/13/2025" says nothing about "3.6.2025", and
    where dates with dots and dates with other signs disagree, each kind is settled by its own.
    A year of two figures stands
    last and is 2000-2068 up to 68, 1969-1999 above: the POSIX window. Month names are English,
    whatever the machine's language.

    References
    ----------
    ISO 8601-1:2019, 5.2 (calendar dates). POSIX.1-2017, ``strptime``, ``%y``.

    Examples
    --------
    >>> parse_dates(["4 March 2025", "2025/03/05"]).values.astype(str).tolist()
    ['2025-03-04T00:00:00', '2025-03-05T00:00:00']
    >>> parse_dates(["03/04/24", "25/04/24"]).order
    'day first'
    """
    entries = [_parse_entry(text) for text in texts]
    settled = order or _order_of(entries)
    orders = {kind: order or _order_of_kind(entries, dotted=kind) for kind in (False, True)}
    read = [_settle(entry, orders[entry.is_dotted]) for entry in entries]
    moments = [entry.moment for entry in read]
    return DateColumn(
        values=np.array([moment or "NaT" for moment in moments], dtype="datetime64[s]"),
        how=tuple(entry.how for entry in read),
        reasons=tuple(entry.reason for entry in read),
        order=settled,
        ambiguous=tuple(i for i, entry in enumerate(read) if entry.reason == ORDER_UNKNOWN),
    )


def _aside(reason: str) -> _Entry:
    return _Entry(how=How.SET_ASIDE, reason=reason)


def _parse_entry(text: str) -> _Entry:
    """Read one cell as far as it goes without the column."""
    cleaned = clean_text(text[: 2 * LONGEST_CELL]).casefold()
    if is_blank(cleaned, number=True):
        return _Entry(how=How.BLANK)
    if is_ditto(cleaned):
        return _Entry(how=How.DITTO)
    if len(text.strip()) > LONGEST_CELL:
        return _aside(NOT_A_DATE)
    bare = _WEEKDAY.sub("", cleaned)
    whole = _parse_day(bare, (0, 0, 0))
    clock = _TIME.search(bare)
    if whole.reason != NOT_A_DATE or clock is None:
        return whole
    time = _time_of(clock)
    return whole if time is None else _parse_day(bare[: clock.start()], time)


def _time_of(clock: re.Match[str]) -> tuple[int, int, int] | None:
    """Return hour, minute, second, or None when the clock does not show them."""
    if not clock["minute"] and not clock["half"]:
        return None
    hour, minute, second = (int(clock[part] or 0) for part in ("hour", "minute", "second"))
    if clock["half"] and not 1 <= hour <= 12:
        return None
    if clock["half"]:
        hour = hour % 12 + (12 if clock["half"] == "p" else 0)
    return (hour, minute, second) if hour < 24 and minute < 60 and second < 60 else None


def _parse_day(text: str, time: tuple[int, int, int]) -> _Entry:
    """Read the part of a cell that names the day."""
    for pattern in (_YEAR_FIRST, _COMPACT):
        match = pattern.fullmatch(text)
        if match:
            return _on(int(match["year"]), int(match["month"]), int(match["day"]), time=time)
    for pattern in _WORDED:
        match = pattern.fullmatch(text)
        if match:
            return _on(
                _year(match["year"]), _MONTHS[match["month"][:3]], int(match["day"]), time=time
            )
    match = _NUMBERS.fullmatch(text)
    if match:
        read = _in_numbers(int(match["first"]), int(match["second"]), _year(match["year"]), time)
        return replace(read, is_dotted=match[2] == ".")
    if any(pattern.fullmatch(text) for pattern in _NO_YEAR):
        return _aside(NO_YEAR)
    return _aside(DAY_NUMBER if _BARE_NUMBER.fullmatch(text) else NOT_A_DATE)


def _in_numbers(first: int, second: int, year: int, time: tuple[int, int, int]) -> _Entry:
    """Read two numbers and a year when one order only can be meant, else leave them open."""
    if first > 12 and second > 12:
        return _aside(NO_SUCH_DAY)
    if first == second:
        return _on(year, first, second, time=time)
    if not 1900 <= year <= 2199:
        return _aside(YEAR_OUT_OF_RANGE)
    return _Entry(numbers=(first, second, year), time=time)


def _year(text: str) -> int:
    """Return the year; of two figures, within 1969-2068."""
    figures = text.lstrip("'")
    year = int(figures)
    if len(figures) > 2:
        return year
    return year + (2000 if year < 69 else 1900)


def _on(year: int, month: int, day: int, *, time: tuple[int, int, int]) -> _Entry:
    """Return the entry of a day, or why there is no such day."""
    if not 1900 <= year <= 2199:
        return _aside(YEAR_OUT_OF_RANGE)
    try:
        return _Entry(moment=datetime(year, month, day, *time))
    except ValueError:
        return _aside(NO_SUCH_DAY)


def _order_of(entries: Sequence[_Entry]) -> str:
    """Return the order an entry above 12 settles, "" when none does or two disagree."""
    pairs = [entry.numbers for entry in entries if entry.numbers]
    day_first = any(first > 12 for first, _, _ in pairs)
    month_first = any(second > 12 for _, second, _ in pairs)
    if day_first == month_first:
        return ""
    return DAY_FIRST if day_first else MONTH_FIRST


def _order_of_kind(entries: Sequence[_Entry], *, dotted: bool) -> str:
    """Return the order of the entries with dots, or of the others: their own, else the column's."""
    own = _order_of([entry for entry in entries if entry.is_dotted == dotted])
    whole = _order_of(entries)
    return own or ("" if dotted and whole == MONTH_FIRST else whole)


def _settle(entry: _Entry, order: str) -> _Entry:
    """Return the entry with its day, once the order is known or does not matter."""
    if entry.numbers is None:
        return entry
    first, second, year = entry.numbers
    if first > 12 or (order == DAY_FIRST and second <= 12):
        return _on(year, second, first, time=entry.time)
    if second > 12 or order == MONTH_FIRST:
        return _on(year, first, second, time=entry.time)
    return _aside(ORDER_UNKNOWN)
