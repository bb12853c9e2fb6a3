"""Where a setting can be put in the panel: stops, and which of them each glaze was fired at.

A number stops at whole multiples of its practical step, in the unit the maker writes; coarser
where there would be too many. On a glaze it may go from the 5th to the 95th percentile logged
with that glaze, the range `effects.support` allows; a level needs two firings of that glaze.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.effects.support import LEVEL_FIRINGS
from outcomes.log.codebook import Factor, Kind
from outcomes.report.teller import Teller

MOST_STOPS = 41
_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """The values a setting can have in the panel.

    Parameters
    ----------
    factor
        Of the codebook.
    values
        In base unit, ascending; or levels, in the order of the codebook.
    """

    factor: Factor
    values: tuple[float | str, ...]

    @property
    def is_number(self) -> bool:
        """Return whether the setting slides."""
        return self.factor.kind is Kind.NUMBER


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """Positions of stops that one glaze was fired at, ascending, and the usual one."""

    stops: tuple[int, ...]
    usual: int


def build_stops(factor: Factor, values: pd.Series, teller: Teller) -> Stops:
    """Return the stops of a setting over everything that was logged."""
    if factor.kind is not Kind.NUMBER:
        seen = {str(value) for value in values}
        known = [level for level in factor.levels if level in seen]
        return Stops(factor=factor, values=(*known, *sorted(seen - set(known))))
    low, high = (float(values.quantile(q)) for q in (0.0, 1.0))
    zero, one = (teller.in_shown_unit(x, factor.name) for x in (0.0, 1.0))
    slope = one - zero  # every unit is a straight line away
    shown = _whole_steps(zero + slope * low, zero + slope * high, step=_step(factor, slope))
    return Stops(factor=factor, values=tuple((x - zero) / slope for x in shown))


def find_allowed(stops: Stops, values: pd.Series, firing: Sequence[int]) -> Allowed:
    """Return where a setting may be put on a glaze whose pieces had these values."""
    if stops.is_number:
        at = np.array(stops.values, dtype=float)
        low, high = values.quantile([0.05, 0.95])
        inside = np.flatnonzero((at >= low - _HAIR) & (at <= high + _HAIR))
        middle = float(values.median())
    else:
        names = values.astype(str).to_numpy()
        firings = [len(set(np.asarray(firing)[names == level].tolist())) for level in stops.values]
        counts = [int((names == level).sum()) for level in stops.values]
        inside = np.flatnonzero(np.array(firings) >= LEVEL_FIRINGS)
        at, middle = -np.array(counts, dtype=float), -float(max(counts))
    if not len(inside):
        inside = np.array([int(np.argmin(np.abs(at - middle)))])
    usual = inside[int(np.argmin(np.abs(at[inside] - middle)))]
    return Allowed(stops=tuple(int(k) for k in inside), usual=int(usual))


def _step(factor: Factor, slope: float) -> float:
    """Return the practical step in the unit shown: a round number where the unit is another."""
    step = (factor.step or 0.0) * abs(slope)
    return step if abs(slope - 1.0) < _HAIR or not step else _round_up(step)


def _whole_steps(low: float, high: float, *, step: float) -> list[float]:
    """Return the multiples of a step within two ends, at most `MOST_STOPS` of them.

    >>> _whole_steps(3.0, 9.5, step=2.0)
    [4.0, 6.0, 8.0]
    """
    least = (high - low) / (MOST_STOPS - 1)
    wide = step or _round_up(least)
    if wide < least:
        wide = step * math.ceil(_round_up(least / step))
    first, last = math.ceil(low / wide - _HAIR), math.floor(high / wide + _HAIR)
    found = [round(k * wide, 10) for k in range(first, last + 1)]
    return found or [round((low + high) / 2.0, 10)]


def _round_up(size: float) -> float:
    """Return the next of 1, 2, 5, 10, 20 ...

    >>> _round_up(9.0), _round_up(0.03)
    (10.0, 0.05)
    """
    power = 10.0 ** math.floor(math.log10(size))
    return next(float(round(k * power, 12)) for k in (1, 2, 5, 10) if k * power >= size - _HAIR)
