"""What a contrast does to an outcome."""

import numpy as np
import pytest
from scipy import stats

from outcomes.effects.averages import build_moved, predict_mean_change
from outcomes.effects.change import estimate_contrasts, estimate_effects
from outcomes.effects.contrasts import build_contrast, choose_contrasts
from outcomes.effects.measured import measure_contrast
from outcomes.effects.support import find_supported
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, Penalty
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.resampling.joint import correlate, joint_p
from outcomes.resampling.leverage import corrected_error

PLAIN = FitOptions(penalty=Penalty.NONE)
# The references are printed with a stated tolerance of 1e-5 (their field "tol").
REFERENCE_TOLERANCE = 1e-5


def by_factor(evidence) -> dict:
    contrasts = choose_contrasts(evidence.design, evidence.codebook)
    return {e.contrast.factor: e for e in estimate_contrasts(evidence, contrasts)}


def asked(evidence, factor, from_value, to_value):
    contrast = build_contrast(
        evidence.design,
        evidence.codebook,
        factor=factor,
        from_value=from_value,
        to_value=to_value,
    )
    return estimate_contrasts(evidence, [contrast])[0]


def asked_confidence(effect, confidence):
    """Return the width of an effect's t interval at another confidence."""
    return 2.0 * stats.t.isf((1.0 - confidence) / 2.0, effect.df) * effect.standard_error


def test_the_wine_contrast_of_temperature_is_the_published_one(wine, learn, reference):
    # P23: R emmeans (exc.prob, mean.class) and an own delta method
    expected = reference("P23_wine_average_contrasts")["expected"]
    warm = by_factor(learn(wine, "rating", options=PLAIN))["temp"]
    assert (warm.contrast.from_value, warm.contrast.to_value) == ("cold", "warm")
    assert warm.rate_from == pytest.approx(
        expected["P_rating_ge_4"]["p"][0], abs=REFERENCE_TOLERANCE
    )
    assert warm.rate_to == pytest.approx(expected["P_rating_ge_4"]["p"][1], abs=REFERENCE_TOLERANCE)
    differences = expected["diff_warm_minus_cold"]
    assert warm.change == pytest.approx(differences["P_ge_4"][0], abs=REFERENCE_TOLERANCE)
    assert warm.mean_grade_change == pytest.approx(
        differences["mean_grade"][0], abs=REFERENCE_TOLERANCE
    )


@pytest.mark.parametrize(
    ("name", "factor", "values"),
    [
        ("paper_1_vs_0", "paper", ("0", "1")),
        ("glaze_B_vs_A", "glaze", ("A", "B")),
        ("reduction_25_vs_10", "reduction_min", (10.0, 25.0)),
    ],
)
def test_the_synthetic_contrasts_are_those_of_r(
    synthetic_a, learn, reference, name, factor, values
):
    # P30: R ordinal::clm and an own implementation
    expected = reference("P30_synth_firings_A")["expected"]["average_contrasts"]
    evidence = learn(synthetic_a, "luster", options=PLAIN, resamples=20)
    everything = evidence.design.frame
    effect = asked(evidence, factor, *values)
    assert effect.pieces_supported == len(everything)
    assert effect.change == pytest.approx(
        expected[f"{name}:P_ge_3"]["estimate"], abs=REFERENCE_TOLERANCE
    )
    assert effect.mean_grade_change == pytest.approx(
        expected[f"{name}:mean_grade"]["estimate"], abs=REFERENCE_TOLERANCE
    )


def test_the_error_is_a_little_above_the_cluster_sandwich(synthetic_a, learn, reference):
    # P30 gives CR1 errors, which do not allow for the pull of each firing on the fit
    expected = reference("P30_synth_firings_A")["expected"]["average_contrasts"]
    evidence = learn(synthetic_a, "luster", options=PLAIN, resamples=20)
    effect = asked(evidence, "paper", "0", "1")
    ratio = effect.standard_error / expected["paper_1_vs_0:P_ge_3"]["cluster_CR1_se"]
    assert 1.0 < ratio < 1.6


