"""Between which values of a number the log was tried, and round values inside.

The range is the 5-95 % range common to the main glazes (those with at least a fifth of the
pieces): a contrast inside it needs no glaze to be imagined where it was never fired. When
the glazes have less than half of the log's own 5-95 % range in common, the log's own is
taken and `support` leaves out the pieces it does not fit.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

MAIN_GLAZE = 0.20
LEAST_COMMON = 0.50
_ENDS = (0.05, 0.95)
_HAIR = 1e-9  # rounding may not push a value on the edge out of the range


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """The values of one numeric factor.

    Parameters
    ----------
    values : Series, shape (n,)
        Without blanks.
    low, high
        The range a contrast may use.
    step
        Values are rounded to it; 0 for not at all.
    """

    values: pd.Series
    low: float
    high: float
    step: float


def find_tried(values: pd.Series, glaze: pd.Series | None, step: float) -> Tried:
    """Return the range in which a factor was tried, for all main glazes if they share one."""
    numbers = values.to_numpy(dtype=np.float64)
    low, high = (float(value) for value in np.quantile(numbers, _ENDS))
    of, names = pd.factorize(np.zeros(len(numbers)) if glaze is None else glaze.to_numpy())
    if len(names) > 1:
        share = np.bincount(of[of >= 0]) / len(numbers)
        main = np.flatnonzero(share >= MAIN_GLAZE)
        ends = [(low, high), *(np.quantile(numbers[of == one], _ENDS) for one in main)]
        common_low = float(max(end[0] for end in ends))
        common_high = float(min(end[1] for end in ends))
        if common_high - common_low >= LEAST_COMMON * (high - low):
            low, high = common_low, common_high
    return Tried(values=values, low=low, high=high, step=step)


def value_at(tried: Tried, quantile: float) -> float:
    """Return a quantile of the log, moved into the range and rounded to the step inside it.

    >>> tried = find_tried(pd.Series([1.0, 2.0, 3.0, 4.0, 5.0]), None, 2.0)
    >>> value_at(tried, 0.5)
    4.0
    """
    numbers = tried.values.to_numpy(dtype=np.float64)
    exact = float(np.clip(np.quantile(numbers, quantile), tried.low, tried.high))
    if not tried.step:
        return exact
    rounded = round(exact / tried.step) * tried.step
    if rounded < tried.low - _HAIR:
        rounded += tried.step
    elif rounded > tried.high + _HAIR:
        rounded -= tried.step
    is_inside = tried.low - _HAIR <= rounded <= tried.high + _HAIR
    return float(np.round(rounded, 10)) if is_inside else exact


def two_values(tried: Tried) -> tuple[float, float, str]:
    """Return two distinct values of a factor and how they were chosen."""
    exact = Tried(values=tried.values, low=tried.low, high=tried.high, step=0.0)
    for scale in (tried, exact):
        low, high = value_at(scale, 0.20), value_at(scale, 0.80)
        if low < high:
            return low, high, "20th to 80th percentile of the log"
    low, high = value_at(tried, 0.05), value_at(tried, 0.95)
    if low < high:
        return low, high, "5th to 95th percentile of the log"
    common = sorted(float(value) for value in tried.values.value_counts().index[:2])
    return common[0], common[1], "the two commonest"
