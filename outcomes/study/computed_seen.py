"""The computed quantities of a log, made once: for a table, and to compare explanations with."""

from dataclasses import dataclass

from outcomes.log.computed import COMPARED
from outcomes.log.derived import Derived, compute_quantities, drop_computed
from outcomes.log.derived_swap import Swap, swap_in
from outcomes.log.firing_log import FiringLog


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ComputedSeen:
    """What could be computed; and, for what is compared, the two logs of the same pieces."""

    quantities: tuple[Derived, ...]
    swaps: tuple[Swap, ...]


def see_computed(log: FiringLog) -> ComputedSeen:
    """Return the quantities of a log whose impossible values are set aside."""
    plain = drop_computed(log)
    quantities = compute_quantities(plain)
    return ComputedSeen(
        quantities=quantities,
        swaps=tuple(
            swap_in(plain, made) for made in quantities if made.quantity.factor.name in COMPARED
        ),
    )
