"""One outcome's analysis table."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_columns, build_design, find_term
from outcomes.log.codebook import Role


@pytest.fixture
def design(make_log, codebook, year):
    return build_design(make_log(year(firings=30)), codebook.outcome("luster"))


def test_settings_conditions_groupings_and_the_trend_all_enter(design):
    assert [(term.factor, term.role) for term in design.spec.terms] == [
        ("glaze", Role.SETTING),
        ("pull_temp_c", Role.SETTING),
        ("seconds_to_can", Role.SETTING),
        ("combustible_g", Role.SETTING),
        ("quench", Role.SETTING),
        ("seal", Role.SETTING),
        ("maker", Role.GROUPING),
        ("humidity_pct", Role.CONDITION),
        ("date_trend", Role.CONDITION),
    ]


def test_the_recipe_rebuilds_the_same_columns(design):
    assert build_columns(design.frame, design.spec).tolist() == design.X.tolist()


def test_every_column_belongs_to_one_term(design):
    slots = [slot for term in design.spec.terms for slot in term.slots]
    assert slots == list(range(design.spec.n_columns))
    assert design.X.shape == (180, design.spec.n_columns)


def test_a_blank_condition_in_a_new_frame_gets_the_recipes_fill(design):
    blank = design.frame.head(1).assign(humidity_pct=np.nan)
    term = find_term(design.spec, "humidity_pct")
    filled = design.frame.head(1).assign(humidity_pct=term.fill)
    assert build_columns(blank, design.spec).tolist() == (
        build_columns(filled, design.spec).tolist()
    )


def test_a_short_log_has_no_trend(make_log, codebook, year):
    columns = year(firings=30)
    columns["fired_on"] = [f"2025-03-{1 + i // 6:02d}" for i in range(180)]
    short = build_design(make_log(columns), codebook.outcome("luster"))
    assert "date_trend" not in {term.factor for term in short.spec.terms}


def test_unused_grades_are_left_out_and_said(make_log, codebook, year):
    columns = year(firings=30)
    columns["luster"] = [3.0 if grade == 1.0 else grade for grade in columns["luster"]]
    merged = build_design(make_log(columns), codebook.outcome("luster"))
    assert merged.grades == (0, 2, 3, 4)
    assert set(merged.y.tolist()) == {0, 1, 2, 3}
    assert merged.grades[merged.aim] == codebook.outcome("luster").aim
    said = next(f for f in merged.findings if f.code == "grades_unused")
    assert "no piece was graded 'trace'" in said.message or "'1'" in said.message


def test_an_aim_nobody_reached_moves_down_and_is_said(make_log, codebook, year):
    columns = year(firings=30)
    columns["luster"] = [min(grade, 2.0) for grade in columns["luster"]]
    moved = build_design(make_log(columns), codebook.outcome("luster"))
    assert moved.grades[moved.aim] == 2
    said = next(f for f in moved.findings if f.code == "aim_moved")
    assert "no piece reached the aim" in said.message


def test_one_grade_only_is_refused_in_a_sentence(make_log, codebook, year):
    columns = year()
    columns["luster"] = [2.0] * 84
    why = build_design(make_log(columns), codebook.outcome("luster"))
    assert "all 84 usable pieces have the grade" in why
    assert why.endswith("are needed.")


def test_nothing_complete_is_refused_in_a_sentence(make_log, codebook):
    columns = {
        "firing_id": ["1", "1", "2", "2", "3", "3"],
        "luster": [0, None, 1, None, 2, None],
        "quench": [None, "none", None, "dunk", None, "none"],
    }
    why = build_design(make_log(columns), codebook.outcome("luster"))
    assert why == (
        "Luster: nothing that was written down varied over its 3 usable pieces, so nothing can "
        "be compared. Vary one setting between firings."
    )


def test_row_order_does_not_matter(make_log, codebook, year):
    columns = year(firings=30)
    log = make_log(columns)
    order = np.random.default_rng(3).permutation(180)
    shuffled = replace(
        log,
        values=log.values.iloc[order].reset_index(drop=True),
        how=log.how.iloc[order].reset_index(drop=True),
        origin=log.origin.iloc[order].reset_index(drop=True),
    )
    one = build_design(log, codebook.outcome("luster"))
    two = build_design(shuffled, codebook.outcome("luster"))
    assert two.spec.n_columns == one.spec.n_columns
    assert pytest.approx(one.X[order]) == two.X


def test_a_log_without_firing_ids_still_has_firings(make_log, codebook, year):
    columns = {name: values for name, values in year().items() if name != "firing_id"}
    by_date = build_design(make_log(columns), codebook.outcome("luster"))
    assert len(by_date.firing_names) == 14


def test_a_log_of_one_firing_is_refused_in_a_sentence(make_log, codebook, year):
    why = build_design(make_log(year(firings=1, pieces=20)), codebook.outcome("luster"))
    assert why == (
        "Luster: all 20 usable pieces are of one firing, so nothing can be told from that "
        "firing's luck. Grade pieces from more firings."
    )
