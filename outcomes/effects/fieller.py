"""The values at which a parabola may have its top: Fieller's set.

For a linear predictor b1 u + b2 u^2 the top is at u* = -b1 / (2 b2). A value u stays in the set
as long as the slope there, b1 + 2 b2 u, cannot be told from 0::

    (b1 + 2 b2 u)^2 <= t^2 (v11 + 4 u v12 + 4 u^2 v22),   that is   A u^2 + B u + C <= 0

with A = 4 b2^2 - 4 t^2 v22, B = 4 b1 b2 - 4 t^2 v12 and C = b1^2 - t^2 v11. The delta method is
not offered: it is symmetric, and too short on the flat side.

References
----------
Fieller (1954), JRSS B 16, 175-185. ter Braak & Looman (1986), Vegetatio 65, 3-11.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from outcomes.design.design import FloatArray


class SetKind(StrEnum):
    """What a Fieller set looks like."""

    BOUNDED = "bounded"  # low..high
    OUTSIDE = "outside"  # everything except between low and high
    EVERYTHING = "everything"  # the curvature says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class FiellerSet:
    """A Fieller set; ``low`` and ``high`` are NaN when it is everything.

    ``top`` is the estimate -b1 / (2 b2), NaN without curvature; ``curvature`` is A, above 0
    exactly when the curvature can be told from 0 at the same confidence.
    """

    kind: SetKind
    top: float
    low: float
    high: float
    curvature: float


def build_fieller_set(slope: float, bend: float, covariance: FloatArray, t: float) -> FiellerSet:
    """Return the set of values at which the parabola may have its turning point.

    Parameters
    ----------
    slope, bend
        b1 and b2.
    covariance : array, shape (2, 2)
        Of (b1, b2).
    t
        Quantile, such as 1.96.

    Examples
    --------
    >>> import numpy as np
    >>> found = build_fieller_set(1.0, -0.5, 0.01 * np.eye(2), 1.96)
    >>> found.kind.value, found.top, round(found.low, 3), round(found.high, 3)
    ('bounded', 1.0, 0.672, 1.691)
    """
    square = t**2
    a = 4.0 * (bend**2 - square * float(covariance[1, 1]))
    b = 4.0 * (slope * bend - square * float(covariance[0, 1]))
    c = slope**2 - square * float(covariance[0, 0])
    top = -slope / (2.0 * bend) if bend else math.nan
    inside = b**2 - 4.0 * a * c
    if a == 0.0 or (a < 0.0 and inside <= 0.0):
        return FiellerSet(
            kind=SetKind.EVERYTHING, top=top, low=math.nan, high=math.nan, curvature=a
        )
    root = math.sqrt(max(0.0, inside))
    low, high = sorted([(-b - root) / (2.0 * a), (-b + root) / (2.0 * a)])
    kind = SetKind.BOUNDED if a > 0.0 else SetKind.OUTSIDE
    return FiellerSet(kind=kind, top=top, low=low, high=high, curvature=a)
