"""A best value in plain words."""

from outcomes.effects.best_value import BestKind, Optimum
from outcomes.effects.near_best import ALMOST, amount
from outcomes.log.codebook import Codebook, Direction

_SAYINGS = {
    BestKind.INSIDE: (
        "Best near {best}; these firings put it between {low} and {high}. Within the "
        "{tried_low} to {tried_high} you tried, the values toward either end do worse."
    ),
    BestKind.AT_LEAST: (
        "Best at {low} or above; the fitted curve is highest near {best}, but whether it comes "
        "down again before {tried_high}, the edge of what you tried, cannot be told."
    ),
    BestKind.AT_MOST: (
        "Best at {high} or below; the fitted curve is highest near {best}, but whether it comes "
        "down again before {tried_low}, the edge of what you tried, cannot be told."
    ),
    BestKind.RISING: (
        "{still} at the edge of what you tried, {tried_high}: the best lies at {low} or "
        "above, and may lie beyond."
    ),
    BestKind.FALLING: (
        "{still} toward the low edge of what you tried, {tried_low}: the best lies at "
        "{high} or below, and may lie beyond."
    ),
    BestKind.ENDS: (
        "Both ends of what you tried, {tried_low} and {tried_high}, do better than the middle; "
        "the better end is {best}."
    ),
    BestKind.OPEN: (
        "The fitted curve is highest near {best}, but with these firings the best value cannot "
        "be bounded inside the {tried_low} to {tried_high} you tried."
    ),
}


def describe_optimum(found: Optimum, codebook: Codebook) -> str:
    """Return the sentences about a best value, amounts in the base unit.

    The second sentence, on what does nearly as well, is left out where the near-best range is
    the whole of what was tried.
    """
    amounts = {
        name: amount(value, found.factor, codebook)
        for name, value in {
            "best": found.best,
            "low": found.low,
            "high": found.high,
            "tried_low": found.tried_low,
            "tried_high": found.tried_high,
        }.items()
    }
    wanted = codebook.outcome(found.outcome).wanted
    still = "Still improving" if wanted is Direction.LOWER else "Still rising"
    first = _SAYINGS[found.kind].format(**amounts, still=still)
    near = found.near
    if (near.low, near.high) == (found.tried_low, found.tried_high):
        return first
    low, high = (amount(v, found.factor, codebook) for v in (near.low, near.high))
    return (
        f"{first} Anything from {low} to {high} is estimated to come within "
        f"{round(100 * ALMOST)} pieces in 100 of the best."
    )
