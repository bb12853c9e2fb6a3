"""Cells against the codebook's ranges, with the maker's own rows."""

import math
from dataclasses import replace

import numpy as np
import pytest

from outcomes.finding import Severity
from outcomes.log.checks import check_log, refusal, set_impossible_aside
from outcomes.log.codebook import Range
from outcomes.log.firing_log import How
from outcomes.log.value_rules import (
    build_implausible_rules,
    build_impossible_rules,
    find_failures,
)


def temperatures(**odd):
    return {"pull_temp_c": [odd.get(f"at{i}", 960 + i) for i in range(24)]}


def test_a_clean_log_has_no_finding(twelve):
    assert check_log(twelve()) == ()


def test_an_impossible_value_is_named_with_row_column_text_range_and_remedy(twelve):
    log = twelve(
        temperatures(at3=9600),
        headers={"pull_temp_c": "Pull temp"},
        written={("pull_temp_c", 3): "9600 "},
    )
    (finding,) = check_log(log)
    assert finding.code == "impossible_value"
    assert finding.severity is Severity.WARNING
    assert finding.message == (
        "log.csv, column Pull temp: 1 cell outside what is possible, set aside as a slip of the "
        "pen: row 5 '9600 '. Expected a number from 400 to 1250 °C."
    )
    assert finding.advice.startswith("Correct the cell.")
    assert (finding.column, finding.rows, finding.file) == ("Pull temp", (5,), None)


def test_the_range_is_said_in_the_unit_of_the_header(twelve):
    log = twelve(temperatures(at3=9600))
    headers = tuple(replace(h, unit="F") if h.column == "pull_temp_c" else h for h in log.headers)
    (finding,) = check_log(replace(log, headers=headers))
    assert "from 752 to 2282 °F (400 to 1250 °C)" in finding.message


def test_cells_of_one_rule_are_gathered_five_named_and_all_rows_kept(twelve, of_code):
    log = twelve({"seconds_to_can": [5 + i if i < 16 else 700 + i for i in range(24)]})
    (finding,) = of_code(check_log(log), "impossible_value")
    assert "8 cells" in finding.message
    assert "row 18 '716', row 19 '717', row 20 '718', row 21 '719', row 22 '720' and 3 more" in (
        finding.message
    )
    assert tuple(range(18, 26)) == finding.rows


def test_an_implausible_value_is_kept_and_asked_about(twelve):
    log = twelve(temperatures(at0=1200))
    (finding,) = check_log(log)
    assert finding.code == "implausible_value"
    assert "kept as written: row 2 '1200'. Usual is 760 to 1060 °C." in finding.message
    assert set_impossible_aside(log) is log


def test_an_impossible_value_is_not_called_implausible_too(twelve):
    codes = [finding.code for finding in check_log(twelve(temperatures(at0=5000)))]
    assert codes == ["impossible_value"]


@pytest.mark.parametrize("endless", [math.inf, -math.inf])
def test_infinity_is_impossible(twelve, endless):
    (finding,) = check_log(twelve(temperatures(at1=endless)))
    assert (finding.code, finding.rows) == ("impossible_value", (3,))


def test_infinity_is_impossible_where_the_codebook_sets_no_range(twelve, codebook):
    factors = tuple(
        replace(f, possible=None, plausible=None) if f.name == "pull_temp_c" else f
        for f in codebook.factors
    )
    log = twelve(temperatures(at1=math.inf), codebook=replace(codebook, factors=factors))
    (finding,) = check_log(log)
    assert "row 3 'inf'. Expected a number in °C." in finding.message


@pytest.mark.parametrize("end", [400.0, 1250.0])
def test_the_ends_of_the_possible_range_are_possible(twelve, end, of_code):
    assert of_code(check_log(twelve(temperatures(at1=end))), "impossible_value") == []


@pytest.mark.parametrize("beyond", [399.999, 1250.001])
def test_just_beyond_the_possible_range_is_impossible(twelve, beyond, of_code):
    found = of_code(check_log(twelve(temperatures(at1=beyond))), "impossible_value")
    assert [finding.rows for finding in found] == [(3,)]


def test_blanks_break_no_rule(twelve):
    assert (
        find_failures(
            twelve(temperatures(at0=None, at1=None)).values,
            build_impossible_rules(twelve().codebook),
        )
        == {}
    )


def test_a_level_and_a_grade_outside_the_codebook_are_impossible(twelve, of_code):
    quench = ["none", "mist", "dunk", "blue"] * 6
    log = twelve({"quench": quench, "luster": [7, *[i % 5 for i in range(1, 24)]]})
    level, grade = of_code(check_log(log), "impossible_value")
    assert "Expected one of none, mist or dunk." in level.message
    assert len(level.rows) == 6
    assert "row 2 '7'. Expected one of 0, 1, 2, 3 or 4." in grade.message


