"""The record of an interval."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A confidence interval.

    ``method`` is "expanded percentile", "jackknife t" or "Wilson"; ``confidence`` is 0.95 for 95 %.
    """

    low: float
    high: float
    confidence: float
    method: str

    def width(self) -> float:
        """Return high - low."""
        return self.high - self.low
