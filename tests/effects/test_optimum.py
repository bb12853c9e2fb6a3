"""Best values: inside, at the edge, or not to be told."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import special

from outcomes.design.matrix import find_term
from outcomes.effects.along import build_path, predict_along, tried_range
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.curves import build_curves
from outcomes.effects.fieller import build_fieller_set
from outcomes.effects.optimum import BestKind, find_optimum
from outcomes.log.codebook import Direction
from outcomes.model.fit import FitOptions, Penalty
from outcomes.resampling.intervals import jackknife_covariance


def temperatures(columns, low: float, high: float):
    """Keep the pieces of firings pulled between two temperatures."""
    at = np.array(columns["pull_temp_c"])
    kept = np.flatnonzero((at >= low) & (at <= high))
    return {name: [values[i] for i in kept] for name, values in columns.items()}


def made_sure(evidence):
    """Return the evidence with its jackknife errors a third as large.

    The log's own leave the curvature open (method_in_depth.md §8); this makes every limit
    finite and changes no formula.
    """
    whole = evidence.fit.parameters()
    return replace(evidence, without=whole + (evidence.without - whole) / 3.0)


@pytest.fixture(scope="module")
def clear(make_log, learn, invent):
    columns = invent(np.random.default_rng(5), firings=36, window=1.2)
    return learn(make_log(columns), "luster", resamples=150)


def test_the_best_pull_of_24_firings_is_the_referees(synthetic_a, learn, reference):
    evidence = learn(synthetic_a, "luster", options=FitOptions(penalty=Penalty.NONE))
    term = find_term(evidence.design.spec, "pull_temp")
    expected = reference("P30_synth_firings_A")["expected"]["pull_optimum"]["degrees"]
    assert expected == pytest.approx(find_optimum(evidence, "pull_temp").best, abs=0.01)
    assert len(term.columns) == 2


def test_along_a_parabola_the_limits_are_fiellers(synthetic_a, learn):
    evidence = learn(synthetic_a, "luster", options=FitOptions(penalty=Penalty.NONE))
    evidence = made_sure(evidence)
    found = find_optimum(evidence, "pull_temp")
    term = find_term(evidence.design.spec, "pull_temp")
    slopes = evidence.without[:, evidence.n_grades - 1 :][:, list(term.slots)]
    closed = [
        build_fieller_set(
            *evidence.fit.slopes[list(term.slots)],
            jackknife_covariance(slopes),
            -float(special.stdtrit(df, 0.025)),
        )
        for df in (23.0, 4.0)
    ]
    assert found.kind is BestKind.INSIDE
    (sure_low, sure_high), (wide_low, wide_high) = (
        (term.centre + term.scale * c.low, term.centre + term.scale * c.high) for c in closed
    )
    assert wide_low < found.low <= sure_low + 0.05
    assert sure_high - 0.05 <= found.high < wide_high


def test_the_log_of_24_firings_does_not_establish_a_window(synthetic_a, learn):
    # method_in_depth.md §8: curvature t = -1.64, "a window is not established".
    found = find_optimum(learn(synthetic_a, "luster"), "pull_temp")
    assert not found.is_window


def test_a_clear_window_is_bounded_on_both_sides(clear):
    found = find_optimum(clear, "pull_temp_c")
    assert found.kind is BestKind.INSIDE
    assert found.low < 970.0 < found.high
    assert found.tried_low < found.low
    assert found.high < found.tried_high
    assert found.low <= found.best <= found.high
    assert found.sentence.startswith("Best near 97")


def test_a_spline_is_used_where_the_log_is_rich(clear):
    assert len(find_term(clear.design.spec, "pull_temp_c").columns) == 4


def test_hotter_is_still_better_at_the_edge_when_only_the_rise_was_tried(make_log, learn, invent):
    columns = invent(np.random.default_rng(5), firings=60, window=1.2)
    found = find_optimum(
        learn(make_log(temperatures(columns, 900.0, 968.0)), "luster"), "pull_temp_c"
    )
    assert found.kind in {BestKind.RISING, BestKind.AT_LEAST}
    assert found.high == found.tried_high
    assert "the edge of what you tried" in found.sentence
    assert not found.is_window


def test_a_setting_that_does_nothing_has_no_best_value(make_log, learn, invent):
    flat = [
        find_optimum(
            learn(make_log(invent(np.random.default_rng(s), firings=24)), "luster", resamples=2),
            "pull_temp_c",
        ).is_window
        for s in range(20)
    ]
    # At most 5 % expected; 4 or more of 20 would happen once in 60 times.
    assert sum(flat) <= 3


def test_fewer_is_better_for_an_outcome_nobody_wants(synthetic_a, learn):
    sure = made_sure(learn(synthetic_a, "luster"))
    outcomes = tuple(replace(o, wanted=Direction.LOWER) for o in sure.codebook.outcomes)
    turned = replace(sure, codebook=replace(sure.codebook, outcomes=outcomes))
    found = find_optimum(turned, "pull_temp")
    assert found.kind is BestKind.ENDS
    assert found.best in {found.tried_low, found.tried_high}


def test_under_six_firings_nothing_is_bounded(make_log, learn, invent):
    columns = invent(np.random.default_rng(2), firings=5, pieces=12)
    found = find_optimum(learn(make_log(columns), "luster"), "seconds_to_can")
    assert found.kind is BestKind.OPEN
    assert found.confidence is None
    assert found.near.sure_low is None
    assert (found.low, found.high) == (found.tried_low, found.tried_high)


def test_values_that_do_nearly_as_well_surround_the_best(clear):
    near = find_optimum(clear, "pull_temp_c").near
    path = build_path(clear.design, "pull_temp_c", points=31)
    reach = predict_along(clear, path, clear.fit.parameters()[None, :])[0]
    within = path.values[reach >= reach.max() - 0.05]
    assert [within[0], within[-1]] == pytest.approx([near.low, near.high])
    assert near.best_reach == pytest.approx(reach.max())
    assert near.possible_low <= near.low <= near.high <= near.possible_high


def test_the_average_along_the_range_is_the_curves(clear):
    effects = estimate_contrasts(clear, choose_contrasts(clear.design, clear.codebook))
    (pull,) = [e for e in effects if e.contrast.factor == "pull_temp_c"]
    curve = build_curves(clear, [pull])[0]
    path = build_path(clear.design, "pull_temp_c", points=len(curve.at))
    assert curve.reach == pytest.approx(
        predict_along(clear, path, clear.fit.parameters()[None, :])[0]
    )
    assert tried_range(clear.design, "pull_temp_c") == (curve.at[0], curve.at[-1])
