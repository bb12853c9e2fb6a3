"""A setting that acts on some grades only is shown grade by grade."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from outcomes.doubts.check_proportional_odds import check_proportional_odds, either_p
from outcomes.doubts.grade_effects import f_test, is_testable, measure_grade_effects

CUTS = np.array([-1.5, -0.3, 0.6, 1.8])


@pytest.fixture(scope="module")
def top_only(make_log, learn, invent, draw_grades):
    """Dunking lets far more pieces reach the top grade and does nothing below it."""
    rng = np.random.default_rng(12)
    columns = invent(rng, firings=30, pieces=10)
    dunked = np.array(columns["quench"]) == "dunk"
    seconds = np.array(columns["seconds_to_can"])
    cut_points = CUTS + 0.3 * (seconds[:, None] - 10.0) * 0.3
    cut_points = cut_points - dunked[:, None] * np.array([0.0, 0.0, 0.0, 2.2])
    cut_points[:, 3] = np.maximum(cut_points[:, 3], cut_points[:, 2] + 0.02)
    return learn(make_log(columns | {"luster": draw_grades(rng, cut_points)}))


def test_a_setting_that_acts_on_the_top_grade_only_is_found(top_only, judge, codebook) -> None:
    grades = measure_grade_effects(top_only, judge(top_only))
    (finding,) = check_proportional_odds(grades, codebook)
    assert finding.code == "differs_by_grade"
    assert finding.column == "quench"
    assert "Quench does not act alike on every grade of luster" in finding.message
    assert "from 'none' to 'dunk' changes the number by" in finding.message
    assert finding.message.count("or above") == 4
    assert "grade by grade" in finding.advice


def test_the_free_changes_show_where_it_acts(top_only, judge) -> None:
    grades = measure_grade_effects(top_only, judge(top_only))
    cuts = next(one for one in grades if one.contrast.factor == "quench").cuts
    assert abs(cuts[0].free) < 0.08
    assert cuts[3].free > 0.12
    assert cuts[3].free > cuts[3].tied


def test_a_sound_year_tells_the_same_story_at_every_grade(sound, judge, codebook) -> None:
    grades = measure_grade_effects(sound, judge(sound))
    assert {one.contrast.factor for one in grades} == {
        "seconds_to_can",
        "combustible_g",
        "quench",
    }
    assert check_proportional_odds(grades, codebook) == ()


def test_a_difference_of_little_size_is_not_named_however_sure(sound, judge, codebook) -> None:
    (first, *rest) = measure_grade_effects(sound, judge(sound))
    cuts = tuple(replace(cut, free=cut.tied + 0.04) for cut in first.cuts)
    sure = replace(first, cuts=cuts, p_value=1e-6, trend_p=1e-6)
    assert check_proportional_odds([sure, *rest], codebook) == ()
    large = replace(sure, cuts=tuple(replace(cut, free=cut.tied + 0.3) for cut in first.cuts))
    assert len(check_proportional_odds([large, *rest], codebook)) == 1


def test_few_firings_are_not_tested_but_measured(make_log, learn, judge, invent, codebook) -> None:
    small = learn(make_log(invent(np.random.default_rng(3), firings=20)))
    grades = measure_grade_effects(small, judge(small))
    assert not is_testable(small.design)
    assert {either_p(one) for one in grades} == {None}
    assert len(grades[0].cuts) == 4
    assert check_proportional_odds(grades, codebook) == ()


def test_a_boundary_with_two_firings_above_is_not_tested(sound) -> None:
    design = sound.design
    assert is_testable(design)
    y = np.where((design.y == 4) & (design.firing > 1), 3, design.y)
    assert not is_testable(replace(design, y=y))


def test_yes_no_outcomes_have_no_boundaries_to_compare(make_log, learn, judge, invent) -> None:
    columns = invent(np.random.default_rng(3))
    columns["cracked"] = ["yes" if grade > 2 else "no" for grade in columns.pop("luster")]
    evidence = learn(make_log(columns), "cracked")
    assert measure_grade_effects(evidence, judge(evidence)) == ()


def test_the_joint_test_of_one_number_is_the_squared_t() -> None:
    values = np.array([0.4, 1.1, -0.3, 0.8, 0.5, 0.9])
    error = np.sqrt(5 / 6 * ((values - values.mean()) ** 2).sum())
    statistic, df, p = f_test(np.array([2.0]), values[:, None])
    assert (2.0 / error) ** 2 == pytest.approx(statistic)
    assert df == (1, 5)
    assert 2 * stats.t.sf(2.0 / error, 5) == pytest.approx(p)
