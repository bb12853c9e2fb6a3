"""From a file to the printed check: each damaged cell stands there with row, header and text.

The damages are those makers do (common practice, no source) and those programs do to them.
"""

import csv
import io
import random
import re
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.log.checks import check_log, refusal
from outcomes.log.reading import read_log
from outcomes.report.check_text import describe_check

N_FIRINGS, N_PIECES = 8, 6
N = N_FIRINGS * N_PIECES
# header -> what a hand, a pen or a spreadsheet may leave in one cell
DAMAGES = {
    "Pull temp (°F)": ["18750", "bright orange", "-1830", "1e309", "18 30 F?!", "#REF!"],
    "Secs to can": ["a few", ">20", "700", "twelve-ish?", "0x1F"],
    "combustible_g": ["lots", "99999", "two fistfuls of x"],
    "lid_delay_s": ["when flaming", "-4", "4000"],
    "humidity_pct": ["about half", "140", "damp"],
    "Lustre": ["B+", "7", "4/5", "meh", "-1"],
    "crackle_density": ["good", "2.5", "4+"],
    "cracked": ["maybe", "2", "sort of"],
    "fired_on": ["31 April 2025", "2025-13-01", "spring"],
}


def rows_of_a_clean_log():
    rng = random.Random(7)
    for piece in range(N):
        firing = piece // N_PIECES
        yield {
            "firing_id": f"R{firing + 1}",
            "fired_on": str(date(2025, 4, 1) + timedelta(days=7 * firing)),
            "piece_id": f"R{firing + 1}.{piece % N_PIECES + 1}",
            "glaze": rng.choice(["Tarn Lantern", "Moth Ledger", "Brackwater Nine"]),
            "Pull temp (°F)": str(rng.randint(1770, 1880)),
            "Secs to can": str(rng.randint(4, 39)),
            "combustible_g": str(rng.randint(80, 380)),
            "lid_delay_s": str(rng.randint(0, 15)),
            "humidity_pct": str(40 + firing),
            "Lustre": str(rng.randint(0, 4)),
            "crackle_density": str(rng.randint(0, 4)),
            "color_shift": str(rng.randint(0, 4)),
            "cracked": rng.choice(["no", "no", "no", "yes"]),
        }


@pytest.fixture(scope="module")
def check_file(codebook, tmp_path_factory):
    """Write rows to a file, read it, return what the check prints."""

    def check(rows):
        text = io.StringIO(newline="")
        writer = csv.DictWriter(text, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
        path = tmp_path_factory.mktemp("studio") / "log.csv"
        path.write_text(text.getvalue(), encoding="utf-8", newline="")
        log = read_log([path], codebook)
        findings = check_log(log)
        return describe_check(log, findings, refusal(log, findings))

    return check


def warned_of(text):
    """The part of the text in which bad cells stand."""
    return text.split(" note\n")[0].split(" notes\n")[0]


def test_the_clean_file_has_no_warning(check_file):
    text = check_file(list(rows_of_a_clean_log()))
    assert text.startswith("48 rows read: 48 used, 0 set aside\n")
    assert "warning" not in text


damaged_cells = st.dictionaries(
    st.tuples(st.integers(0, N - 1), st.sampled_from(sorted(DAMAGES))),
    st.integers(0, 100),
    min_size=1,
    max_size=5,
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cells=damaged_cells)
def test_every_damaged_cell_stands_with_row_header_and_text(check_file, cells):
    rows = list(rows_of_a_clean_log())
    damages = {
        (at, header): DAMAGES[header][pick % len(DAMAGES[header])]
        for (at, header), pick in cells.items()
    }
    for (at, header), text in damages.items():
        rows[at][header] = text
    printed = warned_of(check_file(rows))
    assert "set aside" in printed
    assert "warning" in printed
    for (at, header), text in damages.items():
        assert header in printed, f"{header!r} is not named"
        cell = rf"(?<![\d.]){at + 2} '{re.escape(text)}'"
        assert re.search(cell, printed), f"row {at + 2} {text!r} ({header}) is not named"
