"""Columns that repeat one another exactly."""

import numpy as np

from outcomes.design.matrix import build_design


def terms(design) -> set[str]:
    return {term.factor for term in design.spec.terms}


def left(design) -> dict[str, object]:
    return {out.factor: out for out in design.excluded}


def test_two_habits_that_always_move_together_are_named_in_words(make_log, codebook, year):
    columns = year()
    columns["seal"] = ["yes" if q == "dunk" else "no" for q in columns["quench"]]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    out = left(design)["seal"]
    assert out.code == "aliased"
    assert out.with_factors == ("quench",)
    assert "Can sealed: in this log it always moved together with Quench" in out.reason
    assert "quench" in terms(design)


def test_independent_habits_are_not_called_aliased(make_log, codebook, year):
    design = build_design(make_log(year()), codebook.outcome("luster"))
    assert not [out for out in design.excluded if out.code == "aliased"]


def test_a_setting_determined_by_two_others_names_both(make_log, codebook, year):
    columns = year()
    columns["burps"] = [
        float(q == "dunk") + float(s == "yes")
        for q, s in zip(columns["quench"], columns["seal"], strict=True)
    ]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    assert left(design)["burps"].with_factors == ("quench", "seal")


def test_a_setting_is_kept_before_a_grouping_that_repeats_it(make_log, codebook, year):
    columns = year()
    columns["maker"] = ["K" if q == "dunk" else "W" for q in columns["quench"]]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    assert "quench" in terms(design)
    assert left(design)["maker"].code == "aliased"


def test_a_level_that_repeats_another_column_is_counted_with_the_reference(
    make_log, codebook, year
):
    columns = year()
    columns["maker"] = [
        "L" if q == "dunk" else m for q, m in zip(columns["quench"], columns["maker"], strict=True)
    ]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    maker = next(term for term in design.spec.terms if term.factor == "maker")
    assert len(maker.columns) == 1
    said = next(f for f in design.findings if f.code == "partly_aliased")
    assert "exactly determined by Quench" in said.message


def test_what_is_left_has_full_rank(make_log, codebook, year):
    columns = year()
    columns["seal"] = ["yes" if q == "dunk" else "no" for q in columns["quench"]]
    columns["maker"] = ["K" if q == "dunk" else "W" for q in columns["quench"]]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    with_intercept = np.column_stack([np.ones(len(design.X)), design.X])
    assert np.linalg.matrix_rank(with_intercept) == design.spec.n_columns + 1


def test_a_window_whose_straight_part_repeats_another_setting_leaves(make_log, codebook, year):
    columns = year(firings=30)
    columns["combustible_g"] = [2.0 * t - 1700.0 for t in columns["pull_temp_c"]]
    columns["can_volume_l"] = [t / 10.0 for t in columns["pull_temp_c"]]
    design = build_design(make_log(columns), codebook.outcome("luster"))
    assert left(design)["can_volume_l"].with_factors == ("pull_temp_c",)
    assert next(t for t in design.spec.terms if t.factor == "pull_temp_c").columns == (
        "pull_temp_c",
        "pull_temp_c^2",
    )
