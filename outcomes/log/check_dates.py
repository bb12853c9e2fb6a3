"""Rules about dates: years that cannot be meant, days out of the order of the firings.

Dates are compared with the other dates of the log, never with today's, so that the same log
gives the same answer on any day.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import cluster_column, firing_labels
from outcomes.log.places import (
    Positions,
    about_column,
    about_rows,
    has_column,
    list_cells,
    positions_of,
)
from outcomes.log.quoting import count_of, quote_text

# A studio may rest for a year; a date further than this from every other is a slip of the year.
LONGEST_REST_DAYS = 400
MOST_OF_THE_LOG = 0.6
# Up to this share of firings out of order, the dates are slips; beyond it, the log is sorted by
# something else.
FEW_SLIPS = 0.2
FEWEST_TO_ORDER = 4


def check_far_dates(log: FiringLog) -> tuple[Finding, ...]:
    """Name dates that lie years from all others."""
    date = log.codebook.date
    if not has_column(log, date):
        return ()
    days = log.values[date].dropna().dt.normalize()
    if days.nunique() < 3:
        return ()
    groups = _group_of_day(days)
    largest = groups.value_counts().idxmax()
    if (groups == largest).mean() < MOST_OF_THE_LOG:
        return ()
    near = days[groups == largest]
    span = f"{near.min():%Y-%m-%d} to {near.max():%Y-%m-%d}"
    far = positions_of((groups != largest).reindex(log.values.index, fill_value=False))

    def words(here: Positions) -> tuple[str, str]:
        cells = list_cells(log, here, date)
        return (
            f"{cells}, far from all other dates of the log ({span}). Expected a date near them.",
            "Check the year. The date is kept as written.",
        )

    return about_rows(
        log, far, column=date, code="implausible_date", severity=Severity.WARNING, words=words
    )


def check_date_order(log: FiringLog) -> tuple[Finding, ...]:
    """Name firings whose date breaks the order of the firings' numbers, or of the rows."""
    date = log.codebook.date
    if not has_column(log, date) or cluster_column(log) in ("", date):
        return ()
    found: list[Finding] = []
    for file in log.origin["file"].drop_duplicates():
        days = _days_of_firings(log, file=str(file))
        if len(days) >= FEWEST_TO_ORDER:
            found += _check_order(log, days, file=str(file))
    return tuple(found)


def _check_order(log: FiringLog, days: dict[str, int], *, file: str) -> tuple[Finding, ...]:
    """Judge the dates of one file's firings, oldest first or newest first."""
    date, firing = log.codebook.date, log.codebook.cluster_word
    seconds = list(days.values())
    found = min(_out_of_order(seconds), _out_of_order([-day for day in seconds]), key=len)
    slips = [name for at, name in enumerate(days) if at in found]
    if not slips:
        return ()
    if len(slips) > max(1, FEW_SLIPS * len(days)):
        return (_sorted_otherwise(log),)
    labels = firing_labels(log)
    odd = positions_of(labels.isin(slips) & (log.origin["file"] == file))

    def words(here: Positions) -> tuple[str, str]:
        told = [
            f"{firing} {quote_text(name)} of {_day(days[name])} in {count_of(n, 'row')}"
            for name, n in Counter(labels.iloc[here]).items()
        ]
        return (
            f"out of order: {', '.join(told[:5])}. Expected the dates to follow the {firing}s, "
            f"as the other {len(days) - len(slips)} do.",
            f"Check day, month and year, or the {firing}'s number. The date is kept as written.",
        )

    return about_rows(
        log, odd, column=date, code="dates_out_of_order", severity=Severity.WARNING, words=words
    )


def _sorted_otherwise(log: FiringLog) -> Finding:
    """Note that the dates follow no order of the firings at all."""
    firing = log.codebook.cluster_word
    return about_column(
        log,
        log.codebook.date,
        code="dates_out_of_order",
        severity=Severity.NOTE,
        message=f"the dates follow neither the {firing}s' numbers nor the order of the rows.",
        advice=f"Nothing is lost if the log is sorted otherwise; else check the {firing}s.",
    )


def _group_of_day(days: "pd.Series[pd.Timestamp]") -> "pd.Series[int]":
    """Return the number of the stretch of firings each day belongs to."""
    distinct = sorted(days.unique())
    breaks = [b for a, b in pairwise(distinct) if (b - a) > pd.Timedelta(days=LONGEST_REST_DAYS)]
    return days.map({day: bisect_right(breaks, day) for day in distinct})


def _days_of_firings(log: FiringLog, *, file: str) -> dict[str, int]:
    """Return the commonest day (seconds) of every firing, by its number, else by its row."""
    inside = (log.origin["file"] == file) & log.values[log.codebook.date].notna()
    labels = firing_labels(log)[inside].dropna()
    days = log.values.loc[labels.index, log.codebook.date].dt.normalize()
    counts = pd.DataFrame({"firing": labels, "day": days}).value_counts().reset_index()
    usual = counts.drop_duplicates("firing").set_index("firing")["day"].loc[labels.unique()]
    numbers = pd.Series(usual.index, index=usual.index).str.extract(r"^(\D*)(\d{1,9})\D*$")
    if numbers[1].notna().all() and numbers[0].nunique() == 1 and numbers[1].is_unique:
        usual = usual.loc[numbers[1].astype(np.int64).sort_values(kind="stable").index]
    seconds = usual.astype("datetime64[s]").astype(np.int64)
    return {str(name): int(day) for name, day in seconds.items()}


def _out_of_order(values: Sequence[int]) -> set[int]:
    """Return the positions outside one longest run that never steps back (patience sorting)."""
    tails: list[int] = []  # position that ends the best run of each length
    before: list[int] = []
    for at, value in enumerate(values):
        length = bisect_right(tails, value, key=values.__getitem__)
        before.append(tails[length - 1] if length else -1)
        tails[length : length + 1] = [at]
    outside, at = set(range(len(values))), tails[-1]
    while at >= 0:
        outside.discard(at)
        at = before[at]
    return outside


def _day(seconds: int) -> str:
    return f"{pd.Timestamp(seconds, unit='s'):%Y-%m-%d}"
