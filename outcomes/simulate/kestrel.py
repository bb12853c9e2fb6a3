"""Kestrel Bench, an invented trial: time in the can drawn by lot, six tiles a firing.

Six test tiles of one glaze go into every firing, one in each of six small cans, and a lot decides
which can is opened after 2, 4, 8, 16, 32 or 64 minutes. One of the cans leaks, whichever time it
was given. The surface improves up to about ten minutes and not after: 16 and 64 minutes are truly
equal, 4 and 16 truly differ. Every name and number is made up.
"""

import numpy as np
import pandas as pd

from outcomes.simulate.draw import draw_outcomes
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Steps, Truth

MINUTES = (2.0, 4.0, 8.0, 16.0, 32.0, 64.0)
GLAZE = "Kestrel Copper"
CANS = ("1", "2", "3", "4", "5", "6")
LEAKY = "4"
FIRINGS = 48
# Log-odds against 16 minutes and more: the steps of a gain that is over by then.
GAINS = ((2.0, -3.2), (4.0, -2.2), (8.0, -0.7), (16.0, 0.0), (32.0, 0.0), (64.0, 0.0))
LEAK = -1.1
FIRING_SD = 0.9


def kestrel_truth() -> Truth:
    """Return what is really so at Kestrel Bench."""
    return Truth(
        outcomes=(
            OutcomeTruth(
                name="luster",
                thresholds=(-4.8, -3.4, -1.9, 0.8),
                aim=3,
                effects=(
                    FactorEffect(
                        factor="minutes",
                        shape=Steps(gains=tuple((f"{at:g}", gain) for at, gain in GAINS)),
                    ),
                    FactorEffect(factor="can", shape=Steps(gains=((LEAKY, LEAK),))),
                ),
                firing_sd=FIRING_SD,
            ),
        )
    )


def kestrel_grades(
    minutes: pd.Series, can: pd.Series, firing: pd.Series, *, rng: np.random.Generator
) -> pd.Series:
    """Return the luster of every tile, 0..4, for the times and cans it was given.

    Parameters
    ----------
    minutes, can, firing : Series, shape (n,)
        Minutes in the can, the can's name, the firing's name.
    rng
        The luck of firings and tiles.
    """
    settings = _settings(minutes, can, firing)
    return draw_outcomes(kestrel_truth(), settings, rng=rng)["luster"]


def _settings(minutes: pd.Series, can: pd.Series, firing: pd.Series) -> pd.DataFrame:
    """Return the columns the truth speaks of: times as the names of steps."""
    names = [f"{value:g}" for value in minutes]
    return pd.DataFrame(
        {
            "firing_id": firing.to_numpy(dtype=object),
            "minutes": pd.Series(names, dtype=object),
            "can": can.to_numpy(dtype=object),
        }
    )
