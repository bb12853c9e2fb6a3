"""The record of an interval."""

from dataclasses import dataclass, replace
from typing import Self


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A confidence interval.

    ``method`` is "firing-score t", "jackknife t", "expanded percentile" or "Wilson";
    ``confidence`` is 0.95 for 95 %.
    """

    low: float
    high: float
    confidence: float
    method: str

    def width(self) -> float:
        """Return high - low."""
        return self.high - self.low

    def cut(self, low: float, high: float) -> Self:
        """Return the part of it that lies in low..high.

        >>> Interval(low=-1.2, high=0.3, confidence=0.95, method="").cut(-1.0, 1.0).low
        -1.0
        """
        return replace(self, low=max(low, self.low), high=min(high, self.high))
