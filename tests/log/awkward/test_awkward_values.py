"""Whole logs, their values written in many ways: none is silently another value.

The readings here are made with whole-number fractions and two patterns of their own; nothing of
the program is asked. A cell is read as one of its independent readings, or it is named.
`AWKWARD_FILES=5000` in the environment makes it a long run.
"""

import csv
import io
import math
import os
import random
import re
import unicodedata
from fractions import Fraction

from awkward_log import clean_rows
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.errors import LogError
from outcomes.log.checks import check_log, set_impossible_aside
from outcomes.log.reading import read_log

N_FILES = int(os.environ.get("AWKWARD_FILES", "40"))
# Exact by definition: NIST SP 811 (2008), appendix B.8. Unit -> (factor, zero) of the base unit.
SCALES = {
    "g": (Fraction(1), 0), "kg": (Fraction(1000), 0), "oz": (Fraction("28.349523125"), 0),
    "lb": (Fraction("453.59237"), 0), "s": (Fraction(1), 0), "min": (Fraction(60), 0),
    "mm": (Fraction(1), 0), "in": (Fraction("25.4"), 0), "cm": (Fraction(10), 0),
    "C": (Fraction(1), 0), "F": (Fraction(5, 9), 32),
}  # fmt: skip
# Column -> header in the file, the header's unit, the base unit, units a cell may name, range.
COLUMNS = {
    "pull_temp_c": ("pull_temp_f", "F", "C", ("F", "C"), (1700, 1900)),
    "seconds_to_can": ("seconds_to_can", "s", "s", ("s", "min"), (3, 60)),
    "combustible_g": ("combustible_g", "g", "g", ("g", "kg", "oz", "lb"), (30, 400)),
    "glaze_thickness_mm": ("glaze_thickness_mm", "mm", "mm", ("mm", "in", "cm"), (1, 3)),
    "air_temp_c": ("air_temp_c", "C", "C", ("C", "F"), (2, 30)),
}
NOISE = "0123456789.,-~ eE/:'°CFsgmin½"
NUMBER = r"(?P<{0}>[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?)"
ONE = re.compile(rf"~*\s*{NUMBER.format('one')}\s*°?\s*(?P<unit>[A-Za-z]*)\.?\s*[~?]*")
TWO = re.compile(rf"~*{NUMBER.format('low')}\s*(?:-|to|/)\s*{NUMBER.format('high')}")
PART = re.compile(r"(?:(?P<whole>[0-9]+)(?: | ?- ?))?\s*(?P<part>[0-9]+/[1-9][0-9]*)")
CLOCK = re.compile(r"(?P<min>[0-9]+)[':](?P<s>[0-9]{2})\"?")
# Other spellings of a unit that chance may hit; common practice, no source.
SPELT = {"sec": "s", "secs": "s", "mins": "min", "gm": "g", "gms": "g", "ins": "in"}
# Minutes and seconds as on a stopwatch: 5' and 30''; common practice, no source.
MARKED = re.compile(
    r"(?P<number>[0-9]+[.,]?[0-9]*|[.,][0-9]+|[0-9]* ?[0-9]+/[1-9][0-9]*) ?(?P<mark>''?)"
)
# What makers and programs write where there is nothing to write; common practice, no source.
NOTHING = frozenset({"", "nan", ".", "/", "~"})
ODD = ("hot", "5-6", "1 2", "12:30", "1/2", "٣", "1_000", "0x1F", "nan", "inf", "1e400", "--5",
       "5 sheets", ">20", "3 or 4", "1.2.3", "1,2,3", "1e-9", "-0", "1'30", "a few", "½", "12 kg",
       "same", '"', "1850C", "1010F", "=1+1", "+5", "5+", "１２", "1O", "l2", "20%",
       "5 5")  # fmt: skip


def written(draw, column, decimal):
    """A cell in one of many ways, and its meaning in the base unit; None where it is odd."""
    _, own, base, units, (low, high) = COLUMNS[column]
    kind = draw.choice(["plain", "plain", "unit", "rough", "blank", "odd", "noise"])
    if kind == "blank":
        return "", None
    if kind == "odd":
        return draw.choice(ODD), None
    if kind == "noise":
        return "".join(draw.choices(NOISE, k=draw.randrange(1, 8))), None
    unit = draw.choice(units) if kind == "unit" else own
    least, most = (_to(Fraction(end), own, unit, base) for end in (low, high))
    hundredths = draw.randint(math.ceil(least * 100), math.floor(most * 100))
    text = f"{hundredths // 100}.{hundredths % 100:02}".replace(".", decimal)
    sign = {"rough": "~", "plain": "", "unit": ""}[kind]
    tail = f" {unit}" if kind == "unit" else ""
    return f"{sign}{text}{tail}", _base(Fraction(hundredths, 100), unit)


