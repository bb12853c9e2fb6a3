"""What wrong readings do to a computed wall temperature."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.log.cooling import CLAY, cool
from outcomes.log.cooling_error import (
    CONSTANTS_OFF_C,
    ReadingErrors,
    estimate_cooling_error,
    thermocouple_limit,
    thermocouple_sd,
)


def test_a_class_2_thermocouple_may_be_7_degrees_off_at_980():
    # IEC 60584-1, class 2, type K: the larger of 2.5 C and 0.75 %; at 980 C 7.35.
    assert 7.35 == pytest.approx(float(thermocouple_limit(980)))
    assert [2.5, 2.5] == thermocouple_limit([0.0, 333.0]).tolist()


def test_a_limit_is_a_standard_deviation_over_the_root_of_three():
    assert 7.35 / np.sqrt(3) == pytest.approx(float(thermocouple_sd(980)))


def test_the_delta_method_agrees_with_redrawn_readings(rng):
    # 4 000 draws: the standard deviation of a draw is known to 1/sqrt(8 000) = 1.1 %.
    n = 4000
    pull = 980 + thermocouple_limit(980) * rng.uniform(-1, 1, n)
    seconds = 10 + rng.normal(0, 0.10, n)
    wall = 6 + 0.29 * np.sqrt(3) * rng.uniform(-1, 1, n)
    drawn, error = cool(pull, seconds, wall), estimate_cooling_error(980, 10, 6)
    assert drawn.skin_c.std() == pytest.approx(float(error.skin_sd_c), rel=0.045)
    assert drawn.mean_c.std() == pytest.approx(float(error.mean_sd_c), rel=0.045)


def test_exact_time_and_wall_leave_the_thermocouple_alone():
    # At 0 s the wall is as hot as the thermocouple says, and as uncertain.
    exact = ReadingErrors(seconds_sd=0.0, wall_sd_mm=0.0)
    error = estimate_cooling_error(980, 0, 6, errors=exact)
    assert float(thermocouple_sd(980)) == pytest.approx(float(error.skin_sd_c), rel=1e-6)
    assert float(thermocouple_sd(980)) == pytest.approx(float(error.mean_sd_c), rel=1e-6)


def test_a_wall_that_was_not_measured_leaves_the_mean_more_open():
    measured, assumed = (
        estimate_cooling_error(980, 10, 6),
        estimate_cooling_error(980, 10, 6, wall_sd_mm=2.0),
    )
    assert float(assumed.mean_sd_c) > 4 * float(measured.mean_sd_c)


def test_errors_have_the_shape_of_the_inputs_and_unknown_stays_unknown():
    error = estimate_cooling_error([980.0, np.nan], 10, 6)
    assert [False, True] == np.isnan(error.skin_sd_c).tolist()
    assert (2,) == error.mean_sd_c.shape


def test_plausible_clays_differ_by_the_degrees_that_are_said(rng):
    # Plausible constants are our choice (no source): see the notes of `cool`.
    low = np.array([0.7, 1700, 950, 0.80, 5, 0.0])
    high = np.array([1.4, 2100, 1200, 0.95, 20, 0.4])
    fields = (
        "conductivity",
        "density",
        "heat_capacity",
        "emissivity",
        "convection",
        "inner_share",
    )
    clays = [
        replace(CLAY, **dict(zip(fields, rng.uniform(low, high), strict=True))) for _ in range(60)
    ]
    off = [abs(float(cool(980, 10, 6, material=c).skin_c - cool(980, 10, 6).skin_c)) for c in clays]
    least, most = CONSTANTS_OFF_C
    assert least < np.quantile(off, 0.95) < most


def test_clays_put_pieces_in_nearly_the_same_order(rng):
    # What "for ordering pieces only" rests on.
    pull, seconds, wall = (
        rng.uniform(870, 1010, 200),
        rng.uniform(3, 20, 200),
        rng.uniform(5, 8, 200),
    )
    other = replace(CLAY, conductivity=0.7, emissivity=0.8, convection=20.0, inner_share=0.4)
    order = [
        np.argsort(np.argsort(cool(pull, seconds, wall, material=m).skin_c)) for m in (CLAY, other)
    ]
    assert np.corrcoef(*order)[0, 1] > 0.99
