"""One effect for all glazes, until the log says otherwise."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from outcomes.design.deviations import build_deviations, fold_deviations
from outcomes.effects.averages import build_moved
from outcomes.effects.by_glaze import LEFT_OUT, NO_SIGN, find_glaze_effects
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.curves import build_curves
from outcomes.effects.measured import predict_changes
from outcomes.effects.refit import refit_columns, step_without_firings
from outcomes.effects.support import find_supported
from outcomes.model.batched import fit_many
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import jackknife_error

GLAZES = ("Tarn Lantern", "Moth Ledger", "Brackwater Nine")


def year(seed, *, slopes, shares=(0.45, 0.45, 0.10), firings=24, pieces=8):
    """Return a log in which seconds to the can act by ``slopes`` log-odds a second."""
    rng = np.random.default_rng(seed)
    n = firings * pieces
    each = np.repeat(np.arange(firings), pieces)
    glaze = rng.choice(3, n, p=shares)
    seconds = rng.integers(4, 20, n).astype(float)
    score = np.array(slopes)[glaze] * (seconds - 11.0) + 0.5 * (glaze == 1)
    score = score + 0.7 * rng.normal(size=firings)[each] + rng.logistic(size=n)
    cuts = np.quantile(score, [0.2, 0.4, 0.65, 0.85])
    return {
        "firing_id": [f"F{g:02d}" for g in each],
        "glaze": [GLAZES[k] for k in glaze],
        "seconds_to_can": seconds.tolist(),
        "seal": rng.choice(["no", "yes"], n).tolist(),
        "luster": np.searchsorted(cuts, score).astype(float).tolist(),
    }


@pytest.fixture(scope="module")
def ask(make_log, learn):
    def answer(seed, **more):
        evidence = learn(make_log(year(seed, **more)), "luster", resamples=20)
        effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
        (seconds,) = [e for e in effects if e.contrast.factor == "seconds_to_can"]
        found = find_glaze_effects(evidence, seconds, rng=np.random.default_rng(seed))
        return evidence, seconds, found

    return answer


@pytest.fixture(scope="module")
def different(ask):
    return ask(3, slopes=(-0.35, 0.05, -0.15))


def test_one_effect_for_all_stays_where_glazes_do_not_differ(ask):
    found = [ask(s, slopes=(-0.2, -0.2, -0.2))[2] for s in range(20)]
    # 5 % at most: 4 or more of 20 would happen once in 60 times.
    assert sum(one.differs for one in found) <= 3
    same = next(one for one in found if not one.differs)
    assert same.omega == 0.0
    assert same.chosen_by in {NO_SIGN, LEFT_OUT}
    assert same.sentence == "Seconds to the can: no sign that glazes differ; one effect for all."


def test_glazes_that_differ_are_told_apart(different):
    _, _, found = different
    change = {one.glaze: one.change for one in found.effects}
    assert found.differs
    assert found.chosen_by == LEFT_OUT
    assert change["Tarn Lantern"] < -0.25
    assert change["Moth Ledger"] > change["Tarn Lantern"] + 0.2
    assert "leans toward acting differently on different glazes" in found.sentence


def test_the_chosen_width_foretells_best_and_ties_go_to_the_smaller(different):
    _, _, found = different
    best = min(score for _, score in found.scores)
    assert found.multiple == next(m for m, score in found.scores if score == best)
    assert [m for m, _ in found.scores] == [0.0, 0.25, 0.5, 1.0, 2.0]


def test_a_glaze_with_few_pieces_borrows_and_one_with_many_speaks(ask):
    evidence, _, found = ask(4, slopes=(-0.35, 0.0, 0.3), shares=(0.477, 0.477, 0.046))
    pieces = {one.glaze: one.pieces for one in found.effects}
    assert pieces["Brackwater Nine"] < 16
    assert pieces["Tarn Lantern"] > 70
    # How much of a free deviation (width 20) is left under the pull of width 0.25.
    deviations = build_deviations(evidence.design, "seconds_to_can", glaze="glaze")
    free, pulled = (
        width
        * refit_columns(
            evidence, np.concatenate([evidence.design.X, width * deviations.columns], axis=1)
        ).slopes[-3:]
        for width in (20.0, 0.25)
    )
    kept = dict(
        zip(deviations.glazes[1:], (pulled - pulled[0])[1:] / (free - free[0])[1:], strict=True)
    )
    assert 0.0 < kept["Brackwater Nine"] < 0.5
    assert deviations.glazes[0] != "Brackwater Nine"
    assert kept[deviations.glazes[1]] > kept["Brackwater Nine"] + 0.2


def test_a_glaze_in_fewer_than_six_firings_carries_the_common_effect(make_log, learn):
    columns = year(3, slopes=(-0.35, 0.05, 0.0), shares=(0.5, 0.5, 0.0))
    columns["glaze"][:32] = ["Brackwater Nine"] * 32  # four firings
    evidence = learn(make_log(columns), "luster", resamples=20)
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    (seconds,) = [e for e in effects if e.contrast.factor == "seconds_to_can"]
    found = find_glaze_effects(evidence, seconds, rng=np.random.default_rng(1))
    (few,) = [one for one in found.effects if one.glaze == "Brackwater Nine"]
    assert found.differs
    assert few.firings == 4
    assert not few.is_own
    assert few.interval is None
    assert "the other 1 with the effect common to all" in found.sentence


def test_a_glazes_own_interval_is_nearly_that_of_leaving_out_each_firing(different):
    evidence, effect, found = different
    deviations = build_deviations(evidence.design, "seconds_to_can", glaze="glaze")
    width = found.omega * 2.0  # log-F(1,1) has the curvature of a normal of standard deviation 2
    X = np.concatenate([evidence.design.X, width * deviations.columns], axis=1)
    without = fit_many(
        X,
        evidence.design.y,
        evidence.n_grades,
        firing=evidence.design.firing,
        firing_weights=leave_one_out_weights(evidence.n_firings),
        start=refit_columns(evidence, X),
    ).values
    supported = find_supported(evidence.design, effect.contrast, evidence.codebook)
    for k, one in enumerate(found.effects):
        if not one.is_own:
            continue
        own = fold_deviations(
            without, deviations, widths=np.array([width]), glaze=k, cuts=evidence.n_grades - 1
        )
        rows = supported & (deviations.of == k)
        moved = build_moved(evidence.design, effect.contrast, rows)
        error = float(jackknife_error(predict_changes(evidence, moved, own)))
        reach = stats.t.isf(0.025, one.firings - 1) * error
        assert 2.0 * reach == pytest.approx(one.interval.width(), rel=0.2)


def test_folded_parameters_predict_what_the_wide_design_does(different):
    evidence, _, _ = different
    deviations = build_deviations(evidence.design, "seconds_to_can", glaze="glaze")
    widths = np.array([0.3])
    X = np.concatenate([evidence.design.X, 0.3 * deviations.columns], axis=1)
    fit = refit_columns(evidence, X)
    for k in range(len(deviations.glazes)):
        rows = deviations.of == k
        folded = fold_deviations(
            fit.parameters()[None, :],
            deviations,
            widths=widths,
            glaze=k,
            cuts=evidence.n_grades - 1,
        )[0]
        slopes = folded[evidence.n_grades - 1 :]
        assert X[rows] @ fit.slopes == pytest.approx(evidence.design.X[rows] @ slopes)


def test_a_refit_of_the_same_columns_is_the_fit(different):
    evidence, _, _ = different
    again = refit_columns(evidence, evidence.design.X)
    assert evidence.fit.parameters() == pytest.approx(again.parameters(), abs=1e-7)
    assert evidence.fit.covariance == pytest.approx(again.covariance, rel=1e-5, abs=1e-8)


def test_one_step_without_a_firing_is_close_to_the_refit(different):
    evidence, _, _ = different
    design = evidence.design
    near = step_without_firings(evidence, design.X, evidence.fit)
    exact = fit_many(
        design.X,
        design.y,
        evidence.n_grades,
        firing=design.firing,
        firing_weights=leave_one_out_weights(evidence.n_firings),
        start=evidence.fit,
    ).values
    moved = np.abs(exact - evidence.fit.parameters()).max()
    assert np.abs(near - exact).max() < 0.1 * moved


def test_the_curve_of_a_glaze_has_its_own_slope_where_glazes_differ(different):
    evidence, seconds, found = different
    plain = {c.glaze: c for c in build_curves(evidence, [seconds])}
    own = {c.glaze: c for c in build_curves(evidence, [seconds], by_glaze=[found])}
    rise = {name: c.reach[-1] - c.reach[0] for name, c in own.items()}
    assert plain[""].reach == pytest.approx(own[""].reach)
    assert rise["Moth Ledger"] > rise["Tarn Lantern"] + 0.2
    same = build_curves(evidence, [seconds], by_glaze=[replace(found, differs=False)])
    for curve in same:
        assert plain[curve.glaze].reach == pytest.approx(curve.reach)


def test_one_glaze_has_nothing_to_compare(make_log, learn):
    columns = year(1, slopes=(-0.2, 0.0, 0.0), shares=(1.0, 0.0, 0.0))
    evidence = learn(make_log(columns), "luster", resamples=2)
    effects = estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))
    assert find_glaze_effects(evidence, effects[0], rng=np.random.default_rng(1)) is None
