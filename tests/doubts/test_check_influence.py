"""One firing that decides an effect is named, and only then."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.doubts.check_influence import check_influence, name_firing
from outcomes.doubts.influence import _errors_without, measure_influence
from outcomes.effects.averages import build_moved, predict_change
from outcomes.effects.effect import Verdict, Word
from outcomes.effects.support import find_supported
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.intervals import jackknife_error

SAME = 1e-7  # refits agree to the engine's own tolerance


@pytest.fixture(scope="module")
def lopsided(make_log, learn, invent):
    """Quench does nothing, but in the large firing of 10 May every dunked piece shone."""
    columns = invent(np.random.default_rng(6), firings=20, pieces=5)
    large = {name: [values[35]] * 30 for name, values in columns.items()}
    large |= {
        "quench": ["dunk", "none"] * 15,
        "seconds_to_can": [float(s) for s in range(5, 15)] * 3,
        "combustible_g": [50.0, 60.0, 70.0, 80.0, 90.0] * 6,
        "glaze": (["Tarn Lantern"] * 2 + ["Brackwater Nine"] * 2) * 7 + ["Tarn Lantern"] * 2,
        "luster": [4.0, 0.0] * 15,
    }
    columns = {name: [*values, *large[name]] for name, values in columns.items()}
    columns["notes"] = ["", "rained all day"] * (len(columns["luster"]) // 2)
    return learn(make_log(columns))


def said(effects, factor: str, word: Word):
    verdict = Verdict(word=word, reason="")
    return [replace(e, verdict=verdict) for e in effects if e.contrast.factor == factor]


def test_the_table_equals_refits_without_each_firing(sound, judge) -> None:
    effect = next(e for e in judge(sound) if e.contrast.factor == "seconds_to_can")
    (table,) = measure_influence(sound, [effect])
    design = sound.design
    out = design.firing == 11
    fit = fit_cumulative(design.X[~out], design.y[~out], 5)
    supported = find_supported(design, effect.contrast, sound.codebook)
    moved = build_moved(design, effect.contrast, supported)
    expected = predict_change(
        moved, fit.parameters()[None, :], n_grades=5, grade=design.aim, link=sound.link
    )
    assert expected[0] == pytest.approx(table.without[11], abs=SAME)
    others = np.delete(table.without, 11)
    assert float(jackknife_error(others)) == pytest.approx(table.errors[11], abs=SAME)


@pytest.mark.parametrize("alone", [0.0, 3.0, 1e9])
def test_the_errors_without_each_firing_are_the_jackknifes_of_the_others(alone) -> None:
    values = 40.0 + np.random.default_rng(1).normal(size=9)
    values[4] += alone
    expected = [float(jackknife_error(np.delete(values, k))) for k in range(9)]
    np.testing.assert_allclose(_errors_without(values), expected, rtol=1e-12)


def test_a_firing_holding_half_of_the_variance_moves_one_standard_error(sound, judge) -> None:
    (table, *_) = measure_influence(sound, judge(sound))
    half = replace(
        table,
        change=0.0,
        without=np.array([1.0, -0.5, -0.5, 0.0]),
        errors=np.array([0.9, 2.0, 2.0, 2.0]),
    )
    assert half.moves[0] > 1.0
    assert np.abs(half.moves[1:]).max() < 1.0


def test_an_effect_that_hangs_on_one_firing_names_it_with_date_and_note(lopsided, judge) -> None:
    effects = said(judge(lopsided), "quench", Word.LEANS)
    (finding,) = check_influence(lopsided, effects, measure_influence(lopsided, effects))
    assert finding.code == "hangs_on_one_firing"
    assert finding.column == "quench"
    assert "without the firing of 10 May 2024 (F08) 'leans' would not stand" in finding.message
    assert "pieces per 100 with it and" in finding.message
    assert "(its notes say: 'rained all day')" in finding.advice


def test_an_effect_that_says_nothing_is_not_doubted_further(lopsided, judge) -> None:
    effects = said(judge(lopsided), "quench", Word.CANNOT_TELL)
    assert check_influence(lopsided, effects, measure_influence(lopsided, effects)) == ()


def test_a_sound_year_hangs_on_no_firing(sound, judge) -> None:
    effects = judge(sound)
    words = {e.contrast.factor: e.verdict.word for e in effects if e.verdict}
    assert words["seconds_to_can"] is Word.CHANGES
    assert check_influence(sound, effects, measure_influence(sound, effects)) == ()


def test_a_small_effect_that_one_firing_keeps_small_is_doubted(lopsided, judge) -> None:
    effects = said(judge(lopsided), "quench", Word.SMALL)
    (table,) = measure_influence(lopsided, effects)
    without = np.zeros_like(table.without)
    without[7] = 0.3
    hiding = replace(table, change=0.01, without=without, errors=np.full_like(without, 0.1))
    (finding,) = check_influence(lopsided, effects, [hiding])
    assert "'too small to matter' would not stand" in finding.message
    without[7] = 0.03
    harmless = replace(hiding, without=without, errors=np.full_like(without, 0.01))
    assert check_influence(lopsided, effects, [harmless]) == ()


def test_a_firing_without_a_date_is_named_by_its_name(sound) -> None:
    undated = replace(sound.design, frame=sound.design.frame.drop(columns=["fired_on"]))
    assert name_firing(replace(sound, design=undated), 2) == "firing F03"
    assert name_firing(sound, 2) == "firing of 21 March 2024 (F03)"