def test_turning_a_contrast_round_flips_every_sign(year):
    up = asked(year, "seconds_to_can", 6.0, 14.0)
    down = asked(year, "seconds_to_can", 14.0, 6.0)
    assert down.change == pytest.approx(-up.change, abs=1e-12)
    assert down.log_odds == pytest.approx(-up.log_odds)
    assert down.standard_error == pytest.approx(up.standard_error)
    assert down.effective_firings == pytest.approx(up.effective_firings)
    assert down.jackknife_interval.low == pytest.approx(-up.jackknife_interval.high)


def test_a_units_change_leaves_the_effect_alone(make_log, learn, invent, year):
    columns = invent(np.random.default_rng(11), window=0.8)
    columns["seconds_to_can"] = [60.0 * value for value in columns["seconds_to_can"]]
    slower = learn(make_log(columns), "luster")
    minutes = asked(slower, "seconds_to_can", 360.0, 840.0)
    seconds = asked(year, "seconds_to_can", 6.0, 14.0)
    assert minutes.change == pytest.approx(seconds.change, abs=1e-8)


def test_the_printed_interval_is_t_times_the_firing_score_error(year):
    straight = [e for e in by_factor(year).values() if e.contrast.comparisons == 1]
    for effect in straight:
        reach = stats.t.isf(0.025, effect.df) * effect.standard_error
        expected = max(-1.0, effect.change - reach), min(1.0, effect.change + reach)
        assert expected == pytest.approx((effect.interval.low, effect.interval.high))
        assert effect.interval.method == "firing-score t"


def test_a_windows_interval_ends_where_its_joint_p_value_is_five_in_a_hundred(year):
    window = by_factor(year)["pull_temp_c"]
    candidates = [
        measure_contrast(year, contrast)
        for contrast in choose_contrasts(year.design, year.codebook)
        if contrast.factor == "pull_temp_c"
    ]
    shared = correlate([one.gradient for one in candidates], year.fit.covariance)
    reach = (window.change - window.interval.low) / window.standard_error
    assert 0.05 == pytest.approx(joint_p(reach, shared, window.df), rel=1e-3)
    # low to high is low to middle and middle to high, averaged over the same pieces
    assert np.linalg.eigvalsh(shared)[0] == pytest.approx(0.0, abs=1e-8)


def test_the_jackknife_and_the_redraws_tell_nearly_the_same(year):
    for effect in by_factor(year).values():
        for other in (effect.jackknife_interval, effect.resample_interval):
            assert 0.6 < other.width() / effect.interval.width() < 1.7


def test_the_error_of_the_mean_grade_is_that_of_its_own_gradient(year):
    # The mean grade is the sum of the chances of every grade or above.
    effect = asked(year, "seconds_to_can", 6.0, 14.0)
    supported = find_supported(year.design, effect.contrast, year.codebook)
    moved = build_moved(year.design, effect.contrast, supported)
    gradient = np.zeros(len(year.fit.parameters()))
    for i in range(len(gradient)):
        step = np.zeros(len(gradient))
        step[i] = 1e-5
        both = np.vstack([year.fit.parameters() + step, year.fit.parameters() - step])
        up, down = predict_mean_change(moved, both, grades=year.design.grades, link=year.link)
        gradient[i] = (up - down) / 2e-5
    error, df = corrected_error(gradient, year.pull)
    expected = effect.mean_grade_change + stats.t.isf(0.025, df) * error
    assert expected == pytest.approx(effect.mean_grade_interval.high, abs=1e-7)


def test_a_window_pays_for_its_three_candidates(year):
    window = by_factor(year)["pull_temp_c"]
    assert window.contrast.comparisons == 3
    alone = asked(year, "pull_temp_c", window.contrast.from_value, window.contrast.to_value)
    assert window.change == pytest.approx(alone.change)
    bonferroni = asked_confidence(alone, 1.0 - 0.05 / 3.0)
    assert alone.interval.width() < window.interval.width() < bonferroni
    assert window.jackknife_interval.width() > alone.jackknife_interval.width()
    assert window.interval.confidence == pytest.approx(0.95)


