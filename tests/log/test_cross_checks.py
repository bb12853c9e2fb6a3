"""All rules together: silent on a clean log, each slip named, nothing changed."""

import copy
from datetime import date, timedelta

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.finding import Severity
from outcomes.log.checks import check_log
from outcomes.log.cross_checks import RULES, check_rows

FIRINGS, PIECES = 14, 6
N = FIRINGS * PIECES


def clean_columns():
    """A log without a slip: fourteen firings of six pieces, one week apart."""
    firing = [i // PIECES for i in range(N)]
    start = date(2025, 3, 1)
    return {
        "firing_id": [f"R{f + 1}" for f in firing],
        "fired_on": [str(start + timedelta(days=7 * f)) for f in firing],
        "pieces_loaded": [PIECES] * N,
        "piece_id": [f"R{f + 1}.{i % PIECES + 1}" for i, f in enumerate(firing)],
        "glaze": [("Tarn Lantern", "Moth Ledger", "Brackwater Nine")[i % 3] for i in range(N)],
        "pull_temp_c": [930 + (7 * i) % 83 for i in range(N)],
        "seconds_to_can": [6 + (5 * i) % 23 for i in range(N)],
        "lid_delay_s": [(3 * i) % 17 for i in range(N)],
        "time_in_can_min": [11 + (4 * i) % 29 for i in range(N)],
        "quench": [("none", "mist", "dunk")[(i // 2) % 3] for i in range(N)],
        "air_temp_c": [5 + f for f in firing],
        "humidity_pct": [40 + 2 * f for f in firing],
        "luster": [(i * i) % 5 for i in range(N)],
        "crackle_density": [(i // 2) % 5 for i in range(N)],
        "color_shift": [(i // 3) % 5 for i in range(N)],
        "cracked": ["yes" if i % 9 == 4 else "no" for i in range(N)],
        "notes": ["no cracks" if i % 20 == 0 else "" for i in range(N)],
    }


# (column, value a slip leaves there, code that names it)
SLIPS = [
    ("pull_temp_c", 9800, "impossible_value"),
    ("pull_temp_c", 700, "implausible_value"),
    ("seconds_to_can", 601, "impossible_value"),
    ("lid_delay_s", -1, "impossible_value"),
    ("time_in_can_min", 600, "implausible_value"),
    ("quench", "plunge", "impossible_value"),
    ("luster", 44, "impossible_value"),
    ("air_temp_c", 41, "firing_value_differs"),
    ("humidity_pct", 11, "firing_value_differs"),
    ("fired_on", "2052-03-01", "firing_value_differs"),
    ("pieces_loaded", 9, "firing_value_differs"),
    ("firing_id", None, "blank_firing"),
    ("glaze", "Tarn lantern", "look_alike_names"),
    ("glaze", "Moth Ledgr", "look_alike_names"),
    ("cracked", None, "blank_defect_cells"),
    ("notes", "crack under the foot", "notes_hint_missed_defect"),
]


# Columns of which a firing has one value.
SHARED = ("fired_on", "pieces_loaded", "air_temp_c", "humidity_pct")


def test_a_clean_log_is_met_with_silence(make_log):
    assert check_log(make_log(clean_columns())) == ()


def test_a_log_without_rows_has_nothing_to_compare(make_log):
    assert check_rows(make_log({name: [] for name in clean_columns()})) == ()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_every_rule_bears_a_log_of_one_column(make_log, rule):
    columns = clean_columns()
    for name in columns:
        assert isinstance(rule(make_log({name: columns[name]})), tuple)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_every_rule_bears_columns_without_a_value(make_log, rule):
    assert isinstance(rule(make_log({name: [None] * 3 for name in clean_columns()})), tuple)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(slips=st.dictionaries(st.integers(0, N - 1), st.sampled_from(SLIPS), min_size=1, max_size=5))
def test_every_slip_is_named_by_row_and_column_and_no_other_row_is_accused(make_log, slips):
    columns = copy.deepcopy(clean_columns())
    for at, (column, value, _) in slips.items():
        columns[column][at] = value
    slipped = {at: slip for at, slip in slips.items() if _is_a_slip(columns, at, slip)}
    found = check_log(make_log(columns))
    for at, (column, _, code) in slipped.items():
        rows = {row for f in found if f.code == code and f.column == column for row in f.rows}
        assert rows & _rows_that_name(slips, at), f"row {at + 2}, {column}, {code} is not named"
    accused = {row for f in found if f.severity is not Severity.NOTE for row in f.rows}
    assert accused <= _rows_concerned(slips), "a clean row is accused"


def test_checking_changes_nothing(make_log):
    log = make_log(clean_columns() | {"pull_temp_c": [9999] * N})
    before = {name: getattr(log, name).copy(deep=True) for name in ("values", "how", "written")}
    check_log(log)
    for name, frame in before.items():
        pd.testing.assert_frame_equal(frame, getattr(log, name))


def test_checking_twice_says_the_same(make_log):
    log = make_log(clean_columns() | {"cracked": ["no"] * N, "quench": ["plunge"] * N})
    assert check_log(log) == check_log(log)


def test_two_processes_say_what_one_says(make_log):
    log = make_log(clean_columns() | {"luster": [2] * N, "quench": ["mist"] * N})
    alone = check_rows(log, workers=1)
    assert alone
    assert alone == check_rows(log, workers=2)


def _is_a_slip(columns, at, slip):
    """Whether the row still differs: a note of a crack beside "yes" is none."""
    return slip[0] != "notes" or columns["cracked"][at] != "yes"


def _rows_that_name(slips, at):
    """The row itself; where slips outvote the rest of a firing, any row of the firing."""
    column = slips[at][0]
    alike = [other for other in slips if slips[other] == slips[at] and _same_firing(at, other)]
    if column not in SHARED or len(alike) <= PIECES // 2:
        return {at + 2}
    return {row + 2 for row in range(N) if _same_firing(at, row)}


def _same_firing(one, other):
    return one // PIECES == other // PIECES


def _rows_concerned(slips):
    """Rows a finding may name: those with a slip, and the firings whose count it changes."""
    rows = {at + 2 for at in slips}
    for at, (column, _, _) in slips.items():
        if column in SHARED or column == "firing_id":
            rows |= {row + 2 for row in range(N) if _same_firing(at, row)}
    return rows
