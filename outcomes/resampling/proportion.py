"""The interval of one share, right also when nobody or everybody is counted."""

from math import sqrt

from scipy import special

from outcomes.errors import RequestError
from outcomes.resampling.interval import Interval


def wilson_interval(count: int, total: int, confidence: float = 0.95) -> Interval:
    """Return the Wilson score interval of count / total.

    Parameters
    ----------
    count, total
        0 <= count <= total, total at least 1. For pieces that share their firing's luck
        count firings, not pieces.
    confidence
        Two-sided, 0.95 for 95 %.

    Raises
    ------
    RequestError
        If the numbers are no share.

    References
    ----------
    Wilson, E. B. (1927), JASA 22:209-212; Newcombe, R. G. (1998), Statistics in Medicine
    17:857-872, method 3.

    Examples
    --------
    >>> interval = wilson_interval(0, 20)
    >>> round(interval.low, 4), round(interval.high, 4)
    (0.0, 0.1611)
    """
    if not 0 <= count <= total or total < 1:
        raise RequestError(f"{count} of {total} is no share; 0 <= count <= total is needed.")
    z = float(special.ndtri(0.5 + 0.5 * confidence))
    share = count / total
    middle = share + z * z / (2 * total)
    spread = z * sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    scale = 1 + z * z / total
    # At 0 and at all the end is exact; rounding would leave 1e-17 below or above it.
    low = 0.0 if count == 0 else (middle - spread) / scale
    high = 1.0 if count == total else (middle + spread) / scale
    return Interval(low=low, high=high, confidence=confidence, method="Wilson")
