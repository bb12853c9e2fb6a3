"""The small records that travel in the page against the numbers they stand for."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from outcomes.design.design import Term
from outcomes.effects.at_settings import move_columns, predict_chance, setting_slots
from outcomes.effects.averages import build_moved, predict_rates
from outcomes.effects.contrasts import build_contrast
from outcomes.effects.glaze_effects import GlazeModel
from outcomes.effects.panel_ground import build_ground, is_far, place_value
from outcomes.effects.panel_model import build_panel_model, predict_compact
from outcomes.log.codebook import Role, Shape
from outcomes.model.fit import Link
from outcomes.resampling.leverage import corrected_error

CLOSE = 1e-12


@pytest.fixture(scope="module")
def fitted(year):
    return year, GlazeModel(parameters=year.fit.parameters(), pull=year.pull)


def settings_of(design, row: int) -> dict[str, float | str]:
    return {
        term.factor: design.frame[term.factor].iloc[row]
        for term in design.spec.terms
        if term.role is Role.SETTING
    }


def build_small(design, model):
    """The small record of every piece's values, and a function that predicts a row with it."""
    values = {
        term.factor: design.frame[term.factor].tolist()
        for term in design.spec.terms
        if term.role is Role.SETTING
    }
    rows = np.arange(len(design.y))
    small = build_panel_model(design, model, rows=rows, values=values, confidence=0.95)
    own = setting_slots(design)

    def predict(row: int):
        t = max(found[row] for found in small.quantiles.values())
        return predict_compact(small, design.X[row, own], t)

    return predict


def test_one_setting_moved_gives_the_rate_of_a_contrast(fitted):
    evidence, model = fitted
    design = evidence.design
    contrast = build_contrast(
        design, evidence.codebook, factor="seconds_to_can", from_value=6.0, to_value=14.0
    )
    moved = build_moved(design, contrast, np.ones(len(design.y), dtype=bool))
    expected = predict_rates(
        moved,
        model.parameters[None, :],
        n_grades=len(design.grades),
        grade=design.aim,
        link=Link.LOGIT,
    )
    for value, rate in zip((6.0, 14.0), expected, strict=True):
        found = predict_chance(design, model, {"seconds_to_can": value})
        assert rate[0] == pytest.approx(found.reach, abs=CLOSE)


def test_the_interval_is_the_firing_score_t_on_the_logit_scale(fitted):
    evidence, model = fitted
    design = evidence.design
    settings = settings_of(design, 3)
    found = predict_chance(design, model, settings, confidence=0.90)
    columns = move_columns(design, settings)
    step = 1e-6
    slopes = []
    for k in range(len(model.parameters)):
        ends = []
        for sign in (-1, 1):
            moved = model.parameters.copy()
            moved[k] += sign * step
            cuts = len(design.grades) - 1
            gap = moved[design.aim - 1] - columns @ moved[cuts:]
            ends.append(np.mean(1 / (1 + np.exp(gap))))
        slopes.append((ends[1] - ends[0]) / (2 * step))
    error, df = corrected_error(np.array(slopes), model.pull)
    centre = np.log(found.reach / (1 - found.reach))
    span = stats.t.ppf(0.95, df) * error / (found.reach * (1 - found.reach))
    assert 1 / (1 + np.exp(span - centre)) == pytest.approx(found.low, abs=1e-6)
    assert 1 / (1 + np.exp(-span - centre)) == pytest.approx(found.high, abs=1e-6)


def test_the_small_record_gives_the_chances_of_the_whole_one(fitted):
    evidence, model = fitted
    design = evidence.design
    predict = build_small(design, model)
    for row in range(0, len(design.y), 7):
        exact = predict_chance(design, model, settings_of(design, row))
        found = predict(row)
        assert exact.reach == pytest.approx(found.reach, abs=0.001)
        assert exact.low <= found.reach <= exact.high


def test_the_interval_of_the_small_record_is_at_least_as_wide_in_nine_of_ten_and_hardly_wider(
    fitted,
):
    evidence, model = fitted
    design = evidence.design
    predict = build_small(design, model)
    widths = []
    for row in range(0, len(design.y), 5):
        exact = predict_chance(design, model, settings_of(design, row))
        found = predict(row)
        widths.append((found.high - found.low) / (exact.high - exact.low))
    assert np.quantile(widths, 0.15) >= 1.0  # one t serves nine probes in ten
    assert np.median(widths) < 1.15


def test_groups_lose_nothing_where_all_pieces_had_the_same_conditions(fitted):
    evidence, model = fitted
    design = evidence.design
    own = setting_slots(design)
    rest = [k for k in range(design.X.shape[1]) if k not in own]
    X = design.X.copy()
    X[:, rest] = 0.25
    level = replace(design, X=X)
    predict = build_small(level, model)
    exact = predict_chance(level, model, settings_of(design, 0))
    assert exact.reach == pytest.approx(predict(0).reach, abs=CLOSE)


@pytest.fixture
def ground():
    """Two firings of glaze A around 0 and 10, one piece of glaze B far away."""
    term = Term(factor="x", role=Role.SETTING, shape=Shape.STRAIGHT, columns=("x",), slots=(0,))
    values = pd.DataFrame({"x": [0.0, 1.0, 10.0, 11.0, 100.0]})
    return build_ground(values, (term,), glaze=["A"] * 4 + ["B"], firing=[0, 0, 1, 1, 2])


def test_a_combination_between_firings_is_near_and_one_beyond_them_far(ground):
    places = {x: place_value(ground, 0, x) for x in (0.0, 5.0, 15.0, 25.0)}
    assert [False, False, False, True] == [is_far(ground, "A", p) for p in places.values()]


def test_pieces_of_another_glaze_are_no_ground(ground):
    assert is_far(ground, "A", place_value(ground, 0, 100.0))
    assert not is_far(ground, "B", place_value(ground, 0, 100.0))
    assert is_far(ground, "C", place_value(ground, 0, 0.0))


def test_the_limit_is_set_by_other_firings_of_the_same_glaze(ground):
    scale = np.std([0.0, 1.0, 10.0, 11.0, 100.0])
    expected = np.quantile(np.array([100.0, 81.0, 81.0, 100.0]), 0.5) / scale**2
    assert expected == pytest.approx(ground.limit)
