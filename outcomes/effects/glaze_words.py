"""Glaze by glaze in plain words."""

from outcomes.effects.glaze_effects import GlazeEffect, GlazeEffects
from outcomes.log.codebook import Codebook


def describe_glazes(found: GlazeEffects, codebook: Codebook) -> str:
    """Return the sentence about whether glazes differ; never a firmer word than "leans"."""
    label = codebook.factor(found.factor).label
    if not found.differs:
        return f"{label}: no sign that glazes differ; one effect for all."
    own = [one for one in found.effects if one.is_own]
    named = "; ".join(f"{one.glaze} {_signed(one)}" for one in own)
    others = len(found.effects) - len(own)
    rest = f"; the other {others} with the effect common to all" if others else ""
    return (
        f"{label} leans toward acting differently on different glazes (pieces in 100 more or "
        f"fewer): {named}{rest}."
    )


def _signed(one: GlazeEffect) -> str:
    change = round(100.0 * one.change)
    if one.interval is None:
        return f"{change:+d}"
    low, high = round(100.0 * one.interval.low), round(100.0 * one.interval.high)
    return f"{change:+d} ({low:+d} to {high:+d})"
