"""A simulated table becomes the log that reading it would give."""

import numpy as np
import pytest

from outcomes.log.codebook_file import read_default_codebook
from outcomes.log.firing_log import How
from outcomes.simulate.as_log import build_log
from outcomes.simulate.hollowmere import hollowmere_year


@pytest.fixture(scope="module")
def year():
    return hollowmere_year(np.random.default_rng(1))


def test_every_row_is_used_and_numbered_as_under_one_header(year):
    log = build_log(year, read_default_codebook())
    assert log.account.rows_read == log.account.rows_used == len(year)
    assert log.origin["row"].tolist() == list(range(2, len(year) + 2))


def test_columns_have_the_types_a_log_promises(year):
    values = build_log(year, read_default_codebook()).values
    assert str(values["fired_on"].dtype) == "datetime64[s]"
    for name in ("pull_temp_c", "luster", "cracked", "pieces_loaded"):
        assert values[name].dtype == np.float64, name
    for name in ("glaze", "quench", "maker", "firing_id"):
        assert values[name].dtype == object, name


def test_a_blank_outcome_is_blank_in_every_table(year):
    log = build_log(year, read_default_codebook())
    blank = year["luster"].isna().to_numpy()
    assert blank.any()
    assert (log.how.loc[blank, "luster"] == How.BLANK).all()
    assert (log.how.loc[~blank, "luster"] == How.EXACT).all()
    assert (log.written.loc[blank, "luster"] == "").all()
    assert log.values.loc[blank, "luster"].isna().all()


def test_columns_the_codebook_does_not_know_are_kept_aside(year):
    log = build_log(year, read_default_codebook())
    assert list(log.aside.columns) == ["thermometer"]
    assert "thermometer" not in log.values
    assert {match.written: match.column for match in log.headers}["thermometer"] is None


def test_the_table_it_was_made_from_is_left_as_it_was(year):
    before = year.copy()
    build_log(year, read_default_codebook())
    assert before.equals(year)
