"""Greywether Share, an invented null year: fourteen habits, and nothing but luck."""

import numpy as np
import pandas as pd

from outcomes.simulate.draw import simulate_log
from outcomes.simulate.habits import Amount, Choice, Habits, Together
from outcomes.simulate.truth import OutcomeTruth, Truth

FIRINGS, PIECES = 30, 7
HABITS = 14


def greywether_truth(firing_sd: float = 0.7) -> Truth:
    """Return four outcomes that depend on nothing but luck."""
    graded = (-1.6, -0.5, 0.5, 1.7)
    return Truth(
        outcomes=(
            OutcomeTruth(name="luster", thresholds=graded, aim=3, firing_sd=firing_sd),
            OutcomeTruth(name="crackle_density", thresholds=graded, aim=3, firing_sd=firing_sd),
            OutcomeTruth(name="color_shift", thresholds=graded, aim=3, firing_sd=firing_sd),
            OutcomeTruth(name="cracked", thresholds=(1.1,), aim=1, firing_sd=firing_sd),
        )
    )


def greywether_habits() -> Habits:
    """Return fourteen habits, some of which move together as habits do."""
    return Habits(
        choices=(
            Choice(name="glaze", levels=("Hob Lane", "Sallow Pit"), shares=(0.5, 0.5)),
            Choice(name="clay_body", levels=("buff", "white"), shares=(0.6, 0.4), between=0.3),
            Choice(name="form", levels=("bowl", "bottle"), shares=(0.55, 0.45)),
            Choice(name="combustible_kind", levels=("newspaper", "straw"), shares=(0.6, 0.4)),
            Choice(name="quench", levels=("none", "dunk"), shares=(0.6, 0.4)),
            Choice(name="seal", levels=("no", "yes"), shares=(0.5, 0.5), between=0.5),
        ),
        amounts=_amounts(),
        together=(
            Together(first="seconds_to_can", second="lid_delay_s", correlation=0.3),
            Together(first="combustible_g", second="can_volume_l", correlation=0.5),
            Together(first="glaze_thickness_mm", second="wall_thickness_mm", correlation=0.3),
        ),
        start="2023-03-04",
    )


def _amounts() -> tuple[Amount, ...]:
    """Return the numeric habits."""
    return (
        Amount(name="pull_temp_c", centre=975, spread=28, low=880, high=1060, grid=5, between=1.0),
        Amount(name="seconds_to_can", centre=11, spread=4, low=3, high=40, grid=1, between=0.2),
        Amount(name="combustible_g", centre=80, spread=30, low=10, high=300, grid=5, between=0.3),
        Amount(name="can_volume_l", centre=40, spread=12, low=15, high=80, grid=5),
        Amount(name="lid_delay_s", centre=10, spread=6, low=0, high=40, grid=1, between=0.2),
        Amount(name="time_in_can_min", centre=22, spread=8, low=5, high=60, grid=1, between=0.5),
        Amount(name="glaze_thickness_mm", centre=0.8, spread=0.25, low=0.2, high=1.8, grid=0.1),
        Amount(name="wall_thickness_mm", centre=6.5, spread=1.4, low=3.5, high=11, grid=0.5),
        Amount(name="burps", centre=1.2, spread=1.0, low=0, high=4, grid=1),
    )


def null_year(rng: np.random.Generator, *, firings: int = FIRINGS) -> pd.DataFrame:
    """Return one null year: 14 habits, 4 outcomes, ``firings`` firings of 7 pieces."""
    return simulate_log(
        greywether_truth(), greywether_habits(), firings=firings, pieces=PIECES, rng=rng
    )
