"""Files of too many lines or cells are refused before they are cut up."""

import csv
import io
import os
import resource
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.errors import LogError
from outcomes.log.crowded import refuse_many_lines, refuse_many_lines_unread, refuse_wide_lines
from outcomes.log.file_limits import DEFAULT_LIMITS, MAX_FILE_BYTES
from outcomes.log.files import read_file
from outcomes.log.reading import read_log
from outcomes.log.records import split_literally

FEW = replace(DEFAULT_LIMITS, rows=10, columns=5)
HEAD = b"firing_id,seconds_to_can,luster\n1,5,3\n"
TWO_HUNDRED_MB = 200_000_000


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
@pytest.mark.parametrize(("lines", "is_refused"), [(1009, False), (1010, False), (1011, True)])
def test_lines_at_the_edge(end, lines, is_refused) -> None:
    text = f"1,2{end}" * lines
    if is_refused:
        with pytest.raises(LogError, match="log.csv has 1,011 rows, more than the 10"):
            refuse_many_lines(text, "log.csv", FEW)
        with pytest.raises(LogError, match="log.csv has 1,011 rows, more than the 10"):
            refuse_many_lines_unread(text.encode(), "log.csv", FEW)
    else:
        refuse_many_lines(text, "log.csv", FEW)
        refuse_many_lines_unread(text.encode(), "log.csv", FEW)


def test_half_a_letter_of_utf_16_is_no_line() -> None:
    refuse_many_lines_unread(("\u0a0a," * 2000).encode("utf-16"), "log.csv", FEW)


@pytest.mark.parametrize(("cells", "is_refused"), [(4, False), (5, False), (6, True)])
def test_cells_of_a_line_at_the_edge(cells, is_refused) -> None:
    lines = ["a;b", ";".join(["wide"] * cells)]
    if is_refused:
        with pytest.raises(LogError, match="log.csv row 2 has 6 cells, more than the 5"):
            refuse_wide_lines(lines, "log.csv", delimiter=";", limits=FEW)
    else:
        refuse_wide_lines(lines, "log.csv", delimiter=";", limits=FEW)


def test_marks_inside_a_quoted_note_are_no_cells() -> None:
    refuse_wide_lines(['1,"a,b,c,d,e,f,g"'], "log.csv", delimiter=",", limits=FEW)


@given(st.text(alphabet=list('a", ;\t'), max_size=20), st.sampled_from([",", ";"]))
def test_a_line_is_cut_as_cell_after_cell(line, delimiter) -> None:
    assert cut_slowly(line, delimiter) == split_literally(line, delimiter)


def cut_slowly(rest, delimiter):
    """The same rule in other words: a closed quotation that ends at a delimiter is a cell."""
    cells = []
    while True:
        body, close = rest[1:], 0
        while body[close : close + 2] == '""' or (close < len(body) and body[close] != '"'):
            close += 2 if body[close] == '"' else 1
        after = body[close + 1 :]
        opens = rest.startswith('"') and rest != '"' and rest[1:2] != delimiter
        if opens and close < len(body) and after[:1] in ("", delimiter):
            cells.append(body[:close].replace('""', '"'))
            rest, more = after[1:], bool(after)
        else:
            cell, mark, rest = rest.partition(delimiter)
            cells.append(cell)
            more = bool(mark)
        if not more:
            return cells


quotable = st.text(alphabet=list('a", ;'), min_size=1, max_size=6)


# A quoted cell that starts with the delimiter looks like a lone mark, and is taken for one.
@given(st.lists(quotable.filter(lambda cell: cell[0] != ","), min_size=2, max_size=6))
def test_what_a_writer_quoted_comes_back(cells) -> None:
    text = io.StringIO()
    csv.writer(text, quoting=csv.QUOTE_ALL).writerow(cells)
    assert cells == split_literally(text.getvalue(), ",")


def test_millions_of_commas_are_refused(tmp_path, codebook) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(HEAD + b"," * 5_000_000)
    with pytest.raises(LogError, match="row 3 has 5,000,001 cells, more than the 16,384 columns"):
        read_log([path], codebook)


def test_a_file_beyond_the_limit_is_not_even_opened(tmp_path, monkeypatch) -> None:
    path = tmp_path / "log.csv"
    path.touch()
    os.truncate(path, MAX_FILE_BYTES + 1)
    monkeypatch.setattr(Path, "read_bytes", pytest.fail)
    with pytest.raises(LogError, match=r"log.csv holds 300,000,001 bytes, more than the 300,000"):
        read_file(path)


@pytest.mark.parametrize(
    ("fill", "said"),
    [(b"1,5,3\n", "has 33,333,335 rows, more than the 2,000,000"), (b"", "holds a zero byte")],
    ids=["short lines", "a hole"],
)
def test_two_hundred_megabytes_are_refused_within_a_gigabyte(fill, said, tmp_path) -> None:
    path = tmp_path / "log.csv"
    with path.open("wb") as file:
        file.write(HEAD)
        for _ in range(TWO_HUNDRED_MB // 6_000_000 + 1 if fill else 0):
            file.write(fill * 1_000_000)
        file.truncate(len(HEAD) + (TWO_HUNDRED_MB // 6 * 6 if fill else TWO_HUNDRED_MB))
    limit = 1_073_741_824
    done = subprocess.run(
        [sys.executable, "-m", "outcomes", "check", str(path)], capture_output=True, text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit, limit)), check=False,
    )  # fmt: skip
    assert (1, "") == (done.returncode, done.stdout)
    assert said in done.stderr
