"""Thresholds: found where there is one within the log, not invented where there is none."""

import numpy as np
import pytest

from outcomes.effects.firing_scores import efficient_scores, largest_t_p, score_t
from outcomes.effects.threshold import BendKind, find_thresholds, hinge, name_bend


def crackle(rng, *, seconds, effect, firings: int = 36, pieces: int = 8):
    """Return a log in which only seconds in the air act, through ``effect``."""
    n = firings * pieces
    each = np.repeat(np.arange(firings), pieces)
    to_can = seconds(rng, n).round()
    score = effect(to_can) + 0.7 * rng.normal(size=firings)[each] + rng.logistic(size=n)
    cuts = np.quantile(score, [0.2, 0.4, 0.65, 0.85])
    return {
        "firing_id": [f"F{g:02d}" for g in each],
        "glaze": rng.choice(["Tarn Lantern", "Moth Ledger"], n).tolist(),
        "seconds_to_can": to_can.tolist(),
        "luster": np.searchsorted(cuts, score).astype(float).tolist(),
    }


def up_to_two_minutes(rng, n):
    return np.clip(40.0 * np.exp(0.75 * rng.normal(size=n)), 5.0, 120.0)


def quick(rng, n):
    return np.clip(11.0 * np.exp(0.35 * rng.normal(size=n)), 5.0, 20.0)


def from_sixty(seconds):
    # trade.md §5: the skin of a 6 mm wall is cool enough to crack after 56-75 s in still air.
    return 0.10 * np.maximum(0.0, seconds - 60.0)


@pytest.fixture(scope="module")
def ask(make_log, learn):
    def answer(seed, *, seconds, effect, **size):
        columns = crackle(np.random.default_rng(seed), seconds=seconds, effect=effect, **size)
        evidence = learn(make_log(columns), "luster", resamples=2)
        return find_thresholds(evidence, rng=np.random.default_rng(seed))[0]

    return answer


def test_a_threshold_within_the_log_is_found_and_placed(ask):
    answers = [ask(s, seconds=up_to_two_minutes, effect=from_sixty) for s in range(8)]
    found = [one for one in answers if one.found]
    assert len(found) >= 6
    assert sum(one.low <= 60.0 <= one.high for one in found) >= len(found) - 1
    assert all(one.kind is BendKind.STARTS and one.low <= one.at <= one.high for one in found)
    assert "next to nothing changes" in found[0].reason


def test_a_log_that_spans_only_the_flat_part_invents_none(ask):
    answers = [ask(s, seconds=quick, effect=from_sixty, firings=24) for s in range(20)]
    # 5 % at most: 4 of 20 would happen once in 60 times.
    assert sum(one.found for one in answers) <= 3
    assert "would not show in this log" in next(o for o in answers if not o.found).reason


def test_a_straight_line_has_no_threshold(ask):
    answers = [
        ask(s, seconds=up_to_two_minutes, effect=lambda x: 0.03 * x, firings=24) for s in range(20)
    ]
    assert sum(one.found for one in answers) <= 3


def test_a_levelling_off_is_named_and_is_no_threshold(ask):
    answers = [
        ask(s, seconds=up_to_two_minutes, effect=lambda x: 0.12 * np.minimum(x, 40.0))
        for s in range(4)
    ]
    assert {one.kind for one in answers if one.at is not None} == {BendKind.LEVELS_OFF}
    assert not any(one.found for one in answers)


def test_too_few_firings_are_not_asked(ask):
    one = ask(1, seconds=up_to_two_minutes, effect=from_sixty, firings=11)
    assert not one.found
    assert one.p_value is None
    assert one.reason.startswith("Not looked for: a threshold needs at least 12 firings")


def test_a_bend_is_named_by_its_two_slopes():
    assert name_bend(1.0, 1.0) is BendKind.STEEPENS
    assert name_bend(-0.1, 1.0) is BendKind.STARTS


def test_the_same_random_numbers_give_the_same_answer(ask):
    same = [ask(3, seconds=up_to_two_minutes, effect=from_sixty) for _ in range(2)]
    assert same[0] == same[1]


def test_the_score_of_a_column_of_the_model_is_nothing(make_log, learn):
    # The fit has used it up: only the weak penalty's pull is left.
    columns = crackle(np.random.default_rng(1), seconds=up_to_two_minutes, effect=from_sixty)
    evidence = learn(make_log(columns), "luster", resamples=2)
    known = efficient_scores(evidence.design, evidence.fit, evidence.design.X)
    assert np.abs(known.sum(axis=0)).max() < 0.02
    bent = hinge(np.array(columns["seconds_to_can"]), 60.0)[:, 1:]
    assert abs(score_t(efficient_scores(evidence.design, evidence.fit, bent))[0]) > 3.0


def test_firings_pulling_at_random_reject_at_their_rate():
    rng = np.random.default_rng(2)
    p = [
        largest_t_p(rng.normal(size=(16, 1)) + 0.3 * rng.normal(size=(16, 6)), rng=rng, flips=199)
        for _ in range(400)
    ]
    # 5 % asked; binomial sd 1.1 %.
    assert np.mean(np.array(p) <= 0.05) == pytest.approx(0.05, abs=0.033)