def test_the_small_interval_of_a_window_spans_all_candidates(year):
    window = by_factor(year)["pull_temp_c"]
    candidates = [
        asked(year, "pull_temp_c", c.from_value, c.to_value)
        for c in choose_contrasts(year.design, year.codebook)
        if c.factor == "pull_temp_c"
    ]
    assert len(candidates) == 3
    assert window.interval_90.low == min(c.interval_90.low for c in candidates)
    assert window.interval_90.high == max(c.interval_90.high for c in candidates)


def test_under_six_firings_there_is_a_point_and_no_interval(make_log, learn, invent):
    columns = invent(np.random.default_rng(2), firings=5, pieces=12)
    effect = by_factor(learn(make_log(columns), "luster"))["seconds_to_can"]
    assert effect.change != 0.0
    assert effect.interval is None
    assert effect.interval_90 is None
    assert effect.p_value is None
    assert effect.standard_error is None


def test_a_between_firing_setting_rests_on_no_more_firings_than_there_are(year):
    for effect in by_factor(year).values():
        assert 1.0 <= effect.effective_firings <= 24.0
        assert effect.df <= effect.firings - 1


def test_a_setting_used_in_few_firings_rests_on_few(make_log, learn, invent):
    columns = invent(np.random.default_rng(4))
    columns["seal"] = [
        "yes" if name in ("F02", "F09", "F17") else "no" for name in columns["firing_id"]
    ]
    effects = by_factor(learn(make_log(columns), "luster"))
    assert effects["seal"].effective_firings < 8.0
    assert effects["seal"].effective_firings < effects["quench"].effective_firings
    assert (effects["seal"].firings_from, effects["seal"].firings_to) == (21, 3)


def test_the_contract_function_gives_one_effect_a_factor(make_log, codebook, invent):
    from outcomes.design.matrix import build_design

    log = make_log(invent(np.random.default_rng(5), firings=12, pieces=6))
    design = build_design(log, codebook.outcome("luster"))
    fit = fit_cumulative(design.X, design.y, len(design.grades))
    many = [
        fit_many(
            design.X,
            design.y,
            len(design.grades),
            firing=design.firing,
            firing_weights=weights,
            start=fit,
        )
        for weights in (
            draw_firing_weights(12, 50, rng=np.random.default_rng(1)),
            leave_one_out_weights(12),
        )
    ]
    effects = estimate_effects(design, codebook, fit=fit, redraws=many[0], jackknife=many[1])
    assert [e.contrast.factor for e in effects] == [t.factor for t in design.spec.terms]
    assert all(e.verdict is None and e.p_adjusted is None for e in effects)


def test_planted_effects_are_recovered_and_nothing_stays_near_nothing(make_log, learn, invent):
    # 30 years of 24 x 8: the true average change of -0.3 a second from 7 to 13 s is about
    # -0.33; the mean of 30 estimates lies within 3 Monte-Carlo errors (0.08 / sqrt(30) each).
    found, nothing, covered = [], [], []
    for seed in range(30):
        columns = invent(np.random.default_rng(100 + seed))
        evidence = learn(make_log(columns), "luster", resamples=100)
        effect = asked(evidence, "seconds_to_can", 7.0, 13.0)
        found.append(effect.change)
        idle = asked(evidence, "quench", "none", "dunk")
        nothing.append(idle.change)
        covered.append(idle.interval.low <= 0.0 <= idle.interval.high)
    assert np.mean(found) == pytest.approx(-0.33, abs=0.05)
    assert np.mean(nothing) == pytest.approx(0.0, abs=0.04)
    assert sum(covered) >= 25  # 95 % of 30 is 28.5; fewer than 25 has chance 0.3 %
