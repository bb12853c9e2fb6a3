"""A habit changed after bad firings is named; one changed on a plan is not."""

import numpy as np
import pytest
from scipy.special import expit

from outcomes.doubts.check_regression_to_mean import check_regression_to_mean
from outcomes.doubts.habit_changes import firing_luck, measure_habit_changes

CUTS = np.array([-1.5, -0.3, 0.6, 1.8])


def rng():
    return np.random.default_rng(7)


def year(invent, *, reacts: bool) -> dict:
    """The seal is kept or given up; with ``reacts``, after each firing under the average."""
    own = np.random.default_rng(31)
    columns = invent(own, firings=36, pieces=8, seconds=0.0)
    grades, seal, sealed = [], [], True
    changes = iter(own.permutation(np.arange(36) < 12))
    for luck in own.normal(size=36):
        here = (own.random(8)[:, None] > expit(CUTS - luck)).sum(axis=1)
        grades += here.astype(float).tolist()
        seal += ["yes" if sealed else "no"] * 8
        sealed ^= bool(here.mean() < 1.6) if reacts else bool(next(changes))
    return columns | {"luster": grades, "seal": seal}


def test_a_habit_changed_after_bad_firings_is_found(make_log, learn, invent, codebook) -> None:
    evidence = learn(make_log(year(invent, reacts=True)))
    (finding,) = check_regression_to_mean(measure_habit_changes(evidence, rng=rng()), codebook)
    assert finding.code == "changed_after_bad_firings"
    assert finding.column == "seal"
    assert "was mostly changed right after a firing that came out worse in luster" in (
        finding.message
    )
    assert "chosen by the toss of a coin" in finding.advice


def test_a_habit_changed_on_a_plan_raises_no_doubt(make_log, learn, invent, codebook) -> None:
    evidence = learn(make_log(year(invent, reacts=False)))
    (change,) = measure_habit_changes(evidence, rng=rng())
    assert change.factor == "seal"
    assert change.changes in {11, 12}
    assert check_regression_to_mean([change], codebook) == ()


def test_without_dates_nothing_is_asked(make_log, learn, invent) -> None:
    columns = year(invent, reacts=True)
    del columns["fired_on"]
    assert measure_habit_changes(learn(make_log(columns)), rng=rng()) == ()


def test_the_luck_of_firings_adds_up_to_nothing_over_the_pieces(sound) -> None:
    sizes = np.bincount(sound.design.firing)
    # The score equations make observed and foretold grades agree on average, nearly so with
    # the weak penalty.
    assert float(sizes @ firing_luck(sound)) / sizes.sum() == pytest.approx(0.0, abs=0.01)
