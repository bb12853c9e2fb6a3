"""Which pieces of a log count for a plan: those fired from the day it names."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column
from outcomes.planning.plan import Plan

BoolArray = NDArray[np.bool_]


def find_counted(plan: Plan, log: FiringLog) -> BoolArray:
    """Return which rows count, shape (n,); a row without a date counts, and that is said."""
    return ~fired_before(log, pd.Timestamp(plan.counts_from))


def fired_before(log: FiringLog, day: pd.Timestamp) -> BoolArray:
    """Return which rows carry a date before a day, shape (n,)."""
    if not has_column(log, log.codebook.date):
        return np.zeros(len(log.values), dtype=bool)
    return np.asarray(log.values[log.codebook.date] < day, dtype=bool)


def is_undated(log: FiringLog) -> BoolArray:
    """Return which rows carry no date, shape (n,)."""
    if not has_column(log, log.codebook.date):
        return np.ones(len(log.values), dtype=bool)
    return np.asarray(log.values[log.codebook.date].isna(), dtype=bool)
