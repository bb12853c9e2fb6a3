"""How many columns a log can carry, and what gives way."""

import numpy as np
import pytest

from outcomes.design.budget import effective_pieces, largest_columns
from outcomes.design.matrix import build_design
from outcomes.log.codebook import Shape


def terms(design) -> list[str]:
    return [term.factor for term in design.spec.terms]


def left(design) -> set[str]:
    return {out.factor for out in design.excluded if out.code == "too_many_columns"}


def test_rare_grades_make_pieces_worth_less():
    # Whitehead (1993): N - sum(n^3)/N^2; 90 no and 10 yes: 100 - (729000 + 1000)/10000
    assert effective_pieces(np.repeat([0, 1], [90, 10])) == pytest.approx(27.0)


def test_the_limit_is_the_smaller_of_pieces_and_firings():
    grade = np.tile(np.arange(5), 40)
    assert largest_columns(grade, 12) == 10
    assert largest_columns(grade, 100) == 38
    assert largest_columns(grade, 2) == 1


def test_a_log_with_room_loses_nothing(make_log, codebook, year):
    design = build_design(make_log(year(firings=30)), codebook.outcome("luster"))
    assert left(design) == set()
    assert not [f for f in design.findings if f.code == "too_many_columns"]


def test_conditions_leave_before_anything_else_and_the_trend_last_of_them(make_log, codebook, year):
    design = build_design(make_log(year(firings=10, pieces=8)), codebook.outcome("luster"))
    assert left(design) == {"humidity_pct"}
    assert "date_trend" in terms(design)
    design = build_design(make_log(year(firings=9, pieces=8)), codebook.outcome("luster"))
    assert left(design) == {"humidity_pct", "date_trend"}


def test_windows_are_straightened_before_groupings_leave(make_log, codebook, year):
    columns = year(firings=9, pieces=12)
    columns["lid_delay_s"] = [float(i % 17) for i in range(108)]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    shapes = {term.factor: term.shape for term in design.spec.terms}
    assert shapes["lid_delay_s"] is Shape.STRAIGHT
    assert design.spec.n_columns <= 7


def test_settings_leave_last_and_everything_is_said(make_log, codebook, year):
    design = build_design(make_log(year(firings=6, pieces=10)), codebook.outcome("luster"))
    assert design.spec.n_columns == 4
    assert {"humidity_pct", "date_trend", "maker"} <= left(design)
    assert "glaze" in terms(design)
    said = next(f for f in design.findings if f.code == "too_many_columns")
    assert "60 graded pieces from 6 firings can carry 4 columns" in said.message
    assert "drift over the year" in said.message
    labels = [codebook.factor(name).label for name in left(design) - {"date_trend"}]
    assert all(label[1:] in said.message for label in labels)
    assert not any(name in said.message for name in left(design) if "_" in name)


def test_the_smallest_log_still_keeps_one_factor(tiny_log, codebook):
    design = build_design(tiny_log, codebook.outcome("luster"))
    assert len(design.spec.terms) == 1


def test_a_factor_of_one_usual_level_and_rare_ones_survives_the_pooling(make_log, codebook, year):
    columns = year(firings=9, pieces=12)
    columns["form"] = ["bowl"] * 90 + [f"form {i // 4}" for i in range(18)]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    form = [term for term in design.spec.terms if term.factor == "form"]
    assert [term.levels for term in form] in ([], [("bowl", "other")])
    assert design.spec.n_columns <= 7
