"""Filling blanks: what is recorded stays, fills are likely, effects are recovered."""

import numpy as np
import pytest

from outcomes.design.matrix import build_columns, build_design
from outcomes.doubts.impute import impute
from outcomes.doubts.imputed_effects import find_incomplete, impute_effects


def rng():
    return np.random.default_rng(9)


@pytest.fixture(scope="module")
def holed(make_log, invent):
    """A year with blank seconds, quench, and a pull temperature blank for whole firings."""
    own = np.random.default_rng(3)
    columns = invent(own)
    n = len(columns["luster"])
    temperature = np.repeat(np.round(own.normal(970, 20, 30)), 8)
    blank_firing = np.repeat(own.random(30) < 0.15, 8)
    columns["pull_temp_c"] = np.where(blank_firing, np.nan, temperature).tolist()
    for name, share in (("seconds_to_can", 0.1), ("quench", 0.1)):
        blank = own.random(n) < share
        columns[name] = [
            None if lost else value for value, lost in zip(columns[name], blank, strict=True)
        ]
    return make_log(columns)


@pytest.fixture(scope="module")
def pieces(holed):
    return find_incomplete(holed, build_design(holed, holed.codebook.outcome("luster")))


def test_recorded_values_stay_and_no_blank_is_left(pieces) -> None:
    (completed,) = impute(pieces, m=1, rng=rng())
    frame = completed.build_frame(pieces)
    for factor in ("seconds_to_can", "quench", "pull_temp_c"):
        known = ~pieces.blank(factor)
        assert not frame[factor].isna().any()
        assert (frame[factor][known] == pieces.frame[factor][known]).all()
        assert set(frame[factor]) <= set(pieces.frame[factor].dropna())


def test_the_columns_are_those_of_the_filled_values(pieces) -> None:
    (completed,) = impute(pieces, m=1, rng=rng())
    rebuilt = build_columns(completed.build_frame(pieces), pieces.spec)
    assert rebuilt == pytest.approx(completed.X, abs=1e-12)


def test_a_setting_of_the_firing_gets_one_value_a_firing(pieces) -> None:
    (completed,) = impute(pieces, m=1, rng=rng())
    filled = completed.build_frame(pieces)["pull_temp_c"]
    assert filled.groupby(pieces.firing).nunique().max() == 1
    assert pieces.blank("pull_temp_c").sum() > 0


def test_fills_differ_between_data_sets_and_repeat_with_the_seed(pieces) -> None:
    first, second = impute(pieces, m=2, rng=rng())
    assert not np.array_equal(first.X, second.X)
    (again,) = impute(pieces, m=1, rng=rng())
    assert np.array_equal(first.X, again.X)


def test_fills_follow_what_is_known_of_the_piece(make_log, invent) -> None:
    own = np.random.default_rng(5)
    columns = invent(own)
    seconds = np.array(columns["seconds_to_can"])
    truth = 10.0 * seconds + 10.0 * own.integers(-1, 2, len(seconds))
    lost = own.random(len(truth)) < 0.2
    columns["combustible_g"] = np.where(lost, np.nan, truth).tolist()
    log = make_log(columns)
    pieces = find_incomplete(log, build_design(log, log.codebook.outcome("luster")))
    (completed,) = impute(pieces, m=1, rng=rng())
    filled = completed.build_frame(pieces)["combustible_g"].to_numpy()
    assert np.corrcoef(filled[lost], truth[lost])[0, 1] > 0.85


def test_a_log_that_lost_hardly_a_piece_is_not_imputed(sound_log, sound, judge) -> None:
    assert impute_effects(sound_log, sound, judge(sound), rng=rng()) is None


def test_complete_and_pooled_agree_when_blanks_are_luck(holed, learn, judge) -> None:
    evidence = learn(holed)
    study = impute_effects(holed, evidence, judge(evidence), rng=rng())
    assert study.pieces == 240
    assert study.complete == len(evidence.design.y) < 0.75 * study.pieces
    assert study.imputations == max(20, round(100 * (1 - study.complete / study.pieces)))
    seconds = next(e for e in study.effects if e.contrast.factor == "seconds_to_can")
    assert seconds.pooled.value == pytest.approx(seconds.complete, abs=2 * seconds.gap_error + 0.02)
    assert seconds.pooled.error < 1.1 * seconds.complete_error
