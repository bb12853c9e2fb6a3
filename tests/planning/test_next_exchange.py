"""The search: published determinants, exhaustive search, and the rules it must keep."""

import itertools
import json
from pathlib import Path

import numpy as np
import pytest

from outcomes.errors import RequestError
from outcomes.planning.next_exchange import (
    Problem,
    measure_arrangement,
    obeys,
    planned_information,
    search_plan,
)
from outcomes.planning.next_model import PlanModel

P18 = json.loads(
    (Path(__file__).parents[1] / "reference" / "P18_d_optimality.json").read_text("utf-8")
)["expected"]
EXACT = 1e-6  # as the reference states
TINY = 1e-7  # lets a singular start have a determinant


def bare_model(base, tables, *, luck=0.0, weights=None, full=None):
    """A planning model of given columns without a log."""
    q = len(base)
    return PlanModel(
        outcome="x",
        base=np.asarray(base, dtype=float),
        tables=tuple(np.asarray(table, dtype=float) for table in tables),
        graded=tuple(np.ones(len(table), dtype=bool) for table in tables),
        full=np.zeros((q, q)) if full is None else full,
        precision=1.0,
        luck=luck,
        rows=np.zeros((1, q)),
        places=(),
        contrasts=np.zeros((0, q)),
        weights=np.eye(q) if weights is None else weights,
        pieces=1,
    )


def problem_of(model, *, firings, pieces=1, hard=(), repeats=0, pairs=None):
    sizes = np.array([len(table) for table in model.tables])
    return Problem(
        models=(model,),
        sizes=sizes,
        hard=np.array([j in hard for j in range(len(sizes))]),
        fixed=np.zeros(len(sizes), dtype=bool),
        start=np.zeros((firings, pieces, len(sizes)), dtype=np.int64),
        repeats=np.arange(firings) >= firings - repeats,
        pairs=pairs or {},
    )


def minus_log_determinant(model, information):
    bare = information - model.known() + TINY * np.eye(information.shape[-1])
    return -np.linalg.slogdet(bare)[1]


def best_determinant(model, runs, *, starts=100):
    problem = problem_of(model, firings=runs)
    found = search_plan(
        problem, starts=starts, rng=np.random.default_rng(18), measure=minus_log_determinant
    )
    return float(np.linalg.det(planned_information(model, found.index)))


def signs(q, places):
    """One table of -1 and +1 for each place among q columns."""
    return [np.array([-1.0, 1.0])[:, None] * np.eye(q)[place] for place in places]


def quadratic(points):
    """One table whose values are points of the plane, columns 1 x y xy xx yy."""
    x, y = np.array(list(points)).T
    return [np.column_stack([np.ones(len(x)), x, y, x * y, x**2, y**2])]


@pytest.mark.parametrize(("n", "expected"), [(int(n), d) for n, d in P18["max_det_pm1"].items()])
def test_the_largest_determinants_of_signs_are_reached(n, expected):
    found = best_determinant(bare_model(np.zeros(n), signs(n, range(n))), n, starts=400)
    assert expected**2 == pytest.approx(found, rel=EXACT)


@pytest.mark.parametrize(
    ("n", "expected"),
    [(int(n), d) for n, d in P18["main_effects_3_factors_best_det_XtX_by_n"].items()],
)
def test_three_settings_at_two_values_reach_the_published_determinants(n, expected):
    found = best_determinant(bare_model(np.eye(4)[0], signs(4, (1, 2, 3))), n)
    assert expected == pytest.approx(found, rel=EXACT)


@pytest.mark.parametrize(
    ("n", "expected"),
    [(int(n), d) for n, d in P18["quad2_best_on_3x3_grid_det_XtX_by_n"].items()],
)
def test_two_curved_settings_reach_the_published_determinants(n, expected):
    model = bare_model(np.zeros(6), quadratic(itertools.product((-1, 0, 1), repeat=2)))
    assert expected == pytest.approx(best_determinant(model, n), rel=EXACT)


