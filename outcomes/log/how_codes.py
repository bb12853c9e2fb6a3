"""How cells were read, as a small number a cell: a million words are slow to compare."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from outcomes.log.firing_log import How

HowCodes = NDArray[np.int8]
_HOWS = tuple(How)
_CODES = {how: code for code, how in enumerate(_HOWS)}


def code_of(how: How) -> int:
    """Return the number that stands for one way of reading."""
    return _CODES[how]


def code_hows(hows: Sequence[How]) -> HowCodes:
    """Return the number of each, shape (n,)."""
    return np.array([_CODES[how] for how in hows], dtype=np.int8)


def name_hows(codes: HowCodes) -> NDArray[np.object_]:
    """Return the words again, as `FiringLog.how` holds them.

    >>> name_hows(code_hows([How.DITTO, How.BLANK])).tolist()
    ['ditto', 'blank']
    """
    words = np.array([str(how) for how in _HOWS], dtype=object)
    return words.take(codes)
