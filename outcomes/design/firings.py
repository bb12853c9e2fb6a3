"""Which pieces share a firing, and so share its luck."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import cluster_column, day_labels, firing_labels


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Firings:
    """The firing of every piece of a log.

    Parameters
    ----------
    labels : array of str, shape (n,)
        The firing's name for each row of ``FiringLog.values``.
    cluster
        What stood for the firing: the codebook's firing column, its date column, or "" when
        every piece is its own. What had to be assumed, `outcomes.log.check_firings` says once
        for the whole log.
    """

    labels: NDArray[np.object_]
    cluster: str


def find_firings(log: FiringLog) -> Firings:
    """Return the firing of every piece: its id, else its date, else the piece itself.

    Notes
    -----
    A piece without an id in a log that has ids joins the one firing of its date if exactly
    one firing was logged that day; otherwise its date, or the piece itself, is its firing.
    """
    cluster = cluster_column(log)
    labels = firing_labels(log)
    if cluster and labels.notna().all():
        return Firings(labels=labels.to_numpy(dtype=object), cluster=cluster)
    days = _days(log)
    own = pd.Series([f"piece in row {row}" for row in log.origin["row"]], index=labels.index)
    if cluster and cluster == log.codebook.firing:
        same_day = days.map(_only_firing_of_day(labels, days))
        labels = labels.where(labels.notna(), same_day).where(lambda s: s.notna(), days)
    labels = labels.where(labels.notna(), own)
    return Firings(labels=labels.to_numpy(dtype=object), cluster=cluster)


def number_firings(labels: NDArray[np.object_]) -> tuple[NDArray[np.int64], tuple[str, ...]]:
    """Return firing numbers 0..G-1 in order of first appearance, and their names.

    >>> number_firings(np.array(["b", "a", "b"], dtype=object))[1]
    ('b', 'a')
    """
    codes, names = pd.factorize(pd.Series(labels, dtype=object))
    return np.asarray(codes, dtype=np.int64), tuple(str(name) for name in names)


def is_alike_within(values: pd.Series, firing: NDArray[np.int64]) -> bool:
    """Return whether a factor without blanks has one value in each firing.

    >>> is_alike_within(pd.Series([1.0, 1.0, 2.0]), np.array([0, 0, 1]))
    True
    """
    codes = pd.factorize(values.to_numpy())[0]
    of_firing = np.empty(int(firing.max()) + 1, dtype=np.int64)
    of_firing[firing] = codes
    return bool((of_firing[firing] == codes).all())


def _days(log: FiringLog) -> "pd.Series[str]":
    """Return each piece's day, None when blank and where the log has no dates."""
    name = log.codebook.date
    if not name or name not in log.values:
        return pd.Series([None] * len(log.values), index=log.values.index, dtype=object)
    return day_labels(log)


def _only_firing_of_day(ids: "pd.Series[str]", days: "pd.Series[str]") -> dict[str, str]:
    """Return day -> firing for the days on which exactly one firing was logged."""
    known = pd.DataFrame({"firing": ids, "day": days}).dropna().drop_duplicates()
    single = known.drop_duplicates("day", keep=False)
    return dict(zip(single["day"], single["firing"], strict=True))
