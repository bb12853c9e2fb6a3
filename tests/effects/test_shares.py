"""How much is yours: the known shares, the truth found again, and what is never claimed."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.effects.share_bars import correct_luck, luck_noise, share_limits
from outcomes.effects.share_fits import fit_shares
from outcomes.effects.share_parts import (
    ColumnGroup,
    build_groups,
    column_covariance,
    split_variance,
)
from outcomes.effects.shares import Shares
from outcomes.model.fit import FitOptions, Penalty
from outcomes.model.mixed import fit_mixed
from outcomes.simulate.as_log import build_log
from outcomes.simulate.chance import latent_score
from outcomes.simulate.draw import simulate_log
from outcomes.simulate.greywether import null_year
from outcomes.simulate.habits import Amount, Choice, Habits
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Steps, Straight, Truth

PLAIN = FitOptions(penalty=Penalty.NONE)
KNOWN = 1e-5  # P30's fit and ours differ by 2e-7; variances are squares of slopes near 1


@pytest.fixture(scope="module")
def made(synthetic_a):
    design = build_design(synthetic_a, synthetic_a.codebook.outcome("luster"))
    return design, synthetic_a.codebook


@pytest.fixture(scope="module")
def made_shares(made) -> Shares:
    shares = fit_shares(*made, options=PLAIN)
    assert isinstance(shares, Shares)
    return shares


def truth() -> Truth:
    return Truth(
        outcomes=(
            OutcomeTruth(
                name="luster",
                thresholds=(-1.6, -0.5, 0.5, 1.7),
                aim=3,
                effects=(
                    FactorEffect(
                        factor="pull_temp_c", shape=Straight(per_step=0.9, step=25.0, centre=975.0)
                    ),
                    FactorEffect(
                        factor="seconds_to_can", shape=Straight(per_step=-0.25, centre=11.0)
                    ),
                    FactorEffect(factor="glaze", shape=Steps(gains=(("Hob Lane", 1.2),))),
                ),
                firing_sd=1.0,
            ),
        )
    )


def habits() -> Habits:
    return Habits(
        choices=(Choice(name="glaze", levels=("Hob Lane", "Sallow Pit"), shares=(0.5, 0.5)),),
        amounts=(
            Amount(name="pull_temp_c", centre=975, spread=25, between=1.0),
            Amount(name="seconds_to_can", centre=11, spread=3, low=0),
            Amount(name="humidity_pct", centre=60, spread=10, low=20, high=95, between=1.0),
        ),
        days=20,
    )


def invented(codebook, firings, *, pieces=6, seed=4):
    rng = np.random.default_rng(seed)
    frame = simulate_log(truth(), habits(), firings=firings, pieces=pieces, rng=rng)
    log = build_log(frame, codebook)
    design = build_design(log, codebook.outcome("luster"))
    return frame, design


def test_the_made_firings_divide_as_known(made, reference):
    design, codebook = made
    known = reference("P30_synth_firings_A")["expected"]["variance_shares_clmm"]
    fit = fit_mixed(design.X, design.y, 5, firing=design.firing, options=PLAIN)
    groups = build_groups(design, codebook)
    split = split_variance(
        column_covariance(design, np.ones((1, 24))),
        fit.slopes[None],
        np.zeros((1, len(fit.slopes), len(fit.slopes))),
        groups=groups,
    )
    half = known["two_cov"] / 2.0
    expected = [known["var_firing_level_settings"] + half, known["var_piece_level"] + half]
    assert [group.name for group in groups] == ["settings_firing", "settings_piece"]
    np.testing.assert_allclose(expected, split.parts[0], atol=KNOWN)
    assert known["var_fixed"] == pytest.approx(split.raw[0], abs=KNOWN)
    assert known["var_firing_luck"] == pytest.approx(fit.firing_sd**2, abs=KNOWN)


def test_the_printed_shares_take_the_noise_off_and_correct_the_luck(made, made_shares, reference):
    known = reference("P30_synth_firings_A")["expected"]["variance_shares_clmm"]
    shares = made_shares
    design = made[0]
    fit = fit_mixed(design.X, design.y, 5, firing=design.firing, options=PLAIN)
    luck = float(
        correct_luck(
            np.array(known["var_firing_luck"]), np.array(24.0 / 19.0), luck_noise(design, fit)
        )
    )
    fixed = known["var_fixed"] - shares.fixed_noise
    total = fixed + luck + known["var_piece_luck"]
    by_name = {part.name: part.share for part in shares.parts}
    assert 0.28 == pytest.approx(shares.fixed_noise, abs=0.01)  # method_in_depth.md §7
    assert fixed / total == pytest.approx(shares.yours.share, abs=KNOWN)
    assert luck / total == pytest.approx(by_name["firing_luck"], abs=KNOWN)
    assert known["var_piece_luck"] / total == pytest.approx(by_name["piece_luck"], abs=KNOWN)
    assert 24.0 / 19.0 == pytest.approx(shares.luck_factor)


def test_the_parts_fill_the_bar_and_lie_in_their_intervals(made_shares):
    assert sum(part.share for part in made_shares.parts) == pytest.approx(1.0, abs=1e-12)
    for part in (*made_shares.parts, made_shares.yours):
        assert 0.0 <= part.low <= part.share <= part.high <= 1.0
    assert made_shares.tenths == 2
    assert made_shares.tenths_low <= 2 <= made_shares.tenths_high


def test_the_true_shares_are_found_again(codebook):
    frame, design = invented(codebook, 150)
    shares = fit_shares(design, codebook)
    score = latent_score(truth(), frame, "luster")
    total = score.var() + 1.0 + np.pi**2 / 3.0
    by_name = {part.name: part.share for part in shares.parts}
    # 150 firings of 6: one log's shares spread by about 0.02 to 0.03; three of those.
    assert score.var() / total == pytest.approx(shares.yours.share, abs=0.08)
    assert 1.0 / total == pytest.approx(by_name["firing_luck"], abs=0.06)
    pull = (0.9 * (frame["pull_temp_c"] - 975.0) / 25.0).var(ddof=0)
    assert pull / total == pytest.approx(by_name["settings_firing"], abs=0.08)
    assert by_name["glaze"] == pytest.approx(0.36 / total, abs=0.05)
    assert by_name["conditions"] < 0.02
    assert shares.yours.low < score.var() / total < shares.yours.high


def test_a_year_of_nothing_but_luck_is_not_yours(codebook):
    log = build_log(null_year(np.random.default_rng(8), firings=48), codebook)
    shares = fit_shares(build_design(log, codebook.outcome("luster")), codebook)
    assert shares.yours.share < 0.05
    assert shares.yours.low == 0.0
    assert shares.tenths == 0


def test_firing_luck_that_is_not_seen_runs_from_nothing_to_its_limit(codebook):
    quiet = OutcomeTruth(name="luster", thresholds=(-1.6, -0.5, 0.5, 1.7), aim=3)
    rng = np.random.default_rng(6)
    frame = simulate_log(Truth(outcomes=(quiet,)), habits(), firings=16, pieces=6, rng=rng)
    design = build_design(build_log(frame, codebook), codebook.outcome("luster"))
    shares = fit_shares(design, codebook)
    luck = next(part for part in shares.parts if part.name == "firing_luck")
    assert shares.at_boundary
    assert luck.share == 0.0
    assert luck.low == 0.0
    assert 0.02 < luck.high < 0.5


def test_under_twelve_firings_only_words_are_given(codebook):
    _, design = invented(codebook, 10)
    shares = fit_shares(design, codebook)
    assert all(part.low is None and part.high is None for part in shares.parts)
    assert shares.tenths_low is None
    sizes = {"small", "about a quarter", "about half", "most of it"}
    assert {part.size for part in shares.parts} <= sizes


def test_under_six_firings_a_sentence_says_why_not(codebook):
    _, design = invented(codebook, 5, pieces=12)
    assert "holds 5 firings; how much is yours can be told from 6" in fit_shares(design, codebook)


def test_one_piece_a_firing_cannot_tell_two_kinds_of_luck_apart(codebook):
    _, design = invented(codebook, 60, pieces=1)
    assert "Every firing holds one piece only" in fit_shares(design, codebook)


def two_groups() -> tuple[ColumnGroup, ...]:
    return (
        ColumnGroup(name="settings_firing", columns=(0,), yours=True),
        ColumnGroup(name="conditions", columns=(1,), yours=False),
    )


def split_of(correlation, slopes):
    S = np.array([[[1.0, correlation], [correlation, 1.0]]])
    return split_variance(S, np.array([slopes]), np.zeros((1, 2, 2)), groups=two_groups())


def test_groups_that_move_together_share_what_they_share():
    split = split_of(0.9, [1.0, 1.0])
    np.testing.assert_allclose([[1.9, 1.9]], split.parts, atol=1e-9)
    assert split.shared == (True, True)


def test_a_part_that_would_be_negative_is_shared_instead():
    # Alone they tell 0.6^2 and 0.3^2, together 0.45: 0.36 and 0.09 in every order.
    split = split_of(0.8, [1.0, -0.5])
    np.testing.assert_allclose([[0.36, 0.09]], split.parts, atol=1e-9)
    assert split.shared == (True, True)


def test_groups_that_stand_apart_keep_their_own():
    split = split_of(0.2, [1.0, 0.5])
    np.testing.assert_allclose([[1.1, 0.35]], split.parts, atol=1e-12)
    assert split.shared == (False, False)


def test_noise_larger_than_what_is_explained_leaves_nothing():
    V = np.array([[[2.0, 0.0], [0.0, 2.0]]])
    split = split_variance(np.eye(2)[None], np.ones((1, 2)), V, groups=two_groups())
    assert split.explained() == 0.0
    np.testing.assert_array_equal([[0.0, 0.0]], split.floored())


def test_limits_of_a_share_stay_inside_zero_and_one():
    nearly_all = np.array([0.95, *np.tile([0.93, 0.97], 8)])
    low, high = share_limits(nearly_all, nearly_all, 0.95)
    assert 0.0 < low < 0.95 < high < 1.0
    raw = np.array([-0.02, *np.tile([-0.03, 0.0], 8)])
    low, high = share_limits(np.maximum(raw, 0.0), raw, 0.95)
    assert low == 0.0
    assert 0.01 < high < 0.3


def test_the_order_of_the_rows_changes_no_share(codebook):
    frame, design = invented(codebook, 14)
    turned = frame.iloc[::-1].reset_index(drop=True)
    again = build_design(build_log(turned, codebook), codebook.outcome("luster"))
    first, second = fit_shares(design, codebook), fit_shares(again, codebook)
    np.testing.assert_allclose(
        [part.share for part in first.parts], [part.share for part in second.parts], atol=1e-6
    )
