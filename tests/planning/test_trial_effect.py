"""The change of a trial is right whatever the setting does to the single boundaries."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.design import Design
from outcomes.planning.trial_effect import cut_at_aim, cut_everywhere, estimate_effect
from outcomes.planning.trial_estimate import TrialModel, build_model
from outcomes.planning.trial_pieces import find_pieces

# Both ends gain, the middle loses: 30 in 100 at the aim (grade 3) before, 49 after.
BEFORE, AFTER = (0.1, 0.2, 0.4, 0.2, 0.1), (0.35, 0.1, 0.05, 0.1, 0.4)
FIRINGS, EACH = 24, 8


@pytest.fixture
def spread(plan, make_log):
    """The model of a trial whose grades move apart, a lot within each firing."""

    def make(seed: int) -> TrialModel:
        rng = np.random.default_rng(seed)
        rows = [
            (f"F{firing}", at, int(rng.choice(5, p=BEFORE if at == 4 else AFTER)))
            for firing in range(FIRINGS)
            for at in rng.permutation([4, 16] * (EACH // 2)).tolist()
        ]
        firing, minutes, grades = zip(*rows, strict=True)
        log = make_log({
            "firing_id": list(firing),
            "fired_on": [f"2026-05-{1 + int(name[1:]):02d}" for name in firing],
            "piece_id": [str(n) for n in range(len(rows))],
            "time_in_can_min": list(minutes),
            "luster": list(grades),
        })  # fmt: skip
        trial = replace(plan, adjust_for=())
        hypothesis = trial.hypotheses[0]
        counted = np.ones(len(rows), dtype=bool)
        pieces = find_pieces(trial, hypothesis, log, counted=counted)
        model = build_model(trial, hypothesis, log, pieces=pieces)
        assert isinstance(model, TrialModel)
        return model

    return make


def arm_of(design: Design) -> np.ndarray:
    return np.asarray(design.X[:, 0] > design.X[:, 0].min())


def measure(model: TrialModel):
    rng = np.random.default_rng(1)
    effect = estimate_effect(model, resamples=50, confidence=0.95, rng=rng)
    assert not isinstance(effect, str)
    return effect


def test_the_change_is_the_difference_of_the_counted_shares(spread):
    model = spread(3)
    design, effect = model.design, measure(model)
    arm, reached = arm_of(design), design.y >= design.aim
    first = model.design.spec.terms[0].levels[0] == "4"
    sign = 1.0 if first else -1.0
    expected = sign * (reached[arm].mean() - reached[~arm].mean())
    assert effect.change == pytest.approx(expected, abs=1e-6)
    grades = sign * (design.y[arm].mean() - design.y[~arm].mean())
    assert effect.mean_grade_change == pytest.approx(grades, abs=1e-6)


def test_intervals_hold_the_truth_where_the_boundaries_move_apart(spread):
    truth = sum(AFTER[3:]) - sum(BEFORE[3:])
    mean = float(np.dot(range(5), AFTER) - np.dot(range(5), BEFORE))
    held = grades = 0
    for seed in range(100):
        effect = measure(spread(seed))
        held += effect.interval.low <= truth <= effect.interval.high
        grades += effect.mean_grade_interval.low <= mean <= effect.mean_grade_interval.high
    # Binomial, 100 logs, 95 in 100: fewer than 86 once in 10 000 times.
    assert held >= 86
    assert grades >= 86


def test_a_cut_table_keeps_pieces_in_their_firings(spread):
    design = spread(5).design
    every, one = cut_everywhere(design), cut_at_aim(design)
    assert len(every.y) == (design.grades[-1] - design.grades[0]) * len(design.y)
    assert every.y.reshape(-1, len(design.y)).sum(axis=0).tolist() == design.y.tolist()
    assert every.firing[: len(design.y)].tolist() == design.firing.tolist()
    assert one.y.tolist() == (design.y >= design.aim).tolist()
