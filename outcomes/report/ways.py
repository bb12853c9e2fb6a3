"""How a habit worth changing may be told to a class: as it is, as an arrangement, or not at all.

A finding that points toward quicker, hotter or closer handling is never told as something to
do faster. A shorter time becomes an arrangement (all laid out, within reach, a calm pace);
everything else that is hot is left to the leader.
"""

from enum import StrEnum

from outcomes.effects.suggestion import WorthChanging
from outcomes.log.codebook import Direction, Factor
from outcomes.report.cautions import points_hot

# A time a person spends beside open fire, as against the minutes a can stands closed.
_HANDLING = "s"


class Way(StrEnum):
    """How a setting is told."""

    CALM = "calm"  # the better value has nothing to do with haste or heat
    ARRANGE = "arrange"  # the better value is a shorter time at the fire
    LEADER = "leader"  # hotter, closer, or nobody can say: not a student's to change


def choose_way(worth: WorthChanging, factor: Factor | None) -> Way:
    """Return how a habit worth changing is told."""
    if factor is None or factor.hot is Direction.NEITHER:
        return Way.CALM
    better, worse = worth.better, worth.worse
    if isinstance(better, str) or isinstance(worse, str):
        return _choose_level(better, factor, worth)
    if factor.unit == _HANDLING and better < worse:
        return Way.ARRANGE
    if factor.hot is not Direction.EITHER and not points_hot(worth.effect, factor, worth.outcome):
        return Way.CALM
    return Way.CALM if factor.unit == _HANDLING and better > worse else Way.LEADER


def _choose_level(better: float | str, factor: Factor, worth: WorthChanging) -> Way:
    """Return how a choice is told: leaving something out is calm, doing it is the leader's.

    The codebook writes the level without the hot act first ("none", "no").
    """
    if factor.levels and better == factor.levels[0] and factor.levels[0] in ("none", "no"):
        return Way.CALM
    if factor.hot is Direction.EITHER or points_hot(worth.effect, factor, worth.outcome):
        return Way.LEADER
    return Way.CALM