def test_the_six_runs_of_box_and_draper_are_found_among_their_own_values():
    delta = P18["quad2_n6_delta"]
    grid = itertools.product((-1.0, -delta, 3 * delta, 1.0), repeat=2)
    found = best_determinant(bare_model(np.zeros(6), quadratic(grid)), 6)
    assert P18["quad2_n6_box_draper_det_XtX"] == pytest.approx(found, rel=EXACT)


def test_one_curved_setting_gets_a_third_of_the_runs_at_each_end_and_in_the_middle():
    x = np.round(np.linspace(-1, 1, 21), 10)
    model = bare_model(np.zeros(3), [np.column_stack([np.ones(21), x, x**2])])
    expected = P18["quadratic_one_factor_continuous_optimum"]["det_M"]
    assert expected == pytest.approx(best_determinant(model, 12) / 12**3, rel=EXACT)


@pytest.mark.parametrize("hard", [(), (0,)])
def test_exchange_finds_what_trying_everything_finds(hard):
    rng = np.random.default_rng(5)
    spread = rng.normal(size=(4, 4))
    model = bare_model(np.eye(3)[0], signs(3, (1, 2)), luck=0.5, full=(spread @ spread.T)[:3, :3])
    problem = problem_of(model, firings=2, pieces=2, hard=hard)
    every = np.array(list(itertools.product((0, 1), repeat=8))).reshape(-1, 2, 2, 2)
    if hard:
        every = every[(every[:, :, 0, 0] == every[:, :, 1, 0]).all(axis=1)]
    expected = float(measure_arrangement(problem, every).min())
    found = search_plan(problem, starts=50, rng=np.random.default_rng(1))
    assert expected == pytest.approx(found.value, rel=1e-9)


def wide_problem(**more):
    model = bare_model(np.eye(4)[0], signs(4, (1, 2, 3)), luck=0.3)
    return problem_of(model, firings=5, pieces=4, **more)


def test_what_is_hard_to_change_is_the_same_on_every_piece_of_a_firing():
    found = search_plan(wide_problem(hard=(1,)), starts=20, rng=np.random.default_rng(2))
    assert (found.index[:, :, 1] == found.index[:, :1, 1]).all()
    assert not (found.index[:, :, 0] == found.index[:, :1, 0]).all()


def test_firings_that_repeat_the_usual_settings_are_left_alone():
    found = search_plan(wide_problem(repeats=2), starts=20, rng=np.random.default_rng(2))
    assert (found.index[-2:] == 0).all()
    assert (found.index[:-2] != 0).any()


def test_values_that_must_not_meet_never_do():
    ok = np.array([[True, True], [True, False]])
    problem = wide_problem(hard=(0,), pairs={(0, 2): ok, (2, 0): ok.T})
    found = search_plan(problem, starts=20, rng=np.random.default_rng(4))
    assert obeys(problem, found.index)
    assert not ((found.index[..., 0] == 1) & (found.index[..., 2] == 1)).any()


def test_rules_that_leave_nothing_are_refused_in_words():
    nothing = np.zeros((2, 2), dtype=bool)
    with pytest.raises(RequestError, match=r"No arrangement keeps apart.*--never"):
        search_plan(
            wide_problem(pairs={(0, 2): nothing, (2, 0): nothing}),
            starts=5,
            rng=np.random.default_rng(4),
        )


def test_the_same_seed_finds_the_same_plan():
    first, second = (
        search_plan(wide_problem(), starts=10, rng=np.random.default_rng(6)) for _ in range(2)
    )
    np.testing.assert_array_equal(first.index, second.index)


def test_more_starts_never_find_a_worse_plan_than_a_habit_drawn_at_random():
    problem = wide_problem()
    drawn = np.random.default_rng(0).integers(2, size=(200, 5, 4, 3))
    found = search_plan(problem, starts=10, rng=np.random.default_rng(6))
    assert found.value <= float(measure_arrangement(problem, drawn).min())
