"""One cell of a workbook -> the text its sheet shows, as far as it matters to a log."""

import datetime as dt
import re

import numpy as np

_LITERAL = re.compile(r'"([^"]*)"|\\(.)')
_COLOURS = re.compile(r"\[[^\]]*\]")
REPAIR = "repair the formula in the workbook, or type the value"
NOT_COMPUTED = (
    "this formula has no stored result; open the workbook in a spreadsheet program, which "
    "computes it, and save, or type the value"
)
# "#N/A" is not among them: people type it for "not available", and it is read as blank.
SPREADSHEET_ERRORS = frozenset(
    {"#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#SPILL!", "#CALC!"}
)


def text_of_cell(value: object, number_format: str = "General") -> str:
    """Return a cell's value as text: dates in ISO form, numbers without rounding noise.

    >>> text_of_cell(30.0), text_of_cell(0.1 + 0.2), text_of_cell(0.8, "0%")
    ('30', '0.3', '80%')
    >>> text_of_cell(7, "000"), text_of_cell(dt.time(0, 25)), text_of_cell(True)
    ('007', '00:25:00', 'TRUE')
    """
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, int | float):
        return text_of_number(value, number_format)
    if isinstance(value, dt.datetime):
        midnight = value.time() == dt.time(0)
        return value.date().isoformat() if midnight else value.isoformat(" ", "seconds")
    if isinstance(value, dt.time):
        return value.isoformat("seconds")
    if isinstance(value, dt.timedelta):
        return _text_of_duration(value)
    return "" if value is None else str(value)


def text_of_number(value: float, number_format: str = "General") -> str:
    """Return a number to 15 digits, a spreadsheet's precision, with the unit its format shows.

    A format may hold what the maker reads as part of the cell: a percent sign, leading zeros
    of an id, or a unit in quotation marks.

    >>> text_of_number(1830, '0" °F"'), text_of_number(1e-7), text_of_number(0.125, "0.0%")
    ('1830 °F', '0.0000001', '12.5%')
    """
    shape = _COLOURS.sub("", number_format.partition(";")[0])
    literal = "".join(a or b for a, b in _LITERAL.findall(shape))
    shape = _LITERAL.sub("", shape)
    if "%" in shape:
        return f"{_plain(100 * value)}%"
    if re.fullmatch(r"0{2,}", shape.strip()) and float(value).is_integer() and value >= 0:
        return f"{int(value):0{len(shape.strip())}d}{literal}"
    if (
        literal.strip()
        and shape.strip().strip("#0,.?") == ""
        and number_format.endswith(('"', literal[-1:]))
    ):
        return f"{_plain(value)} {literal.strip()}"
    return _plain(value)


def _plain(value: float) -> str:
    if isinstance(value, int):
        return str(value)
    if not np.isfinite(value):
        return str(value)
    return str(np.format_float_positional(float(f"{value:.15g}"), trim="-"))


def _text_of_duration(value: dt.timedelta) -> str:
    """Return a duration as h:mm:ss, as a ``[h]:mm:ss`` cell shows it."""
    seconds = round(value.total_seconds())
    sign, seconds = ("-", -seconds) if seconds < 0 else ("", seconds)
    return f"{sign}{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