def test_rows_of_several_files_are_told_apart(twelve, of_code):
    log = twelve(temperatures(at2=9999, at14=9998), files=["spring.csv"] * 12 + ["autumn.csv"] * 12)
    spring, autumn = of_code(check_log(log), "impossible_value")
    assert (spring.file, spring.rows) == ("spring.csv", (4,))
    assert (autumn.file, autumn.rows) == ("autumn.csv", (4,))
    assert "autumn.csv, column pull_temp_c: 1 cell" in autumn.message
    assert "'9999'" not in autumn.message


def test_repeated_labels_in_the_index_lose_no_row(twelve):
    log = twelve(temperatures(at2=9999, at14=9998))
    shuffled = replace(log, values=log.values.set_axis([0, 1] * 12))
    failures = find_failures(shuffled.values, build_impossible_rules(log.codebook))
    assert failures["pull_temp_c", "impossible_value"].tolist() == [2, 14]


def test_a_column_of_the_wrong_type_is_reported_and_not_coerced(twelve, of_code):
    log = twelve(temperatures())
    as_text = log.values.assign(pull_temp_c=log.values["pull_temp_c"].astype(str).astype(object))
    found = of_code(check_log(replace(log, values=as_text)), "unexpected_type")
    assert len(found) == 1
    assert found[0].severity is Severity.PROBLEM
    assert "pull_temp_c" in found[0].message


def test_setting_aside_blanks_only_the_cells_concerned(twelve):
    quench = ["none", "mist", "dunk", "blue"] + ["none", "mist"] * 10
    log = twelve(temperatures(at2=9999) | {"quench": quench})
    usable = set_impossible_aside(log)
    assert np.isnan(usable.values["pull_temp_c"][2])
    assert usable.values["quench"][3] is None
    assert usable.values["pull_temp_c"].notna().sum() == 23
    assert log.values.dtypes.equals(usable.values.dtypes)
    assert str(How.SET_ASIDE) == usable.how["pull_temp_c"][2]
    assert usable.written["pull_temp_c"][2] == "9999"


def test_setting_aside_lists_the_cells_as_unusable_and_changes_no_argument(twelve):
    log = twelve(temperatures(at2=9999), headers={"pull_temp_c": "Pull temp"})
    usable = set_impossible_aside(log)
    expected = ("log.csv", 4, "Pull temp", "9999", "outside what is possible")
    assert [expected] == list(usable.unusable.itertuples(index=False, name=None))
    assert log.values["pull_temp_c"][2] == 9999.0
    assert str(How.EXACT) == log.how["pull_temp_c"][2]
    assert log.unusable.empty
    assert log.account == usable.account


def test_setting_aside_twice_is_setting_aside_once(twelve):
    once = set_impossible_aside(twelve(temperatures(at2=9999)))
    assert set_impossible_aside(once) is once


def test_what_was_set_aside_before_stays_listed(twelve):
    log = twelve(
        temperatures(at2=9999, at5=None),
        written={("pull_temp_c", 5): "orange"},
        unusable={("pull_temp_c", 5): "not a number"},
    )
    assert list(set_impossible_aside(log).unusable["written"]) == ["orange", "9999"]


def test_the_rules_follow_the_codebook(codebook):
    factors = tuple(
        replace(f, possible=Range(low=1, high=2), plausible=None) if f.name == "burps" else f
        for f in codebook.factors
    )
    changed = replace(codebook, factors=factors)
    assert "burps" in build_implausible_rules(codebook)
    assert "burps" not in build_implausible_rules(changed)
    assert {f.name for f in factors} <= set(build_impossible_rules(changed))


def test_pieces_loaded_is_at_least_one(twelve, of_code):
    (finding,) = of_code(check_log(twelve({"pieces_loaded": [0, 2] * 12})), "impossible_value")
    assert "column pieces_loaded: 12 cells" in finding.message


def test_a_log_without_rows_gives_no_finding_but_a_refusal(make_log):
    log = make_log({"luster": [], "seconds_to_can": []})
    assert check_log(log) == ()
    assert refusal(log, ()) is not None


def test_cross_rules_see_the_log_without_its_impossible_values(twelve, of_code):
    slipped = [9999] + [970] * 23
    found = of_code(check_log(twelve({"pull_temp_c": slipped})), "column_never_varies")
    assert [finding.column for finding in found] == ["pull_temp_c"]
