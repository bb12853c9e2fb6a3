"""Within what the values could have been dealt otherwise."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from outcomes.model.fit import IntArray


def number_strata(columns: Sequence[np.ndarray], *, length: int) -> IntArray:
    """Return each unit's stratum 0..S-1, shape (n,): equal where all columns are equal.

    Parameters
    ----------
    columns : sequence of arrays, each shape (n,)
        None at all puts every unit into one stratum.
    length
        n.

    Examples
    --------
    >>> number_strata([np.array(["x", "y", "x"], dtype=object)], length=3).tolist()
    [0, 1, 0]
    """
    stratum = np.zeros(length, dtype=np.int64)
    for column in columns:
        codes = pd.factorize(column)[0]
        stratum = pd.factorize(stratum * (int(codes.max(initial=0)) + 1) + codes)[0]
    return np.asarray(stratum, dtype=np.int64)
