"""How far columns and factors repeat one another, on a design."""

import numpy as np
import pytest

from outcomes.doubts.collinearity import scaled_condition_indexes, variance_inflation
from outcomes.doubts.column_overlap import measure_overlap


def test_inflation_and_condition_indexes_are_those_of_the_whole_table(sound):
    found = measure_overlap(sound.design)
    assert variance_inflation(sound.design.X) == pytest.approx(list(found.inflation))
    assert scaled_condition_indexes(sound.design.X) == pytest.approx(found.condition_indexes)


def test_every_factor_is_told_how_far_the_others_explain_it(sound):
    found = measure_overlap(sound.design)
    assert [term.factor for term in sound.design.spec.terms] == [f.factor for f in found.factors]
    assert all(0 <= one.adjusted <= one.explained <= 1 for one in found.factors)


def test_a_column_that_others_repeat_has_no_inflation_factor(sound):
    from dataclasses import replace

    X = sound.design.X.copy()
    X[:, 0] = X[:, 1] + X[:, 2]
    found = measure_overlap(replace(sound.design, X=X))
    assert found.inflation[0] is None
    assert np.isfinite([value for value in found.inflation[3:] if value is not None]).all()
