"""The parts of a before and after, and the date of a change of habit."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from outcomes.effects.coaching import Coaching, compare_sides, measure_coaching
from outcomes.effects.coaching_found import find_habit_step
from outcomes.effects.replicates import build_replicates
from outcomes.simulate.as_log import build_log
from outcomes.simulate.draw import draw_outcomes
from outcomes.simulate.ninefold import ninefold_settings, ninefold_truth

SINCE = pd.Timestamp("2025-03-18")
COACHING = Coaching(factor="lid_delay_s", since=SINCE, date="fired_on", person="maker")


@pytest.fixture(scope="module")
def replicates(learn, codebook):
    rng = np.random.default_rng(5)
    frame = draw_outcomes(ninefold_truth(), ninefold_settings(rng), rng=rng)
    evidence = learn(build_log(frame, codebook), "luster", resamples=99)
    many = type("Many", (), {"values": evidence.redraws})
    return build_replicates(evidence.design, evidence.fit, many)


def test_the_parts_add_up_to_the_plain_difference(replicates):
    parts = measure_coaching(replicates, COACHING)
    total = parts.habit.size + parts.written.size + parts.luck.size
    assert parts.plain.size == pytest.approx(total, abs=1e-12)


def test_the_plain_difference_is_that_of_the_pieces(replicates):
    parts = measure_coaching(replicates, COACHING)
    design = replicates.design
    hit, after = design.y >= design.aim, (design.frame["fired_on"] >= SINCE).to_numpy()
    assert hit[after].mean() - hit[~after].mean() == pytest.approx(parts.plain.size)
    assert ((~after).sum(), after.sum()) == parts.pieces
    assert parts.firings == (12, 18)


def test_a_habit_nobody_changed_has_no_part(replicates):
    frame = replicates.design.frame
    same = frame.groupby("maker")["lid_delay_s"].transform("first")
    # Each person at one value throughout: kept or put back makes no difference.
    columns = replicates.design.X.copy()
    slots = list(next(t for t in replicates.design.spec.terms if t.factor == "lid_delay_s").slots)
    first = {name: columns[(frame["maker"] == name).to_numpy()][0] for name in set(frame["maker"])}
    columns[:, slots] = np.array([first[name][slots] for name in frame["maker"]])
    everybody = frame["maker"].isin(frame.loc[frame["fired_on"] < SINCE, "maker"]).to_numpy()
    assert same.notna().all()
    design = _replace(replicates.design, X=columns)
    parts = measure_coaching(_replace(replicates, design=_keep(design, everybody)), COACHING)
    assert parts.habit.size == pytest.approx(0.0, abs=1e-12)


def _replace(record, **changes):
    from dataclasses import replace

    return replace(record, **changes)


def _keep(design, rows):
    return _replace(
        design,
        X=design.X[rows],
        y=design.y[rows],
        firing=design.firing[rows],
        frame=design.frame[rows].reset_index(drop=True),
    )


def test_the_later_pieces_are_put_back_piece_by_piece(replicates):
    parts = measure_coaching(replicates, COACHING)
    design, frame = replicates.design, replicates.design.frame
    after = (frame["fired_on"] >= SINCE).to_numpy()
    slots = list(next(t for t in design.spec.terms if t.factor == "lid_delay_s").slots)
    who = frame["maker"].to_numpy()
    lost = []
    for i in np.flatnonzero(after):
        own = ~after & (who == who[i])
        old = design.X[own if own.any() else ~after][:, slots]
        rows = np.tile(design.X[i], (len(old), 1))
        rows[:, slots] = old
        lost.append(replicates.reach(design.X[[i]])[0].mean() - replicates.reach(rows)[0].mean())
    assert np.mean(lost) == pytest.approx(parts.habit.size, abs=1e-10)


def test_too_few_firings_on_one_side_give_no_answer(replicates):
    late = Coaching(
        factor="lid_delay_s", since=pd.Timestamp("2025-04-02"), date="fired_on", person="maker"
    )
    assert measure_coaching(replicates, late) is None


def test_with_one_piece_a_firing_it_is_welchs_test(rng):
    before, after = rng.normal(0.3, 0.1, 9), rng.normal(0.5, 0.2, 14)
    expected = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.95)
    found = compare_sides(
        np.concatenate([before, after]), np.arange(23) >= 9, np.arange(23), 0.95
    ).interval
    assert (expected.low, expected.high) == pytest.approx((found.low, found.high), rel=1e-6)


def test_the_luck_of_the_last_day_before_is_what_was_not_foretold(replicates):
    parts = measure_coaching(replicates, COACHING)
    design = replicates.design
    eve = (design.frame["fired_on"] == pd.Timestamp("2025-03-11")).to_numpy()
    left = (design.y >= design.aim) - replicates.reach(design.X)[0]
    assert left[eve].mean() == pytest.approx(parts.eve.size)


def step_of(frame, codebook, seed=3):
    firing = pd.factorize(frame["firing_id"])[0]
    settings = [codebook.factor(n) for n in ("seconds_to_can", "lid_delay_s", "combustible_g")]
    return find_habit_step(
        frame, date="fired_on", settings=settings, firing=firing, rng=np.random.default_rng(seed)
    )


def test_the_coached_habit_is_found_with_its_day(codebook):
    found = [step_of(ninefold_settings(np.random.default_rng(s)), codebook) for s in range(5)]
    assert {(step.factor, step.since) for step in found} == {("lid_delay_s", SINCE)}


def test_without_a_change_hardly_any_is_found(codebook, rng):
    frame = ninefold_settings(np.random.default_rng(8))
    firing = pd.factorize(frame["firing_id"])[0]
    found = 0
    for _ in range(20):
        means = rng.normal(size=(30, 3))[firing]
        names = ["seconds_to_can", "lid_delay_s", "combustible_g"]
        found += (
            step_of(frame.assign(**dict(zip(names, means.T, strict=True))), codebook) is not None
        )
    assert found <= 3  # 1 % of 20 is 0.2; 4 or more once in 10 000


def test_a_log_of_one_day_has_no_step(codebook):
    frame = ninefold_settings(np.random.default_rng(8))
    assert step_of(frame[frame["fired_on"] == SINCE].reset_index(drop=True), codebook) is None
