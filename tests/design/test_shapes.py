"""How one factor becomes columns."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from outcomes.design.shapes import (
    build_term,
    build_term_columns,
    pool_level,
    straighten,
)
from outcomes.log.codebook import Factor, Kind, Role, Shape


def factor(shape: Shape, *, kind: Kind = Kind.NUMBER, step: float | None = 1.0) -> Factor:
    return Factor(name="x", label="Setting x", role=Role.SETTING, kind=kind, shape=shape, step=step)


def firing(n: int, size: int = 4) -> np.ndarray:
    return np.arange(n) // size


def test_a_straight_column_is_centred_at_the_median_and_spans_two_standard_deviations():
    values = pd.Series(np.arange(3.0, 63.0))
    term, _ = build_term(factor(Shape.STRAIGHT), values, firing(60))
    columns = build_term_columns(values, term)
    assert np.median(columns) == pytest.approx(0.0)
    assert columns.std() == pytest.approx(0.5)


def test_a_column_that_spans_less_than_a_step_is_scaled_to_the_step():
    values = pd.Series(np.tile([980.0, 982.0, 984.0], 10))
    term, _ = build_term(factor(Shape.STRAIGHT, step=10.0), values, firing(30))
    assert term.scale == pytest.approx(10.0)


def test_a_window_has_a_straight_and_a_squared_column():
    values = pd.Series(np.arange(48.0))
    term, said = build_term(factor(Shape.WINDOW), values, firing(48))
    columns = build_term_columns(values, term)
    assert term.columns == ("x", "x^2")
    assert columns[:, 1] == pytest.approx(columns[:, 0] ** 2)
    assert said == ()


@pytest.mark.parametrize("values", [np.arange(39.0), np.arange(60.0) % 11])
def test_a_window_needs_twelve_values_and_forty_pieces(values):
    term, said = build_term(factor(Shape.WINDOW), pd.Series(values), firing(len(values)))
    assert term.shape is Shape.STRAIGHT
    assert said[0].code == "window_straightened"
    assert f"{len(values)} pieces" in said[0].message


def test_a_saturating_column_is_the_logarithm_after_one_step():
    values = pd.Series([0.0, 10.0, 30.0, 70.0] * 5)
    term, _ = build_term(factor(Shape.SATURATING, step=10.0), values, firing(20))
    unit = build_term_columns(values, term)[:4, 0]
    assert np.diff(unit) == pytest.approx(np.full(3, unit[1] - unit[0]))


def test_the_commonest_level_is_the_reference():
    values = pd.Series(["a", "b", "b", "c"] * 6, dtype=object)
    term, _ = build_term(factor(Shape.LEVELS, kind=Kind.NAME), values, firing(24))
    assert term.levels == ("b", "a", "c")
    assert build_term_columns(values, term)[:4].tolist() == [[1, 0], [0, 0], [0, 0], [0, 1]]


def test_levels_seen_in_fewer_than_three_firings_are_counted_together_and_said():
    values = pd.Series(["a"] * 20 + ["b"] * 12 + ["c"] * 2 + ["d"] * 2, dtype=object)
    term, said = build_term(factor(Shape.LEVELS, kind=Kind.NAME), values, firing(36))
    assert term.levels == ("a", "b", "other")
    assert dict(term.pooled) == {"c": "other", "d": "other"}
    assert "fewer than 3 firings is counted with something else" in said[0].message
    assert "'c' as 'other', 'd' as 'other'" in said[0].message
    assert build_term_columns(values, term)[-1].tolist() == [0.0, 1.0]


def test_a_rare_level_of_a_condition_joins_its_neighbour_and_it_is_said():
    values = pd.Series(["light"] * 20 + ["calm"] * 14 + ["strong"] * 2, dtype=object)
    wind = replace(
        factor(Shape.LEVELS, kind=Kind.LEVELS),
        role=Role.CONDITION,
        levels=("calm", "light", "strong"),
    )
    term, said = build_term(wind, values, firing(36))
    assert term.levels == ("light", "calm")
    assert dict(term.pooled) == {"strong": "light"}
    assert "'strong' as 'light'" in said[0].message


def test_the_rarer_of_two_levels_is_never_pooled():
    values = pd.Series(["no"] * 30 + ["yes"] * 6, dtype=object)
    term, _ = build_term(factor(Shape.LEVELS, kind=Kind.LEVELS), values, firing(36))
    assert term.levels == ("no", "yes")


def test_a_level_the_log_never_held_is_read_as_the_reference():
    values = pd.Series(["a", "b"] * 12, dtype=object)
    term, _ = build_term(factor(Shape.LEVELS, kind=Kind.NAME), values, firing(24))
    assert build_term_columns(pd.Series(["z"]), term).tolist() == [[0.0]]


def test_a_factor_constant_within_every_firing_is_marked_so():
    number = firing(24)
    between, _ = build_term(factor(Shape.STRAIGHT), pd.Series(number * 1.0), number)
    within, _ = build_term(factor(Shape.STRAIGHT), pd.Series(np.arange(24.0)), number)
    assert between.between
    assert not within.between


def test_straightening_keeps_the_straight_column():
    values = pd.Series(np.arange(48.0))
    term, _ = build_term(factor(Shape.WINDOW), values, firing(48))
    curved = build_term_columns(values, term)
    assert build_term_columns(values, straighten(term))[:, 0] == pytest.approx(curved[:, 0])


def test_a_pooled_level_is_counted_with_the_reference():
    values = pd.Series(["a"] * 12 + ["b"] * 8 + ["c"] * 2 + ["d"] * 2, dtype=object)
    term, _ = build_term(factor(Shape.LEVELS, kind=Kind.NAME), values, firing(24, 2))
    smaller = pool_level(term, "other")
    assert smaller.columns == ("x=b",)
    assert build_term_columns(values, smaller)[-4:].tolist() == [[0.0]] * 4
