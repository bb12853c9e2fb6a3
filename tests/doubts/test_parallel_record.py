"""The published tests of proportional odds on a design, factor by factor."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design, find_term
from outcomes.doubts.parallel_record import measure_parallel
from outcomes.doubts.parallel_tests import brant_test, likelihood_ratio_test, score_test


def test_every_factor_has_the_test_of_its_own_columns(sound):
    found = measure_parallel(sound.design)
    design, n_grades = sound.design, sound.n_grades
    for one in found.factors:
        slots = find_term(design.spec, one.factor).slots
        expected = likelihood_ratio_test(design.X, design.y, n_grades=n_grades, free=slots)
        assert expected.value == pytest.approx(one.likelihood_ratio.value, abs=1e-6)
        assert expected.df == one.likelihood_ratio.df
    assert [term.factor for term in design.spec.terms] == [one.factor for one in found.factors]


def test_a_factor_of_one_column_has_brants_test_of_that_column(sound):
    found, design = measure_parallel(sound.design), sound.design
    expected = brant_test(design.X, design.y, n_grades=sound.n_grades)
    for one in found.factors:
        slots = find_term(design.spec, one.factor).slots
        if len(slots) == 1:
            assert expected.columns[slots[0]].value == pytest.approx(one.brant.value)
    assert expected.omnibus.value == pytest.approx(found.brant.value)
    assert score_test(design.X, design.y, n_grades=sound.n_grades) == found.score


def test_a_yes_no_outcome_has_no_such_test(make_log, invent):
    columns = invent(np.random.default_rng(3))
    columns["cracked"] = ["yes" if grade > 2 else "no" for grade in columns.pop("luster")]
    log = make_log(columns)
    design = build_design(log, log.codebook.outcome("cracked"))
    assert measure_parallel(design) is None


def test_separated_grades_are_said_to_be_so(make_log, invent):
    columns = invent(np.random.default_rng(3))
    columns["luster"] = [4.0 if one == "dunk" else g % 3 for one, g in
                         zip(columns["quench"], columns["luster"], strict=True)]  # fmt: skip
    log = make_log(columns)
    found = measure_parallel(build_design(log, log.codebook.outcome("luster")))
    assert (True, None, None, ()) == (found.separated, found.score, found.brant, found.factors)
