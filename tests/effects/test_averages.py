"""Averages of predicted chances."""

import numpy as np
import pytest

from outcomes.effects.averages import (
    Moved,
    change_gradient,
    predict_change,
    predict_mean_change,
    predict_rates,
)
from outcomes.model.fit import Link
from outcomes.model.prediction import predict_grades, predict_reach

COLUMNS = np.array([[0.0, 0.5], [0.0, -0.2], [0.0, 1.4]])
MOVED = Moved(columns=COLUMNS, shift=np.array([2.0, 0.0]))
PARAMETERS = np.array([[-0.5, 0.8, 0.6, -0.3], [0.1, 1.0, -0.4, 0.9]])


@pytest.mark.parametrize("link", list(Link))
def test_rates_are_the_mean_of_predicted_chances(link):
    start, end = predict_rates(MOVED, PARAMETERS, n_grades=3, grade=2, link=link)
    direct = predict_reach(COLUMNS, PARAMETERS, 3, 2, link).mean(axis=1)
    moved = predict_reach(COLUMNS + MOVED.shift, PARAMETERS, 3, 2, link).mean(axis=1)
    assert start == pytest.approx(direct)
    assert end == pytest.approx(moved)


def test_the_mean_grade_weighs_every_grade_by_its_chance():
    grades = (0, 1, 3)
    here = predict_grades(COLUMNS, PARAMETERS, 3) @ np.array(grades)
    there = predict_grades(COLUMNS + MOVED.shift, PARAMETERS, 3) @ np.array(grades)
    change = predict_mean_change(MOVED, PARAMETERS, grades=grades, link=Link.LOGIT)
    assert change == pytest.approx((there - here).mean(axis=1))


def test_two_grades_make_the_mean_grade_the_chance_itself():
    one_cut = PARAMETERS[:, 1:]
    change = predict_change(MOVED, one_cut, n_grades=2, grade=1, link=Link.LOGIT)
    mean = predict_mean_change(MOVED, one_cut, grades=(0, 1), link=Link.LOGIT)
    assert mean == pytest.approx(change)


def test_the_gradient_is_the_slope_of_the_change():
    at = PARAMETERS[0]
    gradient = change_gradient(MOVED, at, n_grades=3, grade=2, link=Link.LOGIT)
    logistic = {
        "start": predict_reach(COLUMNS, at, 3, 2),
        "end": predict_reach(COLUMNS + MOVED.shift, at, 3, 2),
    }
    density = {name: p * (1.0 - p) for name, p in logistic.items()}
    by_slope = (
        density["end"][:, None] * (COLUMNS + MOVED.shift) - density["start"][:, None] * COLUMNS
    ).mean(axis=0)
    by_cut = -(density["end"] - density["start"]).mean()
    # central differences of step 1e-5: error about 1e-10
    assert gradient == pytest.approx(np.array([0.0, by_cut, *by_slope]), abs=1e-9)


def test_many_replicates_in_blocks_equal_one_at_a_time():
    rng = np.random.default_rng(2)
    many = np.column_stack([np.full(4000, -1.0), np.full(4000, 1.0), rng.normal(size=(4000, 2))])
    wide = Moved(columns=rng.normal(size=(900, 2)), shift=np.array([1.0, 0.0]))
    together = predict_change(wide, many, n_grades=3, grade=1, link=Link.LOGIT)
    alone = predict_change(wide, many[3990:3991], n_grades=3, grade=1, link=Link.LOGIT)
    assert together[3990] == pytest.approx(alone[0], abs=1e-14)
