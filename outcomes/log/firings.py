"""Which firing each piece belongs to, and what stood for the firing when nobody wrote one."""

from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.firing_log import FiringLog

_FIRST: Final = 1000


def cluster_column(log: FiringLog) -> str:
    """Return the column that names the firing: the firing's own, the date, or "" for neither.

    A column in which nothing is written names nothing: the date stands in for it, and where
    there is no date either, every piece is its own firing.
    """
    for name in (log.codebook.firing, log.codebook.date):
        if name and name in log.values.columns and _holds_any(log.values[name]):
            return name
    return ""


def _holds_any(column: "pd.Series[Any]") -> bool:
    """Whether anything is written; the first rows usually tell, a million need not be read."""
    return bool(column.iloc[:_FIRST].notna().any() or column.notna().any())


def firing_labels(log: FiringLog) -> "pd.Series[str]":
    """Return every piece's firing as text; None where its cell is blank.

    Returns
    -------
    Series, shape (n,)
        Index of ``log.values``. A date counts by its day. Without a cluster column every
        piece has a label of its own.
    """
    column = cluster_column(log)
    if not column:
        labels = pd.Series([f"piece {i + 1}" for i in range(len(log.values))], dtype=object)
    elif column == log.codebook.date:
        days = log.values[column].dt.strftime("%Y-%m-%d").astype(object)
        labels = days.where(log.values[column].notna(), None)
    else:
        labels = log.values[column].astype(object)
    return labels.set_axis(log.values.index)


def compare_within(
    labels: "pd.Series[str]", values: "pd.Series[Any]"
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
    """Return each row's firing as a number, and per firing what is written in it.

    Parameters
    ----------
    labels, values : Series, shape (n,)
        Every row's firing and value; missing ones are compared with nothing.

    Returns
    -------
    codes : array, shape (n,)
        The firing's number; -1 where none is written.
    times : array, shape (firings,)
        How many values are written.
    differs : array, shape (firings,)
        Whether they are more than one kind.
    """
    codes, firings = pd.factorize(labels)
    kinds, _ = pd.factorize(values)
    at = np.flatnonzero((codes >= 0) & (kinds >= 0))
    first = np.zeros(len(firings), dtype=np.int64)
    first[codes[at[::-1]]] = kinds[at[::-1]]  # what is set last stays: the first row
    differs = np.zeros(len(firings), dtype=bool)
    differs[codes[at[kinds[at] != first[codes[at]]]]] = True
    return codes, np.bincount(codes[at], minlength=len(firings)), differs


def pieces_per_firing(log: FiringLog) -> dict[str, int]:
    """Return the number of pieces of every firing, in order of first appearance."""
    codes, names = pd.factorize(firing_labels(log))
    counts = np.bincount(codes[codes >= 0], minlength=len(names))
    return {str(name): int(count) for name, count in zip(names, counts, strict=True)}
