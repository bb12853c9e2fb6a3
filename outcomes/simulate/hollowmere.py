"""Hollowmere Yard, an invented maker's year: what she does and what is really so.

W fires alone or with a helper, K, who is quick on his feet and uses double the paper; being
K changes nothing else. Glazes: Tarn Lantern (copper luster), Moth Ledger (white crackle),
Brackwater Nine (copper turquoise). Every name and number is made up.
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from outcomes.simulate.draw import draw_outcomes, draw_settings
from outcomes.simulate.habits import Amount, Choice, Habits, Helper, Move
from outcomes.simulate.truth import (
    FactorEffect,
    FloatArray,
    Nothing,
    OutcomeTruth,
    Saturating,
    Steps,
    Straight,
    Truth,
    Window,
)

TARN, MOTH, BRACKWATER = "Tarn Lantern", "Moth Ledger", "Brackwater Nine"
COPPER = (TARN, BRACKWATER)
CRACKLE = (MOTH, BRACKWATER)
FIRINGS = 32
SHEET_G, HANDFUL_G = 15.0, 40.0  # her own calibration, weighed on the kitchen scale

_NOTHINGS = ("seal", "humidity_pct", "combustible_kind", "wind", "maker")


def _effects(*planted: FactorEffect) -> tuple[FactorEffect, ...]:
    """Return the planted effects with the planted nothings named beside them."""
    return (*planted, *(FactorEffect(factor=name, shape=Nothing()) for name in _NOTHINGS))


def hollowmere_truth() -> Truth:
    """Return what is really so at Hollowmere Yard."""
    return Truth(outcomes=(_luster(), _crackle(), _colour(), _cracked()))


def _luster() -> OutcomeTruth:
    """Return the truth about luster."""
    return OutcomeTruth(
        name="luster",
        thresholds=(-0.45, 2.80, 5.10, 8.10),
        aim=3,
        effects=_effects(
            FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.37, centre=10.0)),
            FactorEffect(factor="combustible_g", shape=Saturating(gain=8.5, scale=60.0)),
            FactorEffect(factor="pull_temp_c", shape=Window(best=980.0, width=45.0, height=11.0)),
            FactorEffect(factor="time_in_can_min", shape=Saturating(gain=1.0, scale=1.5)),
        ),
        firing_sd=0.7,
        applies_to=COPPER,
    )


def _crackle() -> OutcomeTruth:
    """Return the truth about crackle density."""
    return OutcomeTruth(
        name="crackle_density",
        thresholds=(-2.75, -1.15, 0.40, 2.50),
        aim=3,
        effects=_effects(
            FactorEffect(factor="seconds_to_can", shape=Straight(per_step=0.29, centre=10.0)),
            FactorEffect(
                factor="glaze_thickness_mm",
                shape=Straight(per_step=0.42, step=0.1, centre=0.9),
            ),
        ),
        firing_sd=0.7,
        applies_to=CRACKLE,
    )


def _colour() -> OutcomeTruth:
    """Return the truth about colour shift."""
    return OutcomeTruth(
        name="color_shift",
        thresholds=(0.05, 2.15, 3.65, 5.60),
        aim=3,
        effects=_effects(
            FactorEffect(factor="combustible_g", shape=Saturating(gain=7.0, scale=60.0)),
            FactorEffect(factor="lid_delay_s", shape=Window(best=12.0, width=9.0, height=8.5)),
        ),
        firing_sd=0.7,
        applies_to=COPPER,
    )


def _cracked() -> OutcomeTruth:
    """Return the truth about cracked pieces."""
    return OutcomeTruth(
        name="cracked",
        thresholds=(2.25,),
        aim=1,
        effects=_effects(
            FactorEffect(factor="wall_thickness_mm", shape=Straight(per_step=0.80, centre=6.5)),
            FactorEffect(factor="quench", shape=Steps(gains=(("mist", 0.9), ("dunk", 2.6)))),
        ),
        firing_sd=0.7,
    )


def hollowmere_habits() -> Habits:
    """Return how the settings were chosen at Hollowmere Yard."""
    return Habits(
        choices=(
            Choice(name="thermometer", levels=("F", "C"), shares=(0.6, 0.4), between=1.0),
            Choice(name="glaze", levels=(TARN, MOTH, BRACKWATER), shares=(0.28, 0.26, 0.46)),
            Choice(name="combustible_kind", levels=("newspaper", "sawdust"), shares=(0.7, 0.3)),
            Choice(name="can_volume_l", levels=("30",), shares=(1.0,)),
            Choice(name="quench", levels=("none", "mist", "dunk"), shares=(0.5, 0.15, 0.35)),
            Choice(name="seal", levels=("no", "yes"), shares=(0.55, 0.45), between=0.3),
            Choice(
                name="wind", levels=("calm", "light", "strong"), shares=(0.4, 0.4, 0.2), between=1.0
            ),
        ),
        amounts=(*_at_the_kiln(), *_at_the_bench()),
        helper=Helper(
            column="maker",
            usual="W",
            name="K",
            firings=0.55,
            pieces=0.6,
            moves=(Move(name="seconds_to_can", times=0.5), Move(name="combustible_g", times=2.0)),
        ),
    )


def _at_the_kiln() -> tuple[Amount, ...]:
    """Return the numeric habits of the firing itself."""
    return (
        Amount(name="pull_temp_c", centre=980.0, spread=36.0, low=880, high=1060, between=0.3),
        Amount(
            name="seconds_to_can",
            centre=11.5,
            spread=0.42,
            low=3,
            high=40,
            grid=1,
            between=0.1,
            logarithmic=True,
        ),
        Amount(
            name="combustible_g",
            centre=60.0,
            spread=0.54,
            low=7.5,
            high=400,
            between=0.1,
            logarithmic=True,
        ),
        Amount(name="lid_delay_s", centre=12.0, spread=7.0, low=0, high=30, grid=1, between=0.1),
        Amount(
            name="time_in_can_min",
            centre=20.0,
            spread=0.45,
            low=4,
            high=75,
            grid=0.5,
            between=0.2,
            logarithmic=True,
        ),
    )


def _at_the_bench() -> tuple[Amount, ...]:
    """Return the numeric habits of making and glazing, and the weather."""
    return (
        Amount(name="glaze_thickness_mm", centre=0.9, spread=0.35, low=0.2, high=1.9, grid=0.1),
        Amount(name="wall_thickness_mm", centre=6.5, spread=1.7, low=3.5, high=11.0, grid=0.5),
        Amount(name="humidity_pct", centre=64, spread=12, low=30, high=98, grid=1, between=1.0),
    )


def hollowmere_sizes(rng: np.random.Generator) -> tuple[int, ...]:
    """Return the pieces of each firing: six to eight."""
    return tuple(int(size) for size in rng.integers(6, 9, size=FIRINGS))


def hollowmere_year(rng: np.random.Generator) -> pd.DataFrame:
    """Return one clean year: settings as she could read them off, grades by the truth.

    Temperatures stand on the scale of that firing's thermometer (steps of 10 F or 5 C) and
    combustible on half sheets or half handfuls, so that a log can write them without rounding.
    """
    return hollowmere_firings(hollowmere_sizes(rng), habits=hollowmere_habits(), rng=rng)


def hollowmere_firings(
    sizes: Sequence[int], *, habits: Habits, rng: np.random.Generator
) -> pd.DataFrame:
    """Return clean firings of these sizes at the same yard, as many as there are sizes.

    Parameters
    ----------
    sizes
        Pieces of each firing.
    habits
        `hollowmere_habits`, over as many days as the firings take.
    rng
        The only source of chance.
    """
    drawn = draw_settings(habits, firings=len(sizes), pieces=sizes, rng=rng)
    read = drawn.assign(
        pull_temp_c=_read_off(drawn),
        combustible_g=_weighed(drawn),
        time_in_can_min=_heaped(drawn["time_in_can_min"].to_numpy(dtype=np.float64), rng=rng),
        can_volume_l=drawn["can_volume_l"].astype(np.float64),
        pieces_loaded=drawn.groupby("firing_id")["piece_id"].transform("size").astype(np.float64),
    )
    return draw_outcomes(hollowmere_truth(), read, rng=rng)


def _read_off(frame: pd.DataFrame) -> FloatArray:
    """Return the pull temperature as the firing's thermometer shows it, in C."""
    celsius = frame["pull_temp_c"].to_numpy(dtype=np.float64)
    on_f = (np.round((celsius * 1.8 + 32) / 10) * 10 - 32) / 1.8
    return np.where(frame["thermometer"] == "C", np.round(celsius / 5) * 5, on_f)


def _weighed(frame: pd.DataFrame) -> FloatArray:
    """Return the combustible in half sheets or half handfuls, in g, at least one half."""
    half = np.where(frame["combustible_kind"] == "newspaper", SHEET_G, HANDFUL_G) / 2
    grams = frame["combustible_g"].to_numpy(dtype=np.float64)
    return np.maximum(np.round(grams / half), 1) * half


def _heaped(minutes: FloatArray, *, rng: np.random.Generator) -> FloatArray:
    """Return minutes as people remember them: the longer ones mostly in fives."""
    in_fives = (minutes > 12) & (rng.random(len(minutes)) < 0.7)
    return np.where(in_fives, np.round(minutes / 5) * 5, minutes)
