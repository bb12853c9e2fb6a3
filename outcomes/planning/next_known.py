"""What a plan starts from: one outcome as the log has taught it."""

from dataclasses import dataclass

from outcomes.design.design import Design
from outcomes.effects.effect import Effect, Tangle
from outcomes.effects.shares import Shares
from outcomes.log.codebook import Outcome
from outcomes.model.fit import CumulativeFit

USUAL_LUCK = 0.2  # firing luck to piece luck where the log cannot tell (method_in_depth.md §16)
# A log in which no firing luck is seen may still hold some; a plan that trusts in none would
# learn firing settings from very few firings.
LEAST_LUCK = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Known:
    """One outcome before more is fired.

    ``luck`` is tau: variance of firing luck over variance of piece luck.
    """

    outcome: Outcome
    design: Design
    fit: CumulativeFit
    effects: tuple[Effect, ...]
    tangles: tuple[Tangle, ...]
    luck: float = USUAL_LUCK

    def effect(self, factor: str) -> Effect | None:
        """Return the effect of a factor, None when the model does not hold it."""
        return next((e for e in self.effects if e.contrast.factor == factor), None)


def find_luck(shares: Shares | str | None) -> float:
    """Return tau as the random-intercept model saw it, corrected for few firings."""
    if not isinstance(shares, Shares):
        return USUAL_LUCK
    size = {part.name: part.share for part in shares.parts}
    piece = size.get("piece_luck", 0.0)
    if piece <= 0.0:
        return USUAL_LUCK
    return max(LEAST_LUCK, size.get("firing_luck", 0.0) / piece)
