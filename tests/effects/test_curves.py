"""The chance of each grade along a setting's logged range."""

import numpy as np
import pytest
from scipy import special, stats

from outcomes.design.matrix import find_term
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import build_contrast, choose_contrasts
from outcomes.effects.curves import build_curves, worth_drawing
from outcomes.effects.effect import Verdict, Word
from outcomes.effects.support import value_columns
from outcomes.resampling.intervals import jackknife_error


@pytest.fixture
def effects(year):
    found = estimate_contrasts(year, choose_contrasts(year.design, year.codebook))
    return {effect.contrast.factor: effect for effect in found}


@pytest.fixture
def curves(year, effects):
    drawn = build_curves(year, [effects["seconds_to_can"], effects["seal"]])
    return {(curve.factor, curve.glaze): curve for curve in drawn}


def test_all_pieces_come_first_then_each_glaze(year, effects):
    drawn = build_curves(year, [effects["seconds_to_can"]])
    assert [curve.glaze for curve in drawn][0] == ""
    assert {curve.glaze for curve in drawn[1:]} == {"Tarn Lantern", "Brackwater Nine"}


def test_chances_of_all_grades_sum_to_one(curves):
    for curve in curves.values():
        assert curve.chance.sum(axis=1) == pytest.approx(np.ones(len(curve.at)))
        assert (curve.chance >= 0.0).all()


def test_the_reach_is_the_chance_of_the_aim_or_above(curves, year):
    curve = curves["seconds_to_can", ""]
    assert curve.reach == pytest.approx(curve.chance[:, year.design.aim :].sum(axis=1))


def test_nothing_is_drawn_beyond_the_data(curves):
    for (factor, _), curve in curves.items():
        if factor == "seconds_to_can":
            low, high = np.quantile(curve.logged, [0.05, 0.95])
            assert curve.at[0] == pytest.approx(low)
            assert curve.at[-1] == pytest.approx(high)


def test_the_rug_holds_every_piece_concerned(curves, year):
    assert len(curves["seconds_to_can", ""].logged) == len(year.design.y)
    of_one = int((year.design.frame["glaze"] == "Tarn Lantern").sum())
    assert len(curves["seconds_to_can", "Tarn Lantern"].logged) == of_one


def test_the_curve_meets_the_rates_of_the_contrast(curves, year):
    curve = curves["seconds_to_can", ""]
    contrast = build_contrast(
        year.design,
        year.codebook,
        factor="seconds_to_can",
        from_value=float(curve.at[0]),
        to_value=float(curve.at[-1]),
    )
    (effect,) = estimate_contrasts(year, [contrast])
    if effect.pieces_supported == len(year.design.y):
        assert curve.reach[0] == pytest.approx(effect.rate_from)
    assert curve.reach[-1] - curve.reach[0] == pytest.approx(effect.change, abs=0.05)


def test_the_band_holds_the_curve_and_stays_between_0_and_1(curves):
    for curve in curves.values():
        assert (curve.reach_low >= 0.0).all()
        assert (curve.reach_low <= curve.reach).all()
        assert (curve.reach <= curve.reach_high).all()
        assert (curve.reach_high <= 1.0).all()


def test_the_band_is_nearly_that_of_leaving_out_each_firing(curves, year):
    # On the logit scale, as the band is made; other degrees of freedom, so only nearly.
    curve = curves["seconds_to_can", ""]
    columns, cuts = year.design.X.copy(), year.n_grades - 1
    term = find_term(year.design.spec, "seconds_to_can")
    columns[:, list(term.slots)] = value_columns(term, float(curve.at[8]))
    gap = year.without[:, year.design.aim - 1, None] - year.without[:, cuts:] @ columns.T
    without = special.logit(special.expit(-gap).mean(axis=1))
    error = float(jackknife_error(without))
    width = special.logit(curve.reach_high[8]) - special.logit(curve.reach_low[8])
    assert 2.0 * stats.t.isf(0.025, year.n_firings - 1) * error == pytest.approx(width, rel=0.15)


def test_levels_have_a_point_each(curves):
    curve = curves["seal", ""]
    assert set(curve.at) == {"no", "yes"}
    assert curve.chance.shape == (2, 5)
    assert len(curve.reach) == 2


def test_a_glaze_with_few_pieces_has_no_curve_of_its_own(make_log, learn, invent):
    columns = invent(np.random.default_rng(6))
    columns["glaze"] = ["Moth Ledger"] * 7 + ["Tarn Lantern"] * 185
    evidence = learn(make_log(columns), "luster", resamples=20)
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    seconds = [e for e in effects if e.contrast.factor == "seconds_to_can"]
    assert [c.glaze for c in build_curves(evidence, seconds)] == ["", "Tarn Lantern"]


def test_under_six_firings_the_band_is_unknown(make_log, learn, invent):
    evidence = learn(make_log(invent(np.random.default_rng(2), firings=5, pieces=12)), "luster")
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    curve = build_curves(evidence, effects[:1])[0]
    assert np.isnan(curve.reach_low).all()
    assert np.isfinite(curve.reach).all()


def test_only_changes_and_leanings_are_worth_drawing(effect):
    words = {word: effect(verdict=Verdict(word=word, reason="x.")) for word in Word}
    drawn = worth_drawing([*words.values(), effect(verdict=None)])
    assert drawn == (words[Word.CHANGES], words[Word.LEANS])
