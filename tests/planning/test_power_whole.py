"""A simulated trial is analysed as the same trial in a log is."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.planning.plan import Plan, Unit
from outcomes.planning.power_analysis import analyse_trials, stand_plain
from outcomes.planning.power_draw import draw_trials
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_lot import permute_trials
from outcomes.planning.power_truth import Truth
from outcomes.planning.testing import run_trial
from outcomes.planning.trial import TrialOptions

FIRINGS = 10  # 252 ways to draw the lot of whole firings: all are looked at
CLOSE = 1e-7  # the gradient of a log's contrast is a difference quotient, good to 1e-9


def made_counts(unit: Unit, *, firing_sd: float = 0.8) -> tuple[np.ndarray, Layout]:
    truth = Truth(shares=(0.1, 0.2, 0.3, 0.25, 0.15), aim=3, change=0.2, firing_sd=firing_sd)
    layout = Layout(firings=FIRINGS, sizes=(5, 6, 8), assigned=unit)
    return draw_trials(truth, layout, 3, rng=np.random.default_rng(7)), layout


def as_columns(counts: np.ndarray) -> dict[str, list]:
    """The pieces of one trial as a log's columns."""
    rows = [
        (f"F{firing}", 6 if side == 0 else 18, grade)
        for (firing, side, grade), pieces in np.ndenumerate(counts)
        for _ in range(pieces)
    ]
    firing, to_can, luster = zip(*rows, strict=True)
    return {
        "firing_id": list(firing),
        "fired_on": [f"2026-05-{1 + int(name[1:]):02d}" for name in firing],
        "piece_id": [str(n) for n in range(len(rows))],
        "seconds_to_can": list(to_can),
        "luster": list(luster),
    }


def asked(plan: Plan, unit: Unit) -> Plan:
    """The plan of those trials, from the one other tests use."""
    factor = replace(plan.factors[0], name="seconds_to_can", values=(6.0, 18.0), assigned_to=unit)
    hypothesis = replace(
        plan.hypotheses[0], factor=factor.name, from_value=6.0, to_value=18.0, margin=15.0
    )
    return replace(plan, firings=FIRINGS, factors=(factor,), hypotheses=(hypothesis,))


@pytest.fixture(scope="module", params=list(Unit), ids=str)
def both(request, make_log, plan):
    """The simulated trials, their answers, and the same trials tested as logs."""
    counts, layout = made_counts(request.param)
    tested = [
        run_trial(
            asked(plan, request.param),
            make_log(as_columns(one)),
            options=TrialOptions(resamples=200),
            progress=lambda _: None,
        )
        .answers[0]
        .tested
        for one in counts
    ]
    rng = np.random.default_rng(3)
    return (
        analyse_trials(counts, 3),
        permute_trials(counts, layout, rng=rng),
        tested,
        request.param,
    )


def test_the_change_is_that_of_the_log(both):
    answers, _, tested, _ = both
    assert [one.effect.change for one in tested] == pytest.approx(list(answers.change), abs=CLOSE)


def test_the_error_and_its_degrees_of_freedom_are_those_of_the_log(both):
    answers, _, tested, _ = both
    assert [one.effect.standard_error for one in tested] == pytest.approx(
        list(answers.error), rel=CLOSE
    )
    assert [one.effect.df for one in tested] == pytest.approx(list(answers.df), rel=CLOSE)


def test_the_permutation_is_that_of_the_log(both):
    """Exact for whole firings; for pieces both are drawn, of 9 999 and of 999."""
    _, lots, tested, unit = both
    slack = 1e-12 if unit is Unit.FIRING else 4 * (0.25 / 999) ** 0.5
    for p_values, name in (
        (lots.p_more, "p_more"),
        (lots.p_fewer, "p_fewer"),
        (lots.p_either, "p_either"),
    ):
        expected = [getattr(one.permutation, name) for one in tested]
        assert expected == pytest.approx(list(p_values), abs=slack)


def test_a_grade_that_nobody_got_is_left_out_as_in_a_log():
    counts, _ = made_counts(Unit.FIRING)
    emptied = counts.copy()
    emptied[..., 4] = 0
    fewer = analyse_trials(emptied[..., :4], 3)
    answers = analyse_trials(emptied, 3)
    assert fewer.change.tolist() == answers.change.tolist()
    assert fewer.error.tolist() == answers.error.tolist()


def test_a_trial_in_which_nobody_reached_the_aim_gives_no_interval():
    counts, _ = made_counts(Unit.FIRING)
    counts = counts.copy()
    counts[0, ..., 3:] = 0
    answers = analyse_trials(counts, 3)
    assert [True, False, False] == np.isnan(answers.error).tolist()


def test_the_plain_fit_stands_where_sides_mix_and_no_firing_holds_a_grade_alone():
    both = np.array([[[3, 2, 1], [1, 2, 3]], [[2, 1, 1], [1, 1, 2]], [[1, 1, 1], [1, 1, 1]]])
    apart = both.copy()
    apart[:, 0, 1:], apart[:, 1, 0] = 0, 0
    alone = both.copy()
    alone[1:, :, 2] = 0
    assert [True, False, False] == stand_plain(np.stack([both, apart, alone])).tolist()
