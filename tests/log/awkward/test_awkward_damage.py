"""A clean log, one to five known damages: each is named with its row, no other row is accused.

`AWKWARD_FILES=5000` in the environment makes it a long run.
"""

import csv
import io
import os
import random
import re
from dataclasses import dataclass

from awkward_log import HEADERS, clean_rows
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.log.checks import check_log
from outcomes.log.reading import read_log
from outcomes.report.check_text import describe_check

N_FILES = int(os.environ.get("AWKWARD_FILES", "40"))
# header -> texts that are no usable value of it
WRONG = {
    "pull_temp_f": ("bright orange", "cone 06", "18750", "-1830", "1e309", "#REF!"),
    "seconds_to_can": ("a few", ">20", "700", "٣", "1_2", "-8", "ASAP"),
    "combustible_g": ("lots", "99999", "5 sheets", "inf"),
    "time_in_can_min": ("overnight", "00:25:00", "0:45", "4000"),
    "luster": ("B+", "7", "4/5", "2.5", "meh"),
    "cracked": ("maybe", "2", "hairline"),
    "fired_on": ("31 April 2025", "45724", "spring"),
}


@dataclass(eq=False)
class Line:
    """One line of the file; ``row`` is the piece's place in the clean log, None for a new line."""

    cells: list
    row: int | None = None
    told: tuple = ()  # words that must stand beside this line's number
    raw: str = ""  # the line as it is written, where quoting is not the module's


def spoil_cell(lines, draw):
    line, header = draw.choice(_untouched(lines)), draw.choice(sorted(WRONG))
    text = draw.choice(WRONG[header])
    line.cells[_place(header)] = text
    line.told = (header, text)


def add_value(lines, draw):
    line = draw.choice(_untouched(lines))
    line.cells.append("again")
    line.told = ("again",)


def lose_end(lines, draw):
    line = draw.choice(_untouched(lines))
    del line.cells[draw.randrange(13, 17) :]
    line.told = ("fewer cells",)


def lose_cell(lines, draw):
    line = draw.choice(_untouched(lines))
    del line.cells[_place("pull_temp_f")]
    line.told = ("fewer cells",)


def repeat_row(lines, draw):
    line = draw.choice(_untouched(lines))
    line.told = ("repeats row",)
    lines.append(Line(list(line.cells), told=("repeats row",)))


def repeat_header(lines, draw):
    _insert(lines, draw, Line(list(lines[0].cells), told=("repeats the header",)))


def add_totals(lines, draw):
    _insert(lines, draw, Line(["Total", *[""] * 5, "612", *[""] * 12], told=("Total",)))


def add_remark(lines, draw):
    _insert(lines, draw, Line(["# windy", "late", "and cold"], told=("# windy",)))


def add_words(lines, draw):
    _insert(lines, draw, Line(["rained off"], told=("rained off",)))


def leave_quote_open(lines, draw):
    line = draw.choice(_untouched(lines)[:-1])
    line.raw = ",".join([*line.cells[:-1], '"said hot'])
    line.told = ("quotation mark",)


DAMAGES = (
    *(spoil_cell, spoil_cell, spoil_cell, add_value, lose_end, lose_cell, repeat_row),
    *(repeat_header, add_totals, add_remark, add_words, leave_quote_open),
)


def _untouched(lines):
    return [line for line in lines[1:] if not line.told]


def _insert(lines, draw, line):
    lines.insert(draw.randrange(2, len(lines)), line)


def _place(header):
    return HEADERS.index(header)


def text_of(lines):
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    for line in lines:
        if line.raw:
            text.write(line.raw + "\n")
        else:
            writer.writerow(line.cells)
    return text.getvalue()


@settings(
    max_examples=N_FILES,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(seed=st.integers(0, 2**32), number=st.integers(1, 5))
def test_each_damage_is_named_and_no_other_row(seed, number, codebook, tmp_path):
    draw = random.Random(seed)
    lines = [Line(list(HEADERS))]
    lines += [Line(list(row.values()), row=at) for at, row in enumerate(clean_rows(), start=2)]
    for _ in range(number):
        draw.choice(DAMAGES)(lines, draw)
    path = tmp_path / "log.csv"
    path.write_text(text_of(lines), encoding="utf-8", newline="")
    log = read_log([path], codebook)
    findings = check_log(log)
    text = describe_check(log, findings, None).split(" note\n")[0].split(" notes\n")[0]
    flat = " ".join(text.split())
    for number_of, line in enumerate(lines, start=1):
        if line.told:
            named = re.search(rf"(?<![\d.]){number_of}(?!\d|\.\d)", flat)
            assert named, f"row {number_of} is not named"
            assert all(word in flat for word in line.told), f"{line.told} is not said"
    assert len(lines) - 1 == log.account.rows_read
    accused = {row.row for row in log.account.set_aside}
    for finding in (*log.findings, *findings):
        accused |= set(finding.rows) if finding.severity != "note" else set()
    assert accused <= _concerned(lines), text


def _concerned(lines):
    """Rows a finding may name: the damaged ones, and the firings whose date differs."""
    rows = {at for at, line in enumerate(lines, start=1) if line.told}
    firings = {line.cells[0] for line in lines[1:] if line.told and line.row is not None}
    moved = any("fewer cells" in line.told for line in lines)
    return rows | {
        at
        for at, line in enumerate(lines, start=1)
        if moved and line.cells and line.cells[0] in firings
    }
