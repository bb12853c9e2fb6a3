"""Separated columns are named, and only they."""

import numpy as np
import pytest

from outcomes.model.separation import _is_bounded, find_separation

NAMES = ("a", "b", "c", "d")
SEPARATED_LOGS = 100
CLEAN_LOGS = 1000


def test_the_endometrial_data_are_separated_by_nv_alone(endometrial):
    expected = (endometrial.expected["separated_variable"],)
    assert expected == find_separation(endometrial.X, endometrial.y, 2, ("NV", "PI", "EH"))


def test_the_wine_data_are_not_separated(wine):
    assert find_separation(wine.X, wine.y, 5, ("temp", "contact")) == ()


def test_newton_steps_show_that_the_wine_data_are_not_separated(wine):
    assert _is_bounded(wine.X, wine.y, 5)


def test_newton_steps_promise_nothing_of_data_that_one_piece_more_would_not_separate():
    x = np.linspace(-1.0, 1.0, 400)
    y = (x > 0.2).astype(int)
    assert not _is_bounded(x[:, None], y, 2)
    y[0] = 1
    assert _is_bounded(x[:, None], y, 2)
    assert find_separation(x[:, None], y, 2, ("pull",)) == ()


def test_a_constant_column_separates_nothing(endometrial):
    X = np.column_stack([endometrial.X[:, 1:], np.ones(len(endometrial.y))])
    assert find_separation(X, endometrial.y, 2, ("PI", "EH", "one")) == ()


def test_two_separating_columns_are_both_named(endometrial):
    # A second column that is 1 only where the outcome is 1 hides behind no other.
    flag = np.zeros(len(endometrial.y))
    flag[np.flatnonzero(endometrial.y == 1)[-3:]] = 1.0
    X = np.column_stack([endometrial.X, flag])
    names = ("NV", "PI", "EH", "flag")
    assert find_separation(X, endometrial.y, 2, names) == ("NV", "flag")


def test_every_piece_above_a_temperature_at_the_top_grade_is_separation():
    x = np.linspace(-1.0, 1.0, 30)
    y = np.where(x < -0.3, 0, np.where(x < 0.4, 1, 2))
    assert find_separation(x[:, None], y, 3, ("pull",)) == ("pull",)
    assert find_separation(1e6 + 1e-6 * x[:, None], y, 3, ("pull",)) == ("pull",)


def test_every_one_of_a_hundred_separated_logs_is_recognised(make_design):
    missed = []
    for seed in range(SEPARATED_LOGS):
        log = make_design(seed, n_grades=2 + seed % 4)
        X = log.X.copy()
        # A level seen in one firing, all of whose pieces got the top (or the bottom) grade.
        y = log.y.copy()
        y[log.firing == 3] = (log.n_grades - 1) * (seed % 2)
        X[:, 0] = log.firing == 3
        if "a" not in find_separation(X, y, log.n_grades, NAMES):
            missed.append(seed)
    assert missed == []


def test_none_of_a_thousand_clean_logs_of_24_firings_raises_an_alarm(make_design):
    alarms = []
    for seed in range(CLEAN_LOGS):
        log = make_design(seed, n_grades=2 + seed % 4)
        if find_separation(log.X, log.y, log.n_grades, NAMES):
            alarms.append(seed)
    assert alarms == []


def test_a_grade_nobody_got_is_not_blamed_on_a_column(make_design):
    log = make_design(1)
    kept = log.y != 2
    assert find_separation(log.X[kept], log.y[kept], 5, NAMES) == ()


@pytest.mark.parametrize("n_pieces", [1, 2])
def test_a_log_of_one_or_two_pieces_is_answered(n_pieces):
    X, y = np.arange(2.0)[:n_pieces, None], np.arange(2)[:n_pieces]
    assert set(find_separation(X, y, 2, ("pull",))) <= {"pull"}
