"""Did a habit change at one date? Looked for in the log when nobody says what was coached.

For every numeric setting the firings, one average each in order of time, are parted at every
date; the largest |Welch t| of all settings and dates is set against that of the same averages
in 999 random orders. Habits may change for many reasons; what was coached, the log does not say.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from outcomes.design.design import FloatArray, IntArray
from outcomes.effects.coaching import LEAST_FIRINGS
from outcomes.log.codebook import Factor, Kind

SHUFFLES: Final = 999
CHANCE: Final = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitStep:
    """A setting whose values changed at a date: averages before and after, in its base unit."""

    factor: str
    since: pd.Timestamp
    before: float
    after: float
    p_value: float


def find_habit_step(
    frame: pd.DataFrame,
    *,
    date: str,
    settings: Sequence[Factor],
    firing: IntArray,
    rng: np.random.Generator,
) -> HabitStep | None:
    """Return the clearest change of a setting at a date, None when chance could have made it.

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        Values of the log.
    date
        Its date column; firings without a date take no part.
    settings
        Which settings to look at; only numbers are.
    firing : array, shape (n,)
        Number of the firing of each piece.
    rng
        Draws the random orders.
    """
    days = frame[date].groupby(firing).min().dropna()
    numbers = [f.name for f in settings if f.kind is Kind.NUMBER and f.name in frame]
    order = days.sort_values(kind="stable")
    cuts = _cuts(order.to_numpy())
    means = frame[numbers].groupby(firing).mean().loc[order.index]
    means = means.loc[:, means.notna().all() & (means.std(ddof=0) > 0.0)]
    if not cuts or means.empty:
        return None
    values = means.to_numpy(dtype=float).T
    seen = _strengths(values, cuts)
    setting, cut = divmod(int(seen.argmax()), len(cuts))
    chance = [
        _strengths(values[:, rng.permutation(len(order))], cuts).max() for _ in range(SHUFFLES)
    ]
    p_value = (1.0 + sum(one >= seen.max() - 1e-12 for one in chance)) / (SHUFFLES + 1.0)
    if p_value > CHANCE:
        return None
    place = cuts[cut]
    return HabitStep(
        factor=str(means.columns[setting]),
        since=pd.Timestamp(order.iloc[place]),
        before=float(values[setting, :place].mean()),
        after=float(values[setting, place:].mean()),
        p_value=p_value,
    )


def _cuts(days: np.ndarray) -> list[int]:
    """Return the places between two dates with at least three firings on each side."""
    last = len(days) - LEAST_FIRINGS
    return [i for i in range(LEAST_FIRINGS, last + 1) if days[i] != days[i - 1]]


def _strengths(values: FloatArray, cuts: list[int]) -> FloatArray:
    """Return |Welch t| of every setting at every cut, shape (F, C)."""
    found = []
    for cut in cuts:
        first, second = values[:, :cut], values[:, cut:]
        error = first.var(axis=1, ddof=1) / cut + second.var(axis=1, ddof=1) / second.shape[1]
        gap = np.abs(second.mean(axis=1) - first.mean(axis=1))
        found.append(gap / np.sqrt(np.maximum(error, 1e-300)))
    return np.stack(found, axis=1)
