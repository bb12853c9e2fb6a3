"""The record of a setting's best value."""

from dataclasses import dataclass
from enum import StrEnum

from outcomes.effects.near_best import NearBest


class BestKind(StrEnum):
    """What the log says about a best value."""

    INSIDE = "inside"  # both limits lie inside the tried range
    AT_LEAST = "at least"  # only the lower limit does
    AT_MOST = "at most"  # only the upper limit does
    RISING = "rising"  # still better toward the high edge
    FALLING = "falling"  # still better toward the low edge
    ENDS = "ends"  # both ends are better than the middle
    OPEN = "open"  # no limit: these firings cannot bound it


@dataclass(frozen=True, slots=True, kw_only=True)
class Optimum:
    """The best value of one setting for one outcome; base unit.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    kind
        What the log says about it.
    best
        Where the fitted curve is best inside the tried range; may be an edge.
    low, high
        Limits of the set of possible best values, cut at the tried range.
    tried_low, tried_high
        The 5th and 95th percentile of the logged values.
    confidence
        Of the set; None under the floors (fewer than 6 firings), where it is the whole range.
    near
        The values that do nearly as well.
    sentence
        Plain words, amounts in the base unit.
    """

    outcome: str
    factor: str
    kind: BestKind
    best: float
    low: float
    high: float
    tried_low: float
    tried_high: float
    confidence: float | None
    near: NearBest
    sentence: str

    @property
    def is_window(self) -> bool:
        """Return whether a best range inside what was tried is established."""
        return self.kind is BestKind.INSIDE
