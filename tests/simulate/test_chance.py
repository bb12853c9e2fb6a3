"""Averages over firing luck, against adaptive quadrature and plain simulation."""

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.special import expit
from scipy.stats import norm

from outcomes.errors import RequestError
from outcomes.simulate.chance import (
    average_over_luck,
    latent_score,
    settle_thresholds,
    thresholds_for,
    true_change,
    true_reach,
)
from outcomes.simulate.draw import draw_outcomes, draw_settings
from outcomes.simulate.habits import Amount, Choice, Habits
from outcomes.simulate.truth import (
    FactorEffect,
    OutcomeTruth,
    Saturating,
    Steps,
    Straight,
    Truth,
    Window,
)

QUADRATURE = 1e-6  # what chance.py promises for a firing sd up to 3
TRUTH = Truth(
    outcomes=(
        OutcomeTruth(
            name="luster",
            thresholds=(-1.5, -0.5, 0.4, 1.8),
            aim=3,
            firing_sd=0.9,
            applies_to=("Copper",),
            effects=(
                FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.2, centre=10.0)),
                FactorEffect(factor="combustible_g", shape=Saturating(gain=2.0, scale=50.0)),
                FactorEffect(factor="pull_temp_c", shape=Window(best=980, width=25, height=2.0)),
                FactorEffect(factor="quench", shape=Steps(gains=(("dunk", -0.7),))),
            ),
        ),
    )
)
HABITS = Habits(
    choices=(
        Choice(name="glaze", levels=("Copper", "White"), shares=(0.7, 0.3)),
        Choice(name="quench", levels=("none", "dunk"), shares=(0.5, 0.5)),
    ),
    amounts=(
        Amount(name="seconds_to_can", centre=11, spread=4, low=3, high=40),
        Amount(name="combustible_g", centre=80, spread=40, low=5, high=400),
        Amount(name="pull_temp_c", centre=980, spread=30, between=1.0),
    ),
)


@pytest.mark.parametrize("firing_sd", [0.0, 0.7, 1.5, 3.0])
@pytest.mark.parametrize("score", [-6.0, -1.0, 0.3, 4.0])
def test_the_average_over_luck_equals_adaptive_quadrature(score, firing_sd):
    if firing_sd:
        expected, _ = quad(
            lambda u: expit(score + u) * norm.pdf(u, scale=firing_sd),
            -12 * firing_sd,
            12 * firing_sd,
            epsabs=1e-12,
            limit=200,
        )
    else:
        expected = float(expit(score))
    assert average_over_luck(np.array([score]), firing_sd)[0] == pytest.approx(
        expected, abs=QUADRATURE
    )


@pytest.mark.parametrize(
    ("factor", "start", "end"),
    [("seconds_to_can", 7.0, 15.0), ("pull_temp_c", 940.0, 980.0), ("quench", "none", "dunk")],
)
def test_the_true_change_equals_brute_force_simulation(factor, start, end):
    frame = draw_settings(HABITS, firings=200, pieces=8, rng=np.random.default_rng(3))
    rng = np.random.default_rng(4)
    shares, repeats = [], 400
    for value in (start, end):
        # Every piece in a firing of its own: what many firings average to, without clustering
        # noise; 1600 pieces x 400 give a standard error below 0.0007 for each share.
        alone = frame.assign(**{factor: value}, firing_id=[f"{i}" for i in range(len(frame))])
        hits = [
            (draw_outcomes(TRUTH, alone, rng=rng)["luster"].dropna() >= 3).mean()
            for _ in range(repeats)
        ]
        shares.append(np.mean(hits))
    expected = shares[1] - shares[0]
    found = true_change(
        TRUTH, frame, factor=factor, from_value=start, to_value=end, outcome="luster"
    )
    assert found == pytest.approx(expected, abs=5 * 0.001)
    assert abs(found) > 0.05


def test_the_true_change_averages_only_over_glazes_the_outcome_applies_to():
    frame = draw_settings(HABITS, firings=10, pieces=5, rng=np.random.default_rng(1))
    ask = {"factor": "quench", "from_value": "none", "to_value": "dunk", "outcome": "luster"}
    copper = frame[frame["glaze"] == "Copper"]
    assert true_change(TRUTH, copper, **ask) == true_change(TRUTH, frame, **ask)
    with pytest.raises(RequestError, match="luster: no row of this log has a glaze"):
        true_change(TRUTH, frame[frame["glaze"] == "White"], **ask)


def test_a_factor_that_is_no_column_is_refused_by_name():
    frame = draw_settings(HABITS, firings=2, pieces=2, rng=np.random.default_rng(1))
    with pytest.raises(RequestError, match="luster: the log has no column 'burps'"):
        true_change(TRUTH, frame, factor="burps", from_value=0.0, to_value=1.0, outcome="luster")
    with pytest.raises(RequestError, match="luster: the log has no column 'quench'"):
        latent_score(TRUTH, frame.drop(columns="quench"), "luster")


def test_an_effect_limited_to_one_glaze_leaves_the_others_alone():
    effect = FactorEffect(factor="dose", shape=Straight(per_step=1.0), glazes=("Copper",))
    outcome = OutcomeTruth(name="luster", thresholds=(0.0,), aim=1, effects=(effect,))
    frame = pd.DataFrame({"dose": [2.0, 2.0], "glaze": ["Copper", "White"]})
    assert latent_score(Truth(outcomes=(outcome,)), frame, "luster").tolist() == [2.0, 0.0]


def test_a_drift_counts_in_days_since_the_first_firing():
    effect = FactorEffect(factor="fired_on", shape=Straight(per_step=0.1))
    outcome = OutcomeTruth(name="luster", thresholds=(0.0,), aim=1, effects=(effect,))
    days = pd.to_datetime(["2024-01-01", "2024-01-11"]).astype("datetime64[s]")
    frame = pd.DataFrame({"fired_on": days})
    score = latent_score(Truth(outcomes=(outcome,)), frame, "luster")
    np.testing.assert_allclose(score, [0.0, 1.0], atol=1e-12)


def test_settled_thresholds_give_the_shares_that_were_asked_for():
    frame = draw_settings(HABITS, firings=50, pieces=6, rng=np.random.default_rng(2))
    frame = frame[frame["glaze"] == "Copper"]
    asked = (0.1, 0.2, 0.3, 0.25, 0.15)
    settled = settle_thresholds(
        TRUTH.outcome("luster"), latent_score(TRUTH, frame, "luster"), asked
    )
    reach = true_reach(Truth(outcomes=(settled,)), frame, "luster").mean()
    assert reach == pytest.approx(0.25 + 0.15, abs=1e-9)


def test_grade_shares_that_are_no_shares_are_refused():
    with pytest.raises(RequestError, match=r"two or more positive numbers, got \(0\.5, 0\.0\)"):
        thresholds_for((0.5, 0.0))
