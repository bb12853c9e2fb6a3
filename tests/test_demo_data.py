"""The demo log is made by its script, and is read as it was meant."""

import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from outcomes.log.codebook_file import read_codebook
from outcomes.log.firing_log import How
from outcomes.log.reading import read_log

DEMO = Path(__file__).parents[1] / "data_demo"
MADE = ("hollowmere_yard.csv", "hollowmere_clean.csv", "hollowmere_truth.toml")
HELD = 1e-3  # the clean table keeps four decimals; a °F reading is a repeating decimal in °C


@pytest.fixture(scope="module")
def truth():
    return tomllib.loads((DEMO / "hollowmere_truth.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def log():
    codebook = read_codebook(DEMO / "hollowmere_codebook.toml")
    return read_log([DEMO / "hollowmere_yard.csv"], codebook)


@pytest.fixture(scope="module")
def clean():
    return pd.read_csv(DEMO / "hollowmere_clean.csv", parse_dates=["fired_on"])


@pytest.fixture(scope="module")
def spoilt(truth):
    """Return the cells no value can be read from, as (sheet row, column) sets."""
    return {
        kind: {(cell["row"], cell["column"]) for cell in truth[kind]}
        for kind in ("unreadable", "blank")
    }


def test_the_script_makes_the_same_bytes_again(tmp_path):
    subprocess.run(
        [sys.executable, "-B", str(DEMO / "make_hollowmere.py"), str(tmp_path)], check=True
    )
    for name in MADE:
        assert (tmp_path / name).read_bytes() == (DEMO / name).read_bytes(), name


def test_rows_read_are_rows_used_and_rows_set_aside(log, truth):
    assert log.account.rows_read == truth["pieces"] + 1  # and the line of totals
    assert log.account.rows_used == truth["pieces"] == len(log.values)
    (total,) = log.account.set_aside
    assert "total" in total.reason


def test_every_row_keeps_the_number_of_the_makers_own_sheet(log, clean):
    assert log.origin["row"].tolist() == clean["source_row"].tolist()


def test_every_column_was_matched_but_the_shelf_and_the_photo(log):
    assert {match.written for match in log.headers if match.column is None} == {"shelf", "photo"}
    assert list(log.aside.columns) == ["shelf", "photo"]


def _columns(clean):
    return [name for name in clean.columns if name not in ("source_row", "piece_id")]


def test_every_readable_cell_has_the_value_that_was_meant(log, clean, spoilt):
    checked = 0
    lost = spoilt["unreadable"] | spoilt["blank"]
    for name in _columns(clean):
        for i, row in enumerate(clean["source_row"]):
            meant, read = clean.loc[i, name], log.values.loc[i, name]
            if (row, name) in lost or pd.isna(meant):
                assert pd.isna(read), (row, name, read)
            elif isinstance(meant, (float, np.floating, int, np.integer)):
                assert read == pytest.approx(meant, abs=HELD), (row, name)
            else:
                assert read == meant, (row, name)
            checked += 1
    assert checked == len(clean) * 22


def test_every_cell_made_unreadable_is_set_aside_and_no_other(log, clean, spoilt):
    aside = {
        (clean.loc[i, "source_row"], name)
        for name in _columns(clean)
        for i in log.how.index[log.how[name] == How.SET_ASIDE]
    }
    assert aside == spoilt["unreadable"]
    assert set(log.unusable["row"]) == {row for row, _ in spoilt["unreadable"]}


def test_every_cell_left_blank_is_blank(log, clean, spoilt):
    place = {row: i for i, row in enumerate(clean["source_row"])}
    for row, name in spoilt["blank"]:
        assert log.how.loc[place[row], name] == How.BLANK, (row, name)


def test_the_log_is_messy_in_every_way_it_claims(log):
    counts = log.how.stack().value_counts()
    for how in How:
        assert counts[how.value] >= 10, how


@pytest.mark.parametrize(
    "pattern",
    ["½ ", r"\d+'30\"", r"~\d", "ditto", "till cool", ">20", "lots", "n/a", "5 sheets", "0:1", "-"],
)
def test_the_log_holds_what_makers_write(log, pattern):
    assert any(log.written[name].str.contains(pattern, regex=True).any() for name in log.written)


def test_temperatures_without_a_scale_are_asked_about_in_one_question(log, truth):
    rows = {c["row"] for c in truth["unreadable"] if c["reason"].startswith("no scale")}
    assert len(rows) == 4
    (question,) = [f for f in log.findings if set(f.rows) == rows]
    assert question.column == "pull temp"


def test_an_unscaled_temperature_above_1200_is_read_as_fahrenheit(log):
    bare = log.written["pull_temp_c"].str.fullmatch(r"\d+")
    high = bare & (pd.to_numeric(log.written["pull_temp_c"].where(bare)) > 1200)
    assert high.sum() >= 2
    expected = (pd.to_numeric(log.written.loc[high, "pull_temp_c"]) - 32) / 1.8
    np.testing.assert_allclose(log.values.loc[high, "pull_temp_c"], expected)


def test_every_piece_id_but_the_copied_one_is_its_own(log, truth, clean):
    copied = clean["source_row"] == truth["mess"]["repeated_piece_id_row"]
    assert (log.values["piece_id"] == clean["piece_id"]).equals(~copied)
    assert log.values["piece_id"].duplicated().sum() == 1


def test_the_recovery_of_other_years_can_be_measured():
    run = subprocess.run(
        [sys.executable, "-B", str(DEMO / "measure_recovery.py"), "1"],
        check=True,
        capture_output=True,
        text=True,
    )
    lines = run.stdout.splitlines()
    planted = [line for line in lines if ", of 1; wrong sign" in line]
    assert len(planted) == 9
    assert lines[9].startswith("planted nothings called an effect: ")
    assert lines[-1].startswith("intervals that hold the truth: ")
