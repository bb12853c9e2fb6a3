"""What one person could gain by one setting, all else as that person does it.

Only settings whose verdict is "changes the surface" are looked at, only between the two values
the group was compared at, which lie inside what the group logged, and only where the gain is
at least the smallest difference worth having and clear of luck for all persons together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from outcomes.design.matrix import find_term
from outcomes.effects.effect import Effect, Word
from outcomes.effects.replicates import Replicates
from outcomes.effects.support import value_columns
from outcomes.log.codebook import Direction, Outcome, Role
from outcomes.resampling.interval import Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class WorthChanging:
    """A setting that changes the surface for the better one way, and its better value."""

    effect: Effect
    outcome: Outcome
    better: float | str

    @property
    def factor(self) -> str:
        """Return the setting's name."""
        return self.effect.contrast.factor

    @property
    def worse(self) -> float | str:
        """Return the other value of the comparison."""
        contrast = self.effect.contrast
        return contrast.from_value if self.better == contrast.to_value else contrast.to_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """What one person's share of pieces at the aim would change by at the better value."""

    person: str
    worth: WorthChanging
    change: float
    interval: Interval


def better_value(effect: Effect, outcome: Outcome) -> float | str | None:
    """Return the value of a comparison on the wanted side; None for a matter of taste."""
    if outcome.wanted not in (Direction.HIGHER, Direction.LOWER):
        return None
    is_up = (effect.change > 0.0) == (outcome.wanted is Direction.HIGHER)
    return effect.contrast.to_value if is_up else effect.contrast.from_value


def find_worth_changing(
    effects: Sequence[tuple[Effect, Outcome]], *, glaze: str = ""
) -> tuple[WorthChanging, ...]:
    """Return the settings that change the surface for the better one way, largest first.

    One that helps one outcome and harms another, by the words "changes the surface" or
    "leans", is nobody's habit to correct and is left out, as is the glaze.
    """
    loud = [
        (effect, outcome)
        for effect, outcome in effects
        if effect.contrast.role is Role.SETTING
        and effect.contrast.factor != glaze
        and effect.verdict is not None
        and effect.verdict.word in (Word.CHANGES, Word.LEANS)
    ]
    chosen: dict[str, WorthChanging] = {}
    for effect, outcome in sorted(loud, key=lambda pair: -abs(pair[0].change)):
        factor, better = effect.contrast.factor, better_value(effect, outcome)
        is_sure = effect.verdict is not None and effect.verdict.word is Word.CHANGES
        same = [pair for pair in loud if pair[0].contrast.factor == factor]
        if better is not None and is_sure and factor not in chosen and not _pulls_two_ways(same):
            chosen[factor] = WorthChanging(effect=effect, outcome=outcome, better=better)
    return tuple(chosen.values())


def _pulls_two_ways(same: Sequence[tuple[Effect, Outcome]]) -> bool:
    """Return whether effects of one setting want different ends of it."""
    return len({_end(effect, outcome) for effect, outcome in same} - {""}) > 1


def _end(effect: Effect, outcome: Outcome) -> str:
    """Return which end of a comparison is wanted: "up" or "down", a level's name, "" for taste."""
    better = better_value(effect, outcome)
    if better is None or isinstance(better, str):
        return better or ""
    low = min(float(effect.contrast.from_value), float(effect.contrast.to_value))
    return "down" if better == low else "up"


def suggest(
    replicates: Replicates,
    worth: WorthChanging,
    *,
    person: str,
    pieces: NDArray[np.bool_],
    people: int,
) -> Suggestion | None:
    """Return what one person would gain, None when it is small, unsure or nothing.

    Parameters
    ----------
    replicates
        The outcome's fit with its redraws.
    worth
        From `find_worth_changing`.
    person, pieces : bool, shape (n,)
        Who, and which pieces of the design are that person's.
    people
        How many persons are looked at: the interval holds for all of them together.
    """
    design, outcome = replicates.design, worth.outcome
    if not pieces.any():
        return None
    term = find_term(design.spec, worth.factor)
    moved = design.X[pieces].copy()
    moved[:, list(term.slots)] = value_columns(term, worth.better)
    change = (replicates.reach(moved) - replicates.reach(design.X[pieces])).mean(axis=1)
    interval = replicates.interval(change, looks=people)
    wanted = 1.0 if outcome.wanted is Direction.HIGHER else -1.0
    is_clear = min(wanted * interval.low, wanted * interval.high) > 0.0
    if not is_clear or 100.0 * wanted * change[0] < outcome.smallest_difference:
        return None
    return Suggestion(person=person, worth=worth, change=float(change[0]), interval=interval)
