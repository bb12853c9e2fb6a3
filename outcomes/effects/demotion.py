"""A model that foretells new firings worse than the usual shares: its words go down a step.

method_in_depth.md §13: skill wholly below 0 means the model is over-fitted, and every verdict
of that outcome is lowered by one step. "Too small to matter" is lowered too: an over-fitted
model cannot vouch for a nothing either.
"""

from collections.abc import Container, Sequence
from dataclasses import replace

from outcomes.effects.effect import Effect, Verdict, Word

_STEP_DOWN = {
    Word.CHANGES: Word.LEANS,
    Word.LEANS: Word.CANNOT_TELL,
    Word.SMALL: Word.CANNOT_TELL,
}
_WHY = (
    "One step lower than its numbers alone would give, because for this outcome the model "
    "foretells left-out firings worse than guessing the usual shares of grades."
)


def demote_effects(effects: Sequence[Effect], outcomes: Container[str]) -> tuple[Effect, ...]:
    """Return the effects with the verdicts of these outcomes lowered by one step."""
    return tuple(
        replace(effect, verdict=_lower(effect.verdict)) if effect.outcome in outcomes else effect
        for effect in effects
    )


def _lower(verdict: Verdict | None) -> Verdict | None:
    if verdict is None or verdict.word not in _STEP_DOWN:
        return verdict
    return replace(verdict, word=_STEP_DOWN[verdict.word], reason=f"{verdict.reason} {_WHY}")
