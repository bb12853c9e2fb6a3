"""What the model of an outcome does not hold."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.effects.effect import Word
from outcomes.effects.not_learnt import build_not_learnt


@pytest.fixture
def not_learnt(make_log, codebook, invent):
    columns = invent(np.random.default_rng(3))
    columns["can_volume_l"] = [30.0] * 192
    columns["burps"] = [None] * 100 + [1.0, 2.0] * 46
    columns["form"] = ["bowl" if q == "dunk" else "cup" for q in columns["quench"]]
    columns["wind"] = ["calm"] * 192
    design = build_design(make_log(columns), codebook.outcome("luster"))
    return {one.factor: one for one in build_not_learnt(design, codebook)}


@pytest.mark.parametrize(
    ("factor", "word"),
    [
        ("can_volume_l", Word.NEVER_VARIED),
        ("burps", Word.THIN),
        ("quench", Word.TANGLED),
    ],
)
def test_a_setting_outside_the_model_gets_the_word_of_its_reason(not_learnt, factor, word):
    assert not_learnt[factor].verdict.word is word
    assert not_learnt[factor].verdict.reason == not_learnt[factor].reason


def test_what_is_tangled_is_named(not_learnt):
    assert not_learnt["quench"].verdict.tangled_with == ("form",)


def test_what_was_never_written_down_is_listed_without_a_verdict(not_learnt):
    assert not_learnt["lid_delay_s"].code == "not_recorded"
    assert not_learnt["lid_delay_s"].verdict is None


def test_a_condition_gets_no_verdict(not_learnt):
    assert not_learnt["wind"].code == "never_varied"
    assert not_learnt["wind"].verdict is None
