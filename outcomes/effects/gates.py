"""What keeps a verdict from being said: reach, few firings, one firing (see `verdicts`)."""

from dataclasses import dataclass

from outcomes.effects.effect import Effect, Verdict, Word
from outcomes.effects.support import FAR_SHARE, LEAST_SUPPORTED
from outcomes.resampling.intervals import FEWEST_FIRINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class Yardstick:
    """What one effect is judged by.

    ``delta`` is a probability (0.10 for ten pieces per 100); ``looked_at`` the number of
    settings x outcomes adjusted over; ``cluster`` and ``piece`` the codebook's words.
    """

    delta: float
    looked_at: int
    cluster: str
    piece: str


def find_thin(effect: Effect, stick: Yardstick) -> Verdict | None:
    """Return the verdict "thin" if the contrast reaches beyond the log."""
    reason = ""
    least = min(effect.firings_from, effect.firings_to)
    if isinstance(effect.contrast.from_value, str) and least < 2:
        reason = f"One of the two levels was used in only {least} {stick.cluster}."
    elif effect.pieces_supported < LEAST_SUPPORTED * effect.pieces:
        reason = (
            f"Only {effect.pieces_supported} of {effect.pieces} {stick.piece}s are of a glaze "
            f"on which both values were tried."
        )
    elif effect.far_share > FAR_SHARE:
        reason = (
            f"{100 * effect.far_share:.0f} % of the {stick.piece}s compared would lie far from "
            f"anything in the log."
        )
    return Verdict(word=Word.THIN, reason=reason) if reason else None


def find_too_few(effect: Effect, stick: Yardstick) -> Verdict | None:
    """Return "cannot tell yet" where no interval can be given."""
    if effect.firings < FEWEST_FIRINGS:
        more = FEWEST_FIRINGS - effect.firings
        return Verdict(
            word=Word.CANNOT_TELL,
            reason=(
                f"{effect.firings} {stick.cluster}s are too few for an interval; "
                f"{FEWEST_FIRINGS} is the least, 12 are needed for a full verdict."
            ),
            further_firings=more,
        )
    if effect.interval is None:
        return Verdict(
            word=Word.CANNOT_TELL,
            reason=f"It depends on one {stick.cluster}: without it nothing can be fitted.",
        )
    return None


def full_gate(effect: Effect, stick: Yardstick) -> str:
    """Return why "changes the surface" may not be said, or ""."""
    if effect.firings < 12:
        return f"{effect.firings} {stick.cluster}s are fewer than the 12 a full verdict needs."
    if effect.effective_firings < 6:
        return f"It rests on about {effect.effective_firings:.0f} {stick.cluster}s."
    if isinstance(effect.contrast.from_value, str) and _least_arm(effect) < 3:
        return f"One of the two levels was used in only {_least_arm(effect)} {stick.cluster}s."
    return say_one_firing(effect, stick) if effect.fragile else ""


def rough_gate(effect: Effect, stick: Yardstick) -> str:
    """Return why not even "leans" may be said lightly, or ""."""
    if effect.firings < 8:
        return f"With {effect.firings} {stick.cluster}s an interval is only rough."
    if effect.effective_firings < 4:
        return f"It rests on only about {effect.effective_firings:.0f} {stick.cluster}s."
    if isinstance(effect.contrast.from_value, str) and _least_arm(effect) < 3:
        return f"One of the two levels was used in only {_least_arm(effect)} {stick.cluster}s."
    return ""


def _least_arm(effect: Effect) -> int:
    return min(effect.firings_from, effect.firings_to)


def sign_turns(effect: Effect) -> bool:
    """Return whether leaving out the most telling firing turns the sign."""
    return effect.pivot_change is not None and effect.pivot_change * effect.change <= 0.0


def say_one_firing(effect: Effect, stick: Yardstick) -> str:
    """Return the sentence that one firing decides."""
    without = "" if effect.pivot_change is None else f" ({per_100(effect.pivot_change)} without it)"
    return f"It hangs on one {stick.cluster}, {effect.pivot_firing}{without}."


def per_100(change: float) -> str:
    """Return a change in pieces per 100, signed and whole.

    >>> per_100(-0.128)
    '-13'
    """
    rounded = round(100 * change)
    return f"{rounded:+d}" if rounded else "0"
