"""Leaving whole firings out: what is foretold, from what, and how it is scored."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.doubts.left_out import LeftOut, deal_firings, fit_without, predict_left_out
from outcomes.doubts.skill import (
    SkillWord,
    compare_skill,
    learn_skill,
    leave_firings_out_skill,
)
from outcomes.errors import RequestError
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions
from outcomes.model.prediction import predict_reach

SAME = 1e-7  # refits agree to the engine's own tolerance


def rng():
    return np.random.default_rng(5)


def left_out_of(design, *, glaze: str = "") -> LeftOut:
    fit = fit_cumulative(design.X, design.y, len(design.grades))
    deal = deal_firings(len(design.firing_names), rng())
    return predict_left_out(
        design, fit, deal=deal, without=fit_without(design, fit, deal), glaze=glaze
    )


def test_a_firing_is_foretold_by_a_fit_that_never_saw_it(sound) -> None:
    design = sound.design
    left_out = left_out_of(design)
    out = design.firing == 7
    fit = fit_cumulative(design.X[~out], design.y[~out], 5)
    expected = [predict_reach(design.X[out], fit.parameters(), 5, k) for k in range(1, 5)]
    assert np.transpose(expected) == pytest.approx(left_out.reach[0, out], abs=SAME)


def test_the_references_are_the_shares_of_the_other_firings(sound) -> None:
    design = sound.design
    left_out = left_out_of(design, glaze="glaze")
    rest = design.firing != 4
    at = np.flatnonzero(~rest)[0]
    assert left_out.usual[0, at, 2] == pytest.approx((design.y[rest] >= 3).mean())
    names = design.frame["glaze"].to_numpy()
    same = rest & (names == names[at])
    # 0.5 a grade, 2.5 pieces in all, at the shares of every glaze.
    share = ((design.y[same] >= 3).sum() + 2.5 * left_out.usual[0, at, 2]) / (same.sum() + 2.5)
    assert left_out.usual_of_glaze[0, at, 2] == pytest.approx(share)


def test_the_jackknife_serves_without_refitting(sound) -> None:
    free = learn_skill(sound, rng=rng())
    refitted = leave_firings_out_skill(sound.design, rng=rng(), glaze="glaze")
    assert refitted.scores == pytest.approx(free.scores, abs=SAME)
    assert refitted.overall.low == pytest.approx(free.overall.low, abs=SAME)


def test_a_year_with_an_effect_predicts_and_one_without_does_not(sound, make_log, learn, invent):
    assert learn_skill(sound, rng=rng()).overall.word is SkillWord.PREDICTS
    nothing = learn(make_log(invent(np.random.default_rng(8), seconds=0.0)))
    assert learn_skill(nothing, rng=rng()).overall.word is not SkillWord.PREDICTS


def test_a_grade_no_other_firing_has_gets_half_a_piece(make_log, invent) -> None:
    columns = invent(np.random.default_rng(3))
    columns["luster"] = [min(grade, 3.0) for grade in columns["luster"]]
    columns["luster"][0] = 4.0
    log = make_log(columns)
    left_out = left_out_of(build_design(log, log.codebook.outcome("luster")))
    half = 0.5 / (29 * 8 + 1)
    assert left_out.reach[0, 0, 3] == pytest.approx(half)
    assert left_out.usual[0, 0, 3] == pytest.approx(half)


def test_a_glaze_no_other_firing_has_is_foretold_at_the_average_and_counted(sound) -> None:
    design = sound.design
    names = design.frame["glaze"].to_numpy().copy()
    slot = next(t for t in design.spec.terms if t.factor == "glaze").slots[0]
    odd = next(t for t in design.spec.terms if t.factor == "glaze").levels[1]
    only_first = (design.firing == 0) & (np.arange(len(names)) < 2)
    X = design.X.copy()
    X[:, slot] = only_first
    usual = next(t for t in design.spec.terms if t.factor == "glaze").levels[0]
    names[:] = np.where(only_first, odd, usual)
    lone = replace(design, X=X, frame=design.frame.assign(glaze=names))
    left_out = left_out_of(lone)
    assert left_out.strangers == 2
    assert left_out.reach[0, 0].max() < 1.0


def test_more_than_forty_firings_are_dealt_twenty_times_into_ten_heaps(make_log, invent) -> None:
    log = make_log(invent(np.random.default_rng(2), firings=45, pieces=3))
    design = build_design(log, log.codebook.outcome("luster"))
    skill = leave_firings_out_skill(design, rng=rng())
    again = leave_firings_out_skill(design, rng=rng())
    assert (20, 45) == deal_firings(45, rng()).shape
    assert not skill.one_by_one
    assert np.array_equal(skill.scores, again.scores)
    one_by_one = predict_left_out(
        design,
        fit := fit_cumulative(design.X, design.y, 5),
        deal=(deal := np.arange(45)[None, :]),
        without=fit_without(design, fit, deal),
    )
    # Ten heaps learn from a tenth less than leaving one out does: nearly the same answer.
    assert left_out_of(design).reach.mean() == pytest.approx(one_by_one.reach.mean(), abs=0.01)


def test_forecasts_of_a_lean_model_are_calibrated(make_log, learn, invent) -> None:
    skill = learn_skill(
        learn(make_log(invent(np.random.default_rng(4), firings=40, luck=0.0))), rng=rng()
    )
    slope = skill.calibration.slope_interval
    assert slope.low < 1.0 < slope.high
    assert max(abs(gap) for gap in skill.calibration.in_the_large) < 0.02
    groups = skill.calibration.groups
    assert sum(group.pieces for group in groups) == 40 * 8
    assert [g.foretold for g in groups] == sorted(g.foretold for g in groups)


def test_two_designs_are_compared_on_the_same_firings(sound) -> None:
    design = sound.design
    seconds = next(t for t in design.spec.terms if t.factor == "seconds_to_can").slots[0]
    blind = replace(design, X=np.delete(design.X, seconds, axis=1))
    terms = tuple(t for t in design.spec.terms if t.factor != "seconds_to_can")
    terms = tuple(replace(t, slots=tuple(s - (s > seconds) for s in t.slots)) for t in terms)
    blind = replace(blind, spec=replace(design.spec, terms=terms, n_columns=blind.X.shape[1]))
    with_it = leave_firings_out_skill(design, rng=rng())
    without = leave_firings_out_skill(blind, rng=rng())
    assert compare_skill(without, with_it).low > 0.0
    assert compare_skill(with_it, with_it).value == 0.0


def test_designs_of_different_firings_are_not_compared(sound) -> None:
    skill = leave_firings_out_skill(sound.design, rng=rng(), options=FitOptions())
    short = replace(skill, scores=skill.scores[1:])
    with pytest.raises(RequestError, match="learnt on 30 and 29 firings; compare them on the same"):
        compare_skill(skill, short)
