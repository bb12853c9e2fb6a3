import numpy as np
import pytest
from scipy import integrate, special, stats

from outcomes.errors import RequestError
from outcomes.planning.power_question import find_middle_aim
from outcomes.planning.power_truth import (
    Truth,
    change_of_odds_ratio,
    firing_range,
    shares_then,
    solve_cut,
    solve_cuts,
    solve_log_odds,
)

SHARES = (0.1, 0.2, 0.3, 0.25, 0.15)


def made_truth(**changed: object) -> Truth:
    return Truth(**{"shares": SHARES, "aim": 3, "change": 0.15, "firing_sd": 0.8, **changed})


@pytest.mark.parametrize(("sd", "exact"), [(0.3, 1e-10), (0.8, 1e-10), (1.5, 1e-8), (3.0, 1e-5)])
@pytest.mark.parametrize("share", [0.02, 0.4, 0.9])
def test_a_cut_averages_to_its_share_over_the_firings_luck(sd, exact, share):
    cut = solve_cut(share, sd)
    average, _ = integrate.quad(
        lambda u: special.expit(cut - sd * u) * stats.norm.pdf(u), -12, 12, limit=400, epsabs=1e-12
    )
    assert share == pytest.approx(average, abs=exact)


def test_without_luck_cuts_and_effect_are_plain_log_odds():
    truth = made_truth(firing_sd=0.0)
    assert special.logit(np.cumsum(SHARES)[:-1]) == pytest.approx(solve_cuts(truth))
    assert special.logit(0.55) - special.logit(0.40) == pytest.approx(solve_log_odds(truth))


def test_the_luck_of_firings_asks_for_a_larger_effect_within_each():
    """Zeger, Liang & Albert (1988): averaged odds are nearer to 1 than those of one firing."""
    assert solve_log_odds(made_truth(firing_sd=1.5)) > solve_log_odds(made_truth(firing_sd=0.0))


@pytest.mark.parametrize("change", [0.15, -0.15])
def test_the_shares_with_the_setting_changed_reach_the_aim_as_supposed(change):
    shares = shares_then(made_truth(change=change))
    assert 0.40 + change == pytest.approx(sum(shares[3:]), abs=1e-9)
    assert 1.0 == pytest.approx(sum(shares))


def test_two_grades_are_a_truth_too():
    truth = Truth(shares=(0.85, 0.15), aim=1, change=0.10, firing_sd=0.8)
    assert (0.75, 0.25) == pytest.approx(shares_then(truth))


def test_an_odds_ratio_says_the_same_as_a_difference():
    assert 0.25 == pytest.approx(change_of_odds_ratio((0.5, 0.5), 1, 3.0))
    assert -0.25 == pytest.approx(change_of_odds_ratio((0.5, 0.5), 1, 1 / 3))


def test_two_firings_in_three_lie_between_the_ends_told():
    truth = made_truth(firing_sd=0.8)
    luck = np.random.default_rng(4).normal(scale=0.8, size=200_000)
    rates = special.expit(luck - solve_cuts(truth)[2])
    low, high = firing_range(truth)
    inside = np.mean((rates > low) & (rates < high))
    assert stats.norm.cdf(1) - stats.norm.cdf(-1) == pytest.approx(inside, abs=0.004)


def test_the_middle_aim_is_the_cut_nearest_to_half():
    assert 3 == find_middle_aim(SHARES)
    assert 1 == find_middle_aim((0.9, 0.1))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"shares": (0.1, 0.2), "aim": 1}, "10, 20: they add up to 30, not to 100"),
        ({"shares": (1.0,), "aim": 1}, "at least two grades are needed"),
        ({"shares": (0.5, 0.5, 0.0), "aim": 1}, "each must be above 0. Leave out a grade"),
        ({"shares": (0.5, np.nan), "aim": 1}, "each must be above 0"),
        ({"aim": 5}, "with 5 grades, the lowest numbered 0, it can be 1 to 4"),
        ({"aim": 0}, "it can be 1 to 4"),
        ({"shares": (0.5, 0.5), "aim": 2}, "it can only be 1"),
        ({"firing_sd": -1.0}, "The firing luck is -1; .* 0.8 is usual"),
        ({"firing_sd": np.nan}, "The firing luck is nan"),
        ({"change": 0.9}, r"\+90 pieces per 100 .* 40 of 100 .* smaller than 60"),
        ({"change": -0.4}, r"-40 pieces per 100 .* 40 of 100 .* smaller than 40"),
    ],
)
def test_what_cannot_be_true_is_refused_with_what_to_do(changed, said):
    with pytest.raises(RequestError, match=said):
        made_truth(**changed)


@pytest.mark.parametrize("ratio", [0.0, -2.0, np.nan, np.inf])
def test_an_odds_ratio_that_is_none_is_refused(ratio):
    with pytest.raises(RequestError, match="a number above 0 was expected, 1 for no difference"):
        change_of_odds_ratio((0.5, 0.5), 1, ratio)
