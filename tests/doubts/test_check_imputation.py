"""Left-out pieces that change the answer are said, and only those."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.doubts.check_imputation import check_imputation
from outcomes.doubts.imputed_effects import impute_effects


@pytest.fixture(scope="module")
def study(make_log, learn, judge, invent):
    """Quench was not written on slow pieces that came out well: they hide that slow harms less."""
    own = np.random.default_rng(14)
    columns = invent(own, firings=36, pieces=10, seconds=-0.15)
    slow = np.array(columns["seconds_to_can"]) > 10
    good = np.array(columns["luster"]) >= 3
    lost = slow & good & (own.random(len(slow)) < 0.9)
    columns["quench"] = [
        None if blank else value for value, blank in zip(columns["quench"], lost, strict=True)
    ]
    log = make_log(columns)
    evidence = learn(log)
    return impute_effects(log, evidence, judge(evidence), rng=np.random.default_rng(2))


def test_blanks_that_hide_good_slow_pieces_are_found(study, codebook) -> None:
    (finding,) = check_imputation(study, codebook)
    assert finding.code == "blanks_matter"
    assert finding.column == "seconds_to_can"
    left_out = study.pieces - study.complete
    assert f"{left_out} of {study.pieces} graded pieces were left out" in finding.message
    assert "instead of" in finding.message
    assert "Fill in the blank settings" in finding.advice


def test_filling_in_brings_the_effect_back_toward_the_truth(study, make_log, learn, judge, invent):
    own = np.random.default_rng(14)
    whole = learn(make_log(invent(own, firings=36, pieces=10, seconds=-0.15)))
    truth = next(e for e in judge(whole) if e.contrast.factor == "seconds_to_can").change
    seconds = next(e for e in study.effects if e.contrast.factor == "seconds_to_can")
    assert abs(seconds.pooled.value - truth) < 0.35 * abs(seconds.complete - truth)


def test_a_difference_within_luck_is_not_named(study, codebook) -> None:
    calm = [replace(effect, gap_error=1.0) for effect in study.effects]
    assert check_imputation(replace(study, effects=tuple(calm)), codebook) == ()


def test_nothing_is_said_where_hardly_a_piece_was_lost(codebook) -> None:
    assert check_imputation(None, codebook) == ()