def _base(value, unit):
    factor, zero = SCALES[unit]
    return (value - zero) * factor


def _to(value, unit, other, base):
    factor, zero = SCALES[other]
    return _base(value, unit) / factor + zero


def is_nothing(text):
    bare = text.strip().removeprefix("'")  # the mark that says "text"
    return bare in NOTHING or not bare.strip(" -~./")


def readings(text, column):
    """Every meaning this text may have by itself, in the base unit."""
    _, own, _, units, _ = COLUMNS[column]
    # What keyboards and spreadsheets do to a number: full-width signs, one sign for a half, a
    # mark that says "text".
    bare = unicodedata.normalize("NFKC", text.replace("½", " 1/2")).strip().removeprefix("'")
    found = set()
    part, clock = PART.fullmatch(bare.strip()), CLOCK.fullmatch(bare)
    if part:
        found.add(_base(int(part["whole"] or 0) + Fraction(part["part"]), own))
    if clock and own == "s":
        found.add(Fraction(60 * int(clock["min"]) + int(clock["s"])))
    marked = MARKED.fullmatch(bare) if own == "s" else None
    if marked:
        scale, number = 60 if marked["mark"] == "'" else 1, marked["number"].strip()
        part = PART.fullmatch(number)
        amounts = {int(part["whole"] or 0) + Fraction(part["part"])} if part else _values(number)
        found |= {scale * amount for amount in amounts}
    one, two = ONE.fullmatch(bare), TWO.fullmatch(bare)
    if one:
        word = SPELT.get(one["unit"].casefold(), one["unit"].casefold())
        if word == "m" and own in {"s", "min"}:  # of a time, minutes; common practice, no source
            word = "min"
        unit = {u.casefold(): u for u in units}.get(word, word) or own
        found |= {_base(value, unit) for value in _values(one["one"]) if unit in SCALES}
    if two:
        for low in _values(two["low"]):
            for high in _values(two["high"]):
                found.add(_base((low + high) / 2, own))
    return found


def _values(text):
    """A mark may be a decimal mark, or part thousands where three digits follow."""
    if len(text) > 40 or abs(int((re.findall(r"[eE]([+-]?[0-9]+)", text) or ["0"])[0])) > 300:
        return set()
    values = {Fraction(text.replace(",", "."))}
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}", text):
        values.add(Fraction(re.sub("[.,]", "", text)))
    return values


def write_log(draw):
    """Rows with known meanings, and the file's text."""
    delimiter, decimal = draw.choice([(",", "."), (";", ","), ("\t", ".")])
    rows = clean_rows(3, 4)
    meant = {}
    for number, row in enumerate(rows, start=2):
        for column, (header, *_) in COLUMNS.items():
            row[header], meant[number, column] = written(draw, column, decimal)
    for row in rows:  # the other columns speak the same language
        for header in ("wall_thickness_mm",):
            row[header] = row[header].replace(".", decimal)
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, list(rows[0]), delimiter=delimiter, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue(), rows, meant


def named_cells(log):
    """Row and header of what a finding, the list of unusable cells or the row account names."""
    headers = [header for header, *_ in COLUMNS.values()]
    cells = {(row.row, header) for row in log.account.set_aside for header in headers}
    cells |= set(zip(log.unusable["row"], log.unusable["column"], strict=True))
    for finding in (*log.findings, *check_log(log)):
        named = [header for header in headers if header in finding.message]
        cells |= {(row, header) for row in finding.rows for header in named}
    return cells


@settings(
    max_examples=N_FILES,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
@given(seed=st.integers(0, 2**32))
def test_a_value_is_what_its_cell_says_or_it_is_named(seed, codebook, tmp_path):
    content, rows, meant = write_log(random.Random(seed))
    path = tmp_path / "log.csv"
    path.write_text(content, encoding="utf-8", newline="")
    try:
        log = set_impossible_aside(read_log([path], codebook))
    except LogError:
        return
    assert len(rows) == log.account.rows_read
    named = named_cells(log)
    for number, row in zip(log.origin["row"], log.values.to_dict("records"), strict=True):
        for column, (header, *_) in COLUMNS.items():
            text, value = rows[number - 2][header], row.get(column)
            where = f"row {number}, {header}: {text!r} became {value!r}\n{content}"
            if value is None or math.isnan(value):
                assert is_nothing(text) or (number, header) in named, where
                continue
            truth = meant[number, column]
            expected = readings(text, column) if truth is None else {truth}
            right = any(math.isclose(value, one, rel_tol=1e-12, abs_tol=1e-12) for one in expected)
            assert right or (number, header) in named, where
