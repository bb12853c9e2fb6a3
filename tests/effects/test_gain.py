"""Where most of a gain is reached."""

import numpy as np
import pytest

from outcomes.effects.gain import find_gain


def year(rng, effect, *, firings=36, pieces=8, sure=1.0):
    n = firings * pieces
    each = np.repeat(np.arange(firings), pieces)
    grams = np.clip((70.0 * np.exp(0.55 * rng.normal(size=n)) / 5).round() * 5, 5.0, 400.0)
    luck = 0.7 * rng.normal(size=firings)[each] + rng.logistic(size=n)
    score = effect(grams) + sure * luck
    cuts = np.quantile(score, [0.2, 0.4, 0.65, 0.85])
    return {
        "firing_id": [f"F{g:02d}" for g in each],
        "glaze": rng.choice(["Tarn Lantern", "Moth Ledger"], n).tolist(),
        "combustible_g": grams.tolist(),
        "luster": np.searchsorted(cuts, score).astype(float).tolist(),
    }


@pytest.fixture(scope="module")
def ask(make_log, learn):
    def answer(seed, effect, **more):
        columns = year(np.random.default_rng(seed), effect, **more)
        return find_gain(learn(make_log(columns), "luster", resamples=2), "combustible_g")

    return answer


def levelling(grams):
    return 8.0 * -np.expm1(-grams / 30.0)


def test_a_gain_that_ends_inside_the_range_is_placed(ask):
    found = [ask(s, levelling) for s in range(6)]
    assert sum(one.levels_off for one in found) >= 5
    # On the log-odds scale nine tenths are reached at about 30 ln 10 + 20 = 85 g; on the scale
    # of pieces, with grades spread as here, between 60 and 100 g.
    assert sum(one.low <= 100.0 and one.high >= 60.0 for one in found) >= 5
    assert "little further change" in next(o for o in found if o.levels_off).sentence


def test_a_steady_change_is_not_said_to_level_off(ask):
    found = [ask(s, lambda grams: 0.012 * grams, firings=24) for s in range(10)]
    # 2.5 % expected of a two-sided 95 % rule.
    assert sum(one.levels_off for one in found) <= 1
    assert "no levelling off can be told" in next(o for o in found if not o.levels_off).sentence


def test_the_limits_lie_in_the_tried_range_around_the_estimate(ask):
    one = ask(1, levelling)
    assert one.tried_low <= one.low <= one.at <= one.high <= one.tried_high


def test_without_a_gain_there_is_nothing_to_reach(make_log, learn):
    columns = year(np.random.default_rng(1), lambda grams: 0.0 * grams)
    evidence = learn(make_log(columns), "luster", resamples=2)
    found = find_gain(evidence, "combustible_g")
    assert found is None or not found.levels_off


def test_few_firings_give_an_estimate_without_limits(ask):
    one = ask(2, levelling, firings=11)
    assert one.low is None
    assert one.high is None
    assert not one.levels_off
    assert "seem reached by" in one.sentence
