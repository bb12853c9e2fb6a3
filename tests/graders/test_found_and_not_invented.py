"""What is there is found, what is not is not: small seeded studies with their bounds.

The larger study is `measure_agreement.py`, run by hand; DEVELOPERS.md has its numbers.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from outcomes.graders.alpha import count_coincidences, krippendorff_alpha
from outcomes.graders.changes import measure_drifts, measure_halos
from outcomes.graders.pairs import measure_alpha, measure_offsets
from outcomes.graders.ratings import build_ratings
from outcomes.graders.shifts import fit_shifts, shrinkage_factor
from outcomes.model.fit import FitStatus
from outcomes.simulate.regrades import (
    GraderTruth,
    draw_grades,
    draw_qualities,
)

LOGS = 150
# Of 150 intervals at 95 %, fewer than 133 hold the truth with a chance of 1 in 300 (binomial).
FEWEST_HELD = 133
MOST_CALLED = 17  # the same bound from the other side


def interval_holds(measured, truth: float) -> bool:
    return measured.interval.low <= truth <= measured.interval.high


def test_the_interval_of_alpha_holds_the_truth_as_often_as_it_says(
    two_alike, draw_entries, five_grades
):
    large = build_ratings(draw_entries(two_alike, seed=1, firings=20_000, pieces=1), five_grades)
    truth = float(krippendorff_alpha(count_coincidences(large.grades, 5).sum(axis=0)))
    held = [
        interval_holds(
            measure_alpha(
                build_ratings(draw_entries(two_alike, seed=100 + n), five_grades), confidence=0.95
            ),
            truth,
        )
        for n in range(LOGS)
    ]
    assert sum(held) >= FEWEST_HELD


def test_offset_and_drift_are_not_invented(two_alike, draw_entries, five_grades):
    offsets, drifts = 0, 0
    for n in range(LOGS):
        entries = draw_entries(two_alike, seed=500 + n)
        ratings = build_ratings(entries, five_grades)
        offset = measure_offsets(ratings, confidence=0.95)[0].difference
        drift = measure_drifts(entries, ratings, confidence=0.95)[0].change
        offsets += not interval_holds(offset, 0.0)
        drifts += not interval_holds(drift, 0.0)
    assert max(offsets, drifts) <= MOST_CALLED


def test_a_drift_that_is_there_is_found(two_alike, draw_entries, five_grades):
    drifting = replace(two_alike, graders=(GraderTruth(name="A", drift=3.0), GraderTruth(name="B")))
    found = []
    for n in range(10):
        entries = draw_entries(drifting, seed=n, firings=24, pieces=8)
        drift = measure_drifts(entries, build_ratings(entries, five_grades), confidence=0.95)[0]
        found.append(drift.change.interval.low > 0.0)
    assert sum(found) >= 9


def test_pieces_that_get_better_over_the_year_are_no_drift(two_alike, draw_entries, five_grades):
    both = tuple(GraderTruth(name=name, drift=4.0) for name in "AB")
    entries = draw_entries(replace(two_alike, graders=both), seed=3)
    drift = measure_drifts(entries, build_ratings(entries, five_grades), confidence=0.95)[0]
    assert interval_holds(drift.change, 0.0)


def known_and_blind(truth, *, seed: int) -> pd.DataFrame:
    rng = np.random.default_rng(seed)
    firing = np.repeat(np.arange(12), 5)
    quality = draw_qualities(truth, firing, rng=rng)
    looks = [
        pd.DataFrame(
            {
                "piece": [f"p{n}" for n in range(60)],
                "firing": [f"F{n}" for n in firing],
                "grader": "A",
                "blind": "no" if is_known else "yes",
                "graded_on": pd.NaT,
                "grade": draw_grades(
                    truth, quality, grader=truth.graders[0], when=np.zeros(60),
                    is_known=is_known, rng=rng,
                ).astype(float),
            }
        )
        for is_known in (True, False)
    ]  # fmt: skip
    return pd.concat(looks, ignore_index=True)


def test_a_halo_that_is_there_is_found(two_alike, five_grades):
    hoping = replace(two_alike, graders=(GraderTruth(name="A", halo=1.5),))
    halos = [
        measure_halos(known_and_blind(hoping, seed=n), five_grades, confidence=0.95)[0]
        for n in range(10)
    ]
    assert sum(halo.difference.interval.low > 0.0 for halo in halos) >= 9


def test_a_halo_is_not_invented(two_alike, five_grades):
    called = 0
    for n in range(LOGS):
        halo = measure_halos(known_and_blind(two_alike, seed=900 + n), five_grades, confidence=0.95)
        called += not interval_holds(halo[0].difference, 0.0)
    assert called <= MOST_CALLED


def test_a_halo_takes_one_grader_both_ways(two_alike, draw_entries, five_grades):
    entries = draw_entries(two_alike, seed=1)
    other = entries.assign(blind=entries["grader"].map({"A": "yes", "B": "no"}))
    assert measure_halos(other, five_grades, confidence=0.95) == ()


def test_the_model_finds_shift_and_reliability(two_alike, draw_entries, five_grades):
    strict = replace(two_alike, graders=(GraderTruth(name="A", strict=1.0), GraderTruth(name="B")))
    entries = draw_entries(strict, seed=5, firings=40, pieces=6)
    shifts = fit_shifts(build_ratings(entries, five_grades), confidence=0.99)
    assert interval_holds(shifts.shifts[0], -0.5)
    assert interval_holds(shifts.reliability, strict.reliability())


def test_shifts_of_all_graders_sum_to_nothing(two_alike, draw_entries, five_grades):
    three = replace(two_alike, graders=(*two_alike.graders, GraderTruth(name="C", strict=0.7)))
    entries = draw_entries(three, seed=5)
    shifts = fit_shifts(build_ratings(entries, five_grades), confidence=0.95)
    assert sum(shift.value for shift in shifts.shifts) == pytest.approx(0.0, abs=1e-10)


def test_perfect_agreement_has_no_reliability_to_tell(make_ratings):
    shifts = fit_shifts(make_ratings([[n % 5, n % 5] for n in range(30)]), confidence=0.95)
    assert shifts.status is not FitStatus.CONVERGED
    assert shifts.shifts is None
    assert np.isnan(shifts.reliability.value)


def test_a_reliability_of_nothing_corrects_nothing():
    assert np.isnan(shrinkage_factor(0.0))
