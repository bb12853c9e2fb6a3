"""Natural cubic splines as window columns."""

import numpy as np
import pandas as pd
import pytest
from scipy.interpolate import CubicSpline

from outcomes.design.matrix import build_design, find_term
from outcomes.design.shapes import build_term, build_term_columns, soften, straighten
from outcomes.design.splines import choose_knots, choose_turning, raw_columns, spline_columns
from outcomes.log.codebook import Factor, Kind, Role, Shape

WINDOW = Factor(
    name="x", label="Setting x", role=Role.SETTING, kind=Kind.NUMBER, shape=Shape.WINDOW, step=1.0
)


def term_of(n: int, *, firings: int, distinct: int = 1000):
    values = pd.Series(np.arange(float(n)) * 7 % distinct)
    return build_term(WINDOW, values, np.arange(n) * firings // n)[0], values


def test_the_columns_span_the_natural_splines_of_an_independent_library():
    knots = (-1.0, -0.4, 0.1, 0.5, 1.2)
    grid = np.linspace(-1.0, 1.2, 60)
    raw = np.column_stack([np.ones(60), raw_columns(grid, knots)])
    for heights in np.eye(5):
        natural = CubicSpline(knots, heights, bc_type="natural")(grid)
        fitted = raw @ np.linalg.lstsq(raw, natural, rcond=None)[0]
        assert natural == pytest.approx(fitted, abs=1e-10)


def test_beyond_the_outer_knots_the_columns_are_straight():
    knots = (-1.0, -0.4, 0.1, 0.5, 1.2)
    for ends in (np.linspace(-3.0, -1.0, 9), np.linspace(1.2, 4.0, 9)):
        bends = np.diff(raw_columns(ends, knots), n=2, axis=0)
        assert bends == pytest.approx(np.zeros_like(bends), abs=1e-10)


def test_the_columns_are_uncorrelated_and_as_wide_as_any_other():
    unit = np.random.default_rng(1).normal(size=300)
    knots = choose_knots(unit)
    columns = spline_columns(unit, knots, choose_turning(unit, knots))
    assert np.corrcoef(columns.T) == pytest.approx(np.eye(4), abs=1e-8)
    assert columns[:, 1:].std(axis=0) == pytest.approx([0.5] * 3)
    assert columns[:, 0] == pytest.approx(unit)


def test_a_window_is_a_spline_with_24_firings_and_20_values_and_a_parabola_under_that():
    assert len(term_of(192, firings=24)[0].columns) == 4
    assert term_of(184, firings=23)[0].columns == ("x", "x^2")
    assert term_of(192, firings=24, distinct=19)[0].columns == ("x", "x^2")


def test_heaped_values_whose_knots_meet_give_a_parabola():
    values = pd.Series([10.0] * 100 + [float(v) for v in range(30)] * 2)
    term, _ = build_term(WINDOW, values, np.arange(160) // 5)
    assert term.columns == ("x", "x^2")


def test_a_spline_softens_to_the_parabola_and_straightens_to_the_line_of_the_same_scale():
    term, values = term_of(192, firings=24)
    unit = (values.to_numpy() - term.centre) / term.scale
    assert build_term_columns(values, soften(term)) == pytest.approx(
        np.column_stack([unit, unit**2])
    )
    assert build_term_columns(values, straighten(term)) == pytest.approx(unit[:, None])


def test_the_columns_of_new_values_come_from_the_recipe_alone():
    term, values = term_of(192, firings=24)
    whole = build_term_columns(values, term)
    assert build_term_columns(values.iloc[5:6], term)[0] == pytest.approx(whole[5])


def test_splines_become_parabolas_before_anything_else_gives_way(make_log, codebook, year):
    columns = year(firings=24, pieces=4)
    n = len(columns["firing_id"])
    rng = np.random.default_rng(8)
    columns["pull_temp_c"] = rng.integers(900, 1040, n).astype(float).tolist()
    rich = build_design(make_log(columns), codebook.outcome("luster"))
    assert len(find_term(rich.spec, "pull_temp_c").columns) == 4
    columns["lid_delay_s"] = rng.integers(0, 40, n).astype(float).tolist()
    columns["glaze_thickness_mm"] = rng.normal(0.9, 0.3, n).round(2).tolist()
    columns["wall_thickness_mm"] = rng.normal(7.0, 1.0, n).round(1).tolist()
    columns["time_in_can_min"] = rng.integers(5, 60, n).astype(float).tolist()
    columns["can_volume_l"] = rng.integers(20, 60, n).astype(float).tolist()
    columns["burps"] = rng.integers(0, 4, n).astype(float).tolist()
    poor = build_design(make_log(columns), codebook.outcome("luster"))
    shapes = {t.factor: (t.shape, t.knots) for t in poor.spec.terms}
    assert shapes["lid_delay_s"] == (Shape.WINDOW, ())
    said = next(f for f in poor.findings if f.code == "too_many_columns")
    assert "ntered as parabolas: " in said.message
    assert "lid delay" in said.message
