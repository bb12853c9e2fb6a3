"""Which firing each piece belongs to, and what stood for the firing when nobody wrote one."""

from typing import Any, Final

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.firing_log import FiringLog, How
from outcomes.log.words import clean_text, is_ditto

_FIRST: Final = 1000


def cluster_column(log: FiringLog) -> str:
    """Return the column that names the firing: the firing's own, the date, or "" for neither.

    A column in which nothing is written names nothing: the date stands in for it, and where
    there is no date either, every piece is its own firing. Where neither can be read, the one
    in which something is written still tells pieces of one firing by their equal text.
    """
    names = [
        name for name in (log.codebook.firing, log.codebook.date) if name in log.values.columns
    ]
    read = [name for name in names if _holds_any(log.values[name])]
    return next(iter(read or (name for name in names if unread_firings(log, name).any())), "")


def _holds_any(column: "pd.Series[Any]") -> bool:
    """Whether anything is written; the first rows usually tell, a million need not be read."""
    return bool(column.iloc[:_FIRST].notna().any() or column.notna().any())


def firing_labels(log: FiringLog) -> "pd.Series[str]":
    """Return every piece's firing as text; None where its cell is blank.

    Returns
    -------
    Series, shape (n,)
        Index of ``log.values``. A date counts by its day. What is written but cannot be read
        counts by its text, file by file. Without a cluster column every piece has a label of
        its own.
    """
    column = cluster_column(log)
    if not column:
        labels = pd.Series([f"piece {i + 1}" for i in range(len(log.values))], dtype=object)
    elif column == log.codebook.date:
        labels = day_labels(log)
    else:
        labels = _with_unread(log, log.values[column].astype(object), column)
    return labels.set_axis(log.values.index)


def day_labels(log: FiringLog) -> "pd.Series[str]":
    """Return every piece's day as "2025-03-01", its text where unreadable, None when blank.

    Returns
    -------
    Series, shape (n,)
        Index of ``log.values``, which holds the codebook's date column.
    """
    dates = log.values[log.codebook.date]
    days: pd.Series[str] = dates.dt.strftime("%Y-%m-%d").astype(object)
    return _with_unread(log, days.where(dates.notna(), None), log.codebook.date)


def unread_firings(log: FiringLog, column: str) -> "pd.Series[bool]":
    """Return which pieces' firing or date is written in the column but could not be read.

    Returns
    -------
    Series, shape (n,)
        Index of ``log.values``.
    """
    unread: pd.Series[bool] = log.values[column].isna()
    if unread.any():
        unread = unread & (log.how[column] == str(How.SET_ASIDE))
    if unread.any():
        unread = unread & log.written[column].map(lambda text: bool(text.strip()))
    return unread


def _with_unread(log: FiringLog, labels: "pd.Series[str]", column: str) -> "pd.Series[str]":
    """Return the labels, a cell that cannot be read counting by its text.

    To give each such piece a firing of its own would treat pieces that share luck as if they
    did not, and find effects that are none. The text counts within its file: bare numbers of
    days on the sheets of two months are two days.
    """
    unread = unread_firings(log, column).to_numpy()
    if not unread.any():
        return labels
    texts = [clean_text(str(text)) for text in log.written[column][unread]]
    files = log.origin["file"].to_numpy(dtype=object)
    inside = [f" in {file}" if len(log.files) > 1 else "" for file in files[unread]]
    shown: dict[str, str] = {}
    named = labels.to_numpy(dtype=object, copy=True)
    named[unread] = [
        shown.setdefault(text.casefold() + file, text + file)
        for text, file in zip(texts, inside, strict=True)
    ]
    marks = np.zeros(len(named), dtype=bool)
    marks[unread] = [is_ditto(text) for text in texts]
    return pd.Series(_say_above(named, marks, files), index=labels.index, dtype=object)


def _say_above(
    named: NDArray[np.object_], marks: NDArray[np.bool_], files: NDArray[np.object_]
) -> NDArray[np.object_]:
    """Return the labels, each mark for "as above" taking the label above it in its file."""
    named = named.copy()
    named[marks] = None
    above = np.maximum.accumulate(np.where(marks, 0, np.arange(len(marks))))
    known = marks & (files[above] == files)
    named[known] = named[above[known]]
    return named


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
