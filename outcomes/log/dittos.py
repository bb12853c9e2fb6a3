"""Ditto marks: the value of the row above, where there is one."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from outcomes.log.columns import ColumnRead
from outcomes.log.firing_log import How
from outcomes.log.how_codes import code_of

NOTHING_ABOVE = "a mark for 'the same as above', but the cell above it has no usable value"


def fill_dittos(column: ColumnRead, stretch: NDArray[np.int64]) -> ColumnRead:
    """Return the column with each ditto mark holding the value of the row above.

    Parameters
    ----------
    column
        One column of one file, rows in sheet order, shape (n,).
    stretch
        Number of rows set aside above each row, shape (n,): a mark does not reach over a row
        that could not be read, whose value it may mean.

    Notes
    -----
    A run of marks repeats the first value above it. Below a blank cell, a cell or row set
    aside, or the header a mark has nothing to repeat: it is set aside.
    """
    marks = column.is_read(How.DITTO)
    if not marks.any():
        return column
    places = np.arange(len(marks))
    at = np.flatnonzero(marks)
    above = np.maximum.accumulate(np.where(marks, -1, places))[at]
    source = np.maximum(above, 0)
    has_source = (above >= 0) & (stretch[at] == stretch[source])
    source_how = column.how[source]
    empty = (source_how == code_of(How.BLANK)) | (source_how == code_of(How.SET_ASIDE))
    is_found = has_source & ~empty
    lost = at[~is_found]
    values, how, reasons = column.values.copy(), column.how.copy(), column.reasons.copy()
    values[at[is_found]] = column.values[source[is_found]]
    how[lost] = code_of(How.SET_ASIDE)
    reasons[lost] = NOTHING_ABOVE
    return replace(column, values=values, how=how, reasons=reasons)
