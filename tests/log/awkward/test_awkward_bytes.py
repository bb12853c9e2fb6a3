"""Files of random bytes and cells: an answer or a worded refusal, never a lost row.

The number of files is small here; `AWKWARD_FILES=20000` in the environment makes it a long run.
"""

import os
import re

from awkward_judge import FORBIDDEN, answer
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.errors import LogError
from outcomes.log.reading import read_log

N_FILES = int(os.environ.get("AWKWARD_FILES", "40"))
HEADERS = (
    *("firing_id", "fired_on", "piece_id", "glaze", "pull_temp_f", "pull_temp_c", "seconds_to_can"),
    *(
        "luster",
        "Lustre",
        "crackle_density",
        "cracked",
        "notes",
        "shelf",
        "",
        "luster (0-4)",
        "total",
    ),
)
CELLS = (
    *(
        "",
        " ",
        "0",
        "1",
        "3",
        "12",
        "1,5",
        "1.5",
        "1850",
        "~30",
        "2-3 min",
        '"',
        "same",
        "n/a",
        "yes",
    ),
    *(
        "no",
        "x",
        "Null",
        "nan",
        "inf",
        "1e309",
        "-1",
        "=1+1",
        "#REF!",
        "# late",
        "Total",
        "½",
        "１２",
    ),
    *("٣", "03/04/24", "2025-03-08", "1850F", "🔥", "\u202eabc", "\ufeff", "a\x0bb", "é", "'12"),
    *(
        'say "hot"',
        '"open',
        'shut"',
        "V1",
        "007",
        "7",
        "firing_id",
        "cone 06",
        "5 sheets",
        "\x1b[2J",
    ),
)
DELIMITERS, ENDS = (",", ";", "\t", "|"), ("\n", "\r\n", "\r")
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252", "latin-1", "utf-32")

cells = st.one_of(st.sampled_from(CELLS), st.text(max_size=6))
rows = st.lists(st.lists(cells, max_size=9), min_size=0, max_size=12)
headers = st.lists(st.sampled_from(HEADERS), min_size=0, max_size=9)
often = settings(
    max_examples=N_FILES,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)


@st.composite
def files(draw):
    """A table as bytes: any delimiter, line ends and encoding, perhaps damaged."""
    delimiter, end = draw(st.sampled_from(DELIMITERS)), draw(st.sampled_from(ENDS))
    table = [draw(headers), *draw(rows)]
    quote = draw(st.booleans())
    text = end.join(delimiter.join(_quoted(c) if quote else c for c in row) for row in table)
    data = text.encode(draw(st.sampled_from(ENCODINGS)), "replace")
    return _damage(data, draw)


def _quoted(cell):
    return '"' + cell.replace('"', '""') + '"'


def _damage(data, draw):
    """Cut the end off, put bytes in, or leave the file as it is."""
    kind = draw(st.sampled_from(["whole", "whole", "cut", "insert"]))
    at = draw(st.integers(0, max(len(data), 1)))
    if kind == "cut":
        return data[:at]
    if kind == "insert":
        return data[:at] + draw(st.binary(min_size=1, max_size=5)) + data[at:]
    return data


@often
@given(data=files())
def test_any_bytes_are_answered(data, codebook, tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(data)
    told = answer([path], codebook)
    assert told.text.strip()
    assert not [word for word in FORBIDDEN if word in told.text]
    assert path.read_bytes() == data


@often
@given(table=rows, names=headers, delimiter=st.sampled_from(DELIMITERS))
def test_every_line_is_counted(table, names, delimiter, codebook, tmp_path):
    grid = [["luster", "seconds_to_can", *names], *table]
    lines = [delimiter.join(re.sub(r'[",;\t|\r\n]', "", cell) for cell in row) for row in grid]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines), encoding="utf-8", errors="replace")
    try:
        log = read_log([path], codebook)
    except LogError:
        return
    below = path.read_text(encoding="utf-8").split("\n")[log.files[0].header_row :]
    written = [line for line in below if line.replace(delimiter, "").strip()]
    assert len(written) == log.account.rows_read
    numbered = {row.row for row in log.account.set_aside} | set(log.origin["row"])
    assert len(numbered) == log.account.rows_read
