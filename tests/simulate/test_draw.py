"""Invented logs hold what their habits and their truth say."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm, spearmanr

from outcomes.errors import RequestError
from outcomes.simulate.draw import draw_settings, draw_sizes, simulate_log
from outcomes.simulate.habits import Amount, Choice, Habits, Helper, Move, Together, Treated
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Steps, Straight, Truth

HABITS = Habits(
    choices=(
        Choice(name="glaze", levels=("A", "B"), shares=(0.75, 0.25)),
        Choice(name="wind", levels=("calm", "strong"), shares=(0.5, 0.5), between=1.0),
    ),
    amounts=(
        Amount(name="pull_temp_c", centre=980, spread=30, grid=5, between=1.0),
        Amount(name="seconds_to_can", centre=10, spread=0.5, low=3, high=40, logarithmic=True),
        Amount(name="lid_delay_s", centre=12, spread=5, between=0.4),
    ),
    treated=(Treated(name="seal", levels=("no", "yes"), firings=3),),
    together=(Together(first="seconds_to_can", second="lid_delay_s", correlation=0.8),),
)
GRADED = OutcomeTruth(name="luster", thresholds=(-1.0, 0.0, 1.0), aim=2, firing_sd=0.7)
TRUTH = Truth(outcomes=(GRADED, replace(GRADED, name="crackle", applies_to=("B",))))


def _log(seed, **changes):
    arguments = {"firings": 12, "pieces": 6, "rng": np.random.default_rng(seed)}
    return simulate_log(TRUTH, HABITS, **(arguments | changes))


def test_the_same_seed_gives_the_same_log_and_another_seed_another():
    pd.testing.assert_frame_equal(_log(1), _log(1))
    assert not _log(1).equals(_log(2))


def test_a_log_has_the_asked_firings_and_pieces():
    log = _log(1, pieces=(2, 12, 3, *[5] * 9))
    assert log.groupby("firing_id", sort=False).size().tolist() == [2, 12, 3, *[5] * 9]
    assert log["piece_id"].is_unique
    assert log.groupby("firing_id")["fired_on"].nunique().eq(1).all()


def test_text_columns_are_objects_and_dates_are_in_seconds():
    log = _log(1)
    assert {str(log[name].dtype) for name in ("firing_id", "piece_id", "glaze", "seal")} == {
        "object"
    }
    assert str(log["fired_on"].dtype) == "datetime64[s]"


@pytest.mark.parametrize("pieces", [0, (3, 3), (3, 0, 3)])
def test_firings_and_pieces_that_do_not_go_together_are_refused(pieces):
    with pytest.raises(RequestError, match="one number of pieces, or one for each firing"):
        _log(1, firings=3, pieces=pieces)


def test_unequal_sizes_run_over_the_whole_range():
    sizes = draw_sizes(500, low=2, high=12, rng=np.random.default_rng(1))
    assert set(range(2, 13)) == set(sizes)


def test_a_firing_habit_is_constant_within_its_firing_and_a_piece_habit_is_not():
    log = _log(1)
    inside = log.groupby("firing_id")[["pull_temp_c", "wind", "seal", "lid_delay_s"]].nunique()
    assert inside[["pull_temp_c", "wind", "seal"]].eq(1).all(axis=None)
    assert inside["lid_delay_s"].gt(1).all()


def test_a_treated_setting_is_on_in_exactly_the_asked_firings():
    for seed in range(20):
        log = _log(seed)
        assert log.loc[log["seal"] == "yes", "firing_id"].nunique() == 3


def test_habits_follow_their_distributions():
    log = _log(5, firings=4000, pieces=5)
    # 20 000 pieces: standard errors are 0.003 (a share), 0.5 (a firing's mean) and 0.05 s.
    assert (log["glaze"] == "A").mean() == pytest.approx(0.75, abs=0.015)
    assert log["pull_temp_c"].mean() == pytest.approx(980, abs=2.5)
    assert log["pull_temp_c"].std() == pytest.approx(30, abs=2)
    assert (log["pull_temp_c"] % 5 == 0).all()
    assert log["seconds_to_can"].median() == pytest.approx(10, abs=0.25)
    assert log["seconds_to_can"].between(3, 40).all()


def test_habits_that_move_together_have_the_asked_correlation_of_scores():
    log = _log(5, firings=4000, pieces=5)
    # Pearson's r of the scores, by Spearman's: r = 2 sin(pi rho / 6) for the normal copula
    # (Kruskal 1958, JASA 53:814, section 4); lid delay's firing part is shared by 0.4.
    rho = spearmanr(log["seconds_to_can"], log["lid_delay_s"]).statistic
    expected = 0.8 * np.sqrt((1 - 0.4) * 1.0)
    assert 2 * np.sin(np.pi * rho / 6) == pytest.approx(expected, abs=0.02)


def test_correlations_that_contradict_one_another_are_refused():
    pairs = (("a", "b", 0.9), ("b", "c", 0.9), ("a", "c", -0.9))
    habits = Habits(
        amounts=tuple(Amount(name=name, centre=0, spread=1) for name in "abc"),
        together=tuple(Together(first=a, second=b, correlation=r) for a, b, r in pairs),
    )
    with pytest.raises(RequestError, match="contradict one another"):
        draw_settings(habits, firings=2, pieces=2, rng=np.random.default_rng(1))


def test_habits_given_twice_or_unknown_partners_are_refused():
    amount = Amount(name="a", centre=0, spread=1)
    with pytest.raises(RequestError, match="each habit may be given once"):
        Habits(amounts=(amount, amount))
    with pytest.raises(RequestError, match="'a' and 'b' cannot move together"):
        Habits(amounts=(amount,), together=(Together(first="a", second="b", correlation=0.5),))
    with pytest.raises(RequestError, match="quench: every level needs one positive share"):
        Choice(name="quench", levels=("none", "dunk"), shares=(1.0,))


def test_a_helper_moves_what_she_pulls_and_nothing_else():
    helper = Helper(
        column="maker",
        usual="W",
        name="K",
        firings=0.5,
        pieces=0.5,
        moves=(Move(name="seconds_to_can", times=0.5), Move(name="lid_delay_s", plus=20.0)),
    )
    with_helper = replace(HABITS, helper=helper)
    log = draw_settings(with_helper, firings=400, pieces=10, rng=np.random.default_rng(1))
    alone = draw_settings(HABITS, firings=400, pieces=10, rng=np.random.default_rng(1))
    pulled = log["maker"] == "K"
    assert log.loc[pulled, "firing_id"].nunique() <= 200
    assert pulled.mean() == pytest.approx(0.25, abs=0.03)
    pd.testing.assert_frame_equal(log.loc[~pulled, alone.columns], alone.loc[~pulled])
    difference = log.loc[pulled, "lid_delay_s"] - alone.loc[pulled, "lid_delay_s"]
    np.testing.assert_allclose(difference, 20.0)
    assert log.loc[pulled, "seconds_to_can"].min() == 3.0  # kept within the habit's ends


def test_an_outcome_is_blank_on_a_glaze_it_does_not_apply_to():
    log = _log(1)
    assert log["crackle"].isna().equals(log["glaze"] == "A")
    assert log["luster"].notna().all()


def test_grades_of_a_null_log_have_the_shares_of_their_thresholds():
    null = Truth(outcomes=(replace(GRADED, firing_sd=0.0),))
    log = simulate_log(null, HABITS, firings=4000, pieces=5, rng=np.random.default_rng(8))
    shares = log["luster"].value_counts(normalize=True).sort_index()
    cumulative = 1 / (1 + np.exp(-np.array(GRADED.thresholds)))
    np.testing.assert_allclose(shares, np.diff([0, *cumulative, 1]), atol=0.015)  # 5 s.e.


def test_the_luck_of_a_firing_has_the_asked_spread():
    # With two grades and threshold 0, P(two pieces of one firing agree) under firing luck s is
    # E[p^2 + (1-p)^2], p = F(u): a direct integral, against the share of agreeing pairs.
    for sd in (0.0, 0.7, 1.5):
        truth = Truth(
            outcomes=(OutcomeTruth(name="luster", thresholds=(0.0,), aim=1, firing_sd=sd),)
        )
        log = simulate_log(truth, HABITS, firings=20_000, pieces=2, rng=np.random.default_rng(3))
        pairs = log["luster"].to_numpy().reshape(-1, 2)
        u = np.linspace(-8, 8, 4001)
        p = 1 / (1 + np.exp(-sd * u))
        expected = np.sum((p**2 + (1 - p) ** 2) * norm.pdf(u)) * (u[1] - u[0])
        assert (pairs[:, 0] == pairs[:, 1]).mean() == pytest.approx(expected, abs=5 * 0.0036)


def test_a_planted_effect_moves_grades_the_way_it_points():
    effects = (
        FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.3, centre=10)),
        FactorEffect(factor="seal", shape=Steps(gains=(("yes", 2.0),))),
    )
    truth = Truth(outcomes=(replace(GRADED, effects=effects),))
    log = simulate_log(truth, HABITS, firings=300, pieces=6, rng=np.random.default_rng(3))
    assert spearmanr(log["seconds_to_can"], log["luster"]).statistic < -0.3
