"""The cooling of a wall against check values, analytic solutions and another solver."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import erfc

from outcomes.errors import RequestError
from outcomes.log.cooling import (
    CLAY,
    STEFAN_BOLTZMANN,
    ZERO_CELSIUS,
    Grid,
    Material,
    cool,
    heat_loss,
)

# One face that only convects: what the series solutions are for.
CONVECTING = replace(CLAY, emissivity=0.0, inner_share=0.0)
EXACT_C = 0.1  # what `cool` promises; printed check values are whole degrees
FINE = Grid(degree=40, steps=400)
FINE_C = 0.01  # 39 times less than the default grid's time error, which falls with the square
PRINTED_C = 2.0  # the tolerance that comes with the check values


@pytest.mark.parametrize(
    ("pull", "seconds", "wall", "skin", "mean"),
    [
        # Computed from the stated constants (emissivity 0.90, h 10, inner face 15 %, 1900
        # kg/m3, 1050 J/kgK, 1.0 W/mK, 20 C) by the toolkit's trade notes, section 5.
        (980, 5, 6, 821, 933),
        (980, 10, 6, 778, 894),
        (980, 20, 6, 724, 829),
        (980, 10, 10, 780, 928),
        (980, 10, 4, 770, 853),
        (900, 10, 6, 732, 830),
    ],
)
def test_the_check_values_of_the_trade_notes_come_out(pull, seconds, wall, skin, mean):
    cooled = cool(pull, seconds, wall)
    assert skin == pytest.approx(float(cooled.skin_c), abs=PRINTED_C)
    assert mean == pytest.approx(float(cooled.mean_c), abs=PRINTED_C)


def test_one_second_of_air_is_worth_twelve_degrees_of_pull_for_the_skin_and_nine_for_the_mean():
    # Same notes, section 5: at 10 s and 980 C, 6 mm.
    here, later, cooler = cool(980, 9.5, 6), cool(980, 10.5, 6), cool([975, 985], 10, 6)
    skin = (here.skin_c - later.skin_c) * 10 / np.diff(cooler.skin_c)
    mean = (here.mean_c - later.mean_c) * 10 / np.diff(cooler.mean_c)
    assert 12 == pytest.approx(skin.item(), abs=0.5)
    assert 9 == pytest.approx(mean.item(), abs=0.5)


def test_the_skin_passes_600_and_550_degrees_after_56_and_75_seconds():
    # Same notes: where a low-fire glaze can start to crack.
    assert [600, 550] == pytest.approx(cool(980, [56, 75], 6).skin_c.tolist(), abs=PRINTED_C)


def test_cooling_in_the_can_follows_the_notes_with_surroundings_at_150_degrees():
    # Same notes: 7 mm from 850 C falls below 700/550/400/300 C after about 2.2/5.2/9.6/14 min
    # at h 25. They do not state the surroundings: one face, a wall without inner difference and
    # 150 C is *inferred*, and gives all four as printed (20 C gives 1.9/4.2/7.3/10.1 min).
    in_can = replace(CONVECTING, convection=25.0, air_c=150.0, conductivity=1e4)
    minutes = [
        brentq(lambda t, to=to: float(cool(850, 60 * t, 7, material=in_can).mean_c) - to, 1, 20)
        for to in (700, 550, 400, 300)
    ]
    assert [2.2, 5.2, 9.6] == [round(m, 1) for m in minutes[:3]]
    assert 14 == round(minutes[3])


@pytest.mark.parametrize(
    ("pull", "seconds", "wall"),
    [(980, 3, 6), (980, 15, 6), (1050, 60, 4), (760, 120, 12), (1250, 30, 2), (900, 600, 25)],
)
def test_a_method_of_lines_on_a_fine_grid_agrees(pull, seconds, wall):
    # Other discretisation (finite differences, 240 equal gaps), other integrator (LSODA).
    skin, mean, inner = march_by_lines(pull, seconds, wall, material=CLAY)
    cooled = cool(pull, seconds, wall)
    assert skin == pytest.approx(float(cooled.skin_c), abs=0.15)
    assert mean == pytest.approx(float(cooled.mean_c), abs=0.15)
    assert inner == pytest.approx(float(cooled.inner_c), abs=0.15)


@pytest.mark.parametrize("h", [10.0, 120.0, 1000.0])
@pytest.mark.parametrize("seconds", [5.0, 30.0, 300.0])
def test_a_convecting_slab_follows_the_cosine_series(h, seconds):
    # Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, 6th ed., section 5.5.1;
    # Carslaw & Jaeger, 2nd ed., section 3.11 (sections from memory; roots found here).
    slab = replace(CONVECTING, convection=h)
    skin, mean = sum_cosines(biot=h * 0.008, fourier=diffusivity() * seconds / 0.008**2)
    cooled = cool(1000, seconds, 8, material=slab, grid=FINE)
    assert 20 + 980 * skin == pytest.approx(float(cooled.skin_c), abs=FINE_C)
    assert 20 + 980 * mean == pytest.approx(float(cooled.mean_c), abs=FINE_C)


def test_the_series_itself_has_the_tabulated_first_root_and_coefficient():
    # Incropera & DeWitt, table 5.1, Bi = 1: 0.8603 and 1.1191 (from memory).
    root = cosine_roots(biot=1.0, count=1)[0]
    assert 0.8603 == pytest.approx(root, abs=5e-5)
    assert 1.1191 == pytest.approx(4 * np.sin(root) / (2 * root + np.sin(2 * root)), abs=5e-5)


@pytest.mark.parametrize("seconds", [1.0, 5.0, 20.0])
def test_a_thick_wall_cools_at_its_skin_like_a_half_space(seconds):
    # Incropera & DeWitt, 6th ed., eq. 5.60; Carslaw & Jaeger, section 2.7 (from memory).
    h = 300.0
    depth = h * np.sqrt(diffusivity() * seconds) / CLAY.conductivity
    exact = 20 + 980 * np.exp(depth**2) * erfc(depth)
    thick = cool(1000, seconds, 40, material=replace(CONVECTING, convection=h), grid=FINE)
    assert exact == pytest.approx(float(thick.skin_c), abs=FINE_C)
    assert 1000 == pytest.approx(float(thick.inner_c), abs=FINE_C)


def test_a_wall_without_inner_difference_that_only_radiates_follows_the_closed_form():
    # Biot number to 0. Incropera & DeWitt, 6th ed., eq. 5.18 (from memory).
    lump = replace(CLAY, conductivity=1e4, convection=0.0, inner_share=0.0)
    later = cool(980, 45, 6, material=lump)
    cold, hot, air = float(later.mean_c) + ZERO_CELSIUS, 980 + ZERO_CELSIUS, 20 + ZERO_CELSIUS
    stored = CLAY.density * CLAY.heat_capacity * 0.006
    rate = 4 * CLAY.emissivity * STEFAN_BOLTZMANN * air**3

    def clock(kelvin):
        return np.log((kelvin + air) / (kelvin - air)) + 2 * np.arctan(kelvin / air)

    assert 45 == pytest.approx(stored / rate * (clock(cold) - clock(hot)), abs=0.02)
    assert float(later.mean_c) == pytest.approx(float(later.skin_c), abs=0.1)


def test_a_lump_that_only_convects_falls_exponentially():
    lump = replace(CONVECTING, conductivity=1e4)
    exact = 20 + 960 * np.exp(-10 * 200 / (1900 * 1050 * 0.006))
    assert exact == pytest.approx(float(cool(980, 200, 6, material=lump).mean_c), abs=EXACT_C)


def test_the_heat_that_left_through_both_faces_is_the_heat_the_wall_lost():
    roots, weights = np.polynomial.legendre.leggauss(40)
    s = np.sqrt(30.0) * (roots + 1) / 2  # in s = sqrt(t) the start is smooth
    on_the_way = cool(980, s**2, 6)
    losses = heat_loss(on_the_way.skin_c) + CLAY.inner_share * heat_loss(on_the_way.inner_c)
    left = float(np.sum(weights * np.sqrt(30.0) / 2 * 2 * s * losses))
    lost = 1900 * 1050 * 0.006 * (980 - float(cool(980, 30, 6).mean_c))
    assert lost == pytest.approx(left, rel=5e-4)


def test_halving_the_time_step_quarters_the_error():
    exact = cool(980, 60, 6, grid=Grid(steps=2048)).mean_c
    errors = [float(cool(980, 60, 6, grid=Grid(steps=n)).mean_c - exact) for n in (16, 32, 64)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert [2.0, 2.0] == pytest.approx(orders.tolist(), abs=0.25)


def test_the_error_in_depth_falls_faster_than_any_power():
    # Doubling the degree divides the error by ever more, where a power divides by a constant.
    exact = cool(980, 0.2, 10, grid=Grid(degree=64)).skin_c
    errors = [
        float(abs(cool(980, 0.2, 10, grid=Grid(degree=n)).skin_c - exact)) for n in (8, 16, 32)
    ]
    assert errors[0] / errors[1] > 2**4
    assert errors[1] / errors[2] > 100 * errors[0] / errors[1]


def test_the_default_grid_keeps_its_promise_from_one_second_on(rng):
    pull, wall = rng.uniform(400, 1250, 120), rng.uniform(2, 40, 120)
    seconds = np.exp(rng.uniform(0, np.log(600), 120))
    fine = cool(pull, seconds, wall, grid=Grid(degree=64, steps=600))
    coarse = cool(pull, seconds, wall)
    for face in ("skin_c", "mean_c", "inner_c"):
        assert np.abs(getattr(fine, face) - getattr(coarse, face)).max() < EXACT_C


def test_at_zero_seconds_nothing_has_cooled():
    start = cool([760.0, 1060.0], 0.0, 6.0)
    assert [760, 1060] == pytest.approx(start.skin_c.tolist(), abs=1e-9)
    assert [760, 1060] == pytest.approx(start.mean_c.tolist(), abs=1e-9)


def test_a_wall_at_the_temperature_of_the_air_stays_there():
    assert 20 == pytest.approx(float(cool(20, 100, 6).skin_c), abs=1e-9)


def test_after_a_day_the_wall_is_as_cold_as_the_air():
    assert 20 == pytest.approx(float(cool(1000, 86400, 6).mean_c), abs=0.05)


def test_longer_thinner_and_colder_starts_end_colder():
    assert (np.diff(cool(980, np.arange(0, 120, 2.0), 6).skin_c) < 0).all()
    assert (np.diff(cool(980, 10, np.arange(2, 15, 0.5)).mean_c) > 0).all()
    assert (np.diff(cool(np.arange(800, 1100, 10.0), 10, 6).mean_c) > 0).all()


def test_equal_faces_cool_alike():
    twin = cool(980, 20, 6, material=replace(CLAY, inner_share=1.0))
    assert float(twin.inner_c) == pytest.approx(float(twin.skin_c), abs=1e-6)


def test_a_piece_cools_the_same_alone_and_among_thousands(rng):
    pull, seconds = rng.uniform(800, 1050, 5000), rng.uniform(1, 60, 5000)
    many = cool(pull, seconds, 6.0)
    assert (5000,) == many.skin_c.shape
    alone = cool(pull[4321], seconds[4321], 6.0)
    assert float(alone.skin_c) == pytest.approx(many.skin_c[4321], abs=1e-8)


def test_shapes_broadcast_and_unknown_inputs_stay_unknown():
    cooled = cool([[980.0], [np.nan]], [5.0, 10.0, np.nan], 6.0)
    assert (2, 3) == cooled.mean_c.shape
    assert [[False, False, True], [True, True, True]] == np.isnan(cooled.mean_c).tolist()


@pytest.mark.parametrize(
    ("inputs", "message"),
    [
        ((980, -1, 6), "found -1, but seconds to the can are at least 0"),
        ((980, 10, 0), "found 0, but a wall is thicker than 0 mm"),
        ((-300, 10, 6), "found -300, but a pull temperature is at least -273.15"),
    ],
)
def test_what_cannot_be_is_refused_with_the_value(inputs, message):
    with pytest.raises(RequestError, match=message):
        cool(*inputs)


def diffusivity() -> float:
    return CLAY.conductivity / (CLAY.density * CLAY.heat_capacity)


def cosine_roots(*, biot: float, count: int) -> np.ndarray:
    """The first roots of z tan z = Bi, one in each interval of pi."""
    starts = np.pi * np.arange(count)
    return np.array(
        [
            brentq(lambda z: z * np.sin(z) - biot * np.cos(z), a + 1e-12, a + np.pi / 2)
            for a in starts
        ]
    )


def sum_cosines(*, biot: float, fourier: float) -> tuple[float, float]:
    """Skin and mean of a slab that convects at one face, as shares of the first difference."""
    z = cosine_roots(biot=biot, count=200)
    terms = 4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.exp(-(z**2) * fourier)
    return float(terms @ np.cos(z)), float(terms @ (np.sin(z) / z))


def march_by_lines(
    pull: float, seconds: float, wall_mm: float, *, material: Material
) -> tuple[float, float, float]:
    """Skin, mean and inner face, deg C, by finite differences and a stiff integrator."""
    gaps = 240
    dx = wall_mm / 1000 / gaps
    heat = material.density * material.heat_capacity
    conduction = material.conductivity / (heat * dx**2)
    air = material.air_c + ZERO_CELSIUS

    def loss(kelvin: float) -> float:
        radiated = material.emissivity * STEFAN_BOLTZMANN * (kelvin**4 - air**4)
        return radiated + material.convection * (kelvin - air)

    def change(_: float, kelvin: np.ndarray) -> np.ndarray:
        padded = np.pad(kelvin, 1, mode="reflect")
        slope = conduction * np.diff(padded, 2)
        slope[0] -= 2 * loss(kelvin[0]) / (heat * dx)
        slope[-1] -= 2 * material.inner_share * loss(kelvin[-1]) / (heat * dx)
        return slope

    start = np.full(gaps + 1, pull + ZERO_CELSIUS)
    banded = {"lband": 1, "uband": 1, "rtol": 1e-7, "atol": 1e-5}
    way = solve_ivp(change, (0, seconds), start, method="LSODA", **banded)
    end = way.y[:, -1]
    mean = float(np.trapezoid(end, dx=1 / gaps))
    return end[0] - ZERO_CELSIUS, mean - ZERO_CELSIUS, end[-1] - ZERO_CELSIUS
