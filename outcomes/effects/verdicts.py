"""Fixed words by fixed rules (method.md §9 with the gates of method_in_depth.md §3.4, §15).

The first rule that applies gives the word. δ is the outcome's smallest difference worth
having; p is the two-sided firing-score t p value (of a window: that of its whole curve, if the
printed contrast is clear, see `window_looks`), adjusted p is over settings x outcomes.

1. **tangled** - the log cannot tell the setting from another (`doubts.check_tangled`).
2. **thin** - more than 40 % of the counterfactual pieces lie far from any logged piece, less
   than half of the pieces are supported, or a level was used in fewer than 2 firings.
3. **cannot tell yet** - fewer than 6 firings, or a fit without one firing failed.
4. **changes the surface** - adjusted p < 0.05 and |change| >= δ.
5. **too small to matter** - the 90 % interval lies inside (-δ, δ).
6. **leans** - p < 0.10.
7. **cannot tell yet** - none of these; with the firings it would take.

"Too small" stands before "leans" although method.md §9 lists it after: when both one-sided
tests against δ have passed, the log has answered the maker's question - chasing the setting
is not worth it - whichever side of 0 the rest lies on. Called "leans", a well-measured
3-in-100 would invite her to chase it; and a longer log would turn "too small" into "leans",
as if more firings made her less sure.

Gates. "Changes" becomes "leans" with fewer than 12 firings, an effect resting on fewer than
6, a level used in only 2, or one firing that decides it. "Too small" becomes "cannot tell
yet" with fewer than 8 firings, an effect resting on fewer than 4, or a level used in only 2;
"leans" stays there, with the gate named, unless leaving out one firing turns its sign.

**Further firings** for "cannot tell yet": the least m <= 500 with ::

    2 t(1 - 0.05/c, df (G+m)/G) * SE * sqrt(G / (G+m)) <= δ

c the contrasts looked at. A 90 % interval no longer than δ cannot hold both "nothing" and "a
difference worth having": whatever the truth, one of the two would be ruled out. The observed
change does not enter (power at the observed estimate is circular), and more firings like
these are assumed.
"""

from collections.abc import Sequence
from dataclasses import replace

from scipy import special

from outcomes.effects.contrasts import factor_label, is_judged
from outcomes.effects.effect import Effect, Tangle, Verdict, Word
from outcomes.effects.gates import (
    Yardstick,
    find_thin,
    find_too_few,
    full_gate,
    per_100,
    rough_gate,
    say_one_firing,
    sign_turns,
)
from outcomes.effects.multiplicity import adjust_p_values
from outcomes.log.codebook import Codebook

MOST_FURTHER_FIRINGS = 500


def judge_effects(
    effects: Sequence[Effect],
    codebook: Codebook,
    *,
    tangles: Sequence[Tangle] = (),
    false_discovery: str = "BH",
) -> tuple[Effect, ...]:
    """Return all outcomes' effects with adjusted p values and verdicts.

    Parameters
    ----------
    effects
        Of all outcomes together: they are one family.
    codebook
        Says which factors are settings, and each outcome's smallest difference.
    tangles
        Settings that cannot be told from another.
    false_discovery
        "BH" or, safe under any dependence, "BY".
    """
    family = [
        i
        for i, e in enumerate(effects)
        if e.p_value is not None and is_judged(e.contrast, codebook)
    ]
    p_values = [effects[i].p_value or 0.0 for i in family]
    adjusted = dict(zip(family, adjust_p_values(p_values, false_discovery), strict=True))
    tangled = {(tangle.outcome, tangle.factor): tangle for tangle in tangles}
    judged: list[Effect] = []
    for i, effect in enumerate(effects):
        p = adjusted.get(i)
        known = replace(effect, p_adjusted=None if p is None else float(p), verdict=None)
        if is_judged(effect.contrast, codebook):
            stick = _yardstick(codebook, effect.outcome, len(family))
            tangle = tangled.get((effect.outcome, effect.contrast.factor))
            known = replace(known, verdict=_judge(known, stick, tangle, codebook))
        judged.append(known)
    return tuple(judged)


def further_firings(effect: Effect, delta: float) -> int | None:
    """Return about how many more firings like these would decide an effect.

    None without a standard error, or when more than 500 would be needed. See the module's
    notes for the formula.
    """
    if effect.standard_error is None or effect.df is None or effect.firings < 1:
        return None
    tail = 0.05 / effect.contrast.comparisons
    for more in range(1, MOST_FURTHER_FIRINGS + 1):
        growth = (effect.firings + more) / effect.firings
        t = -float(special.stdtrit(effect.df * growth, tail))
        if 2.0 * t * effect.standard_error / growth**0.5 <= delta:
            return more
    return None


def _yardstick(codebook: Codebook, outcome: str, looked_at: int) -> Yardstick:
    return Yardstick(
        delta=codebook.outcome(outcome).smallest_difference / 100.0,
        looked_at=looked_at,
        cluster=codebook.cluster_word,
        piece=codebook.piece_word,
    )


def _judge(effect: Effect, stick: Yardstick, tangle: Tangle | None, codebook: Codebook) -> Verdict:
    """Return the verdict by the module's rules, in their order."""
    if tangle is not None:
        return _tangled(tangle, stick, codebook)
    blocked = find_thin(effect, stick) or find_too_few(effect, stick)
    if blocked is not None:
        return blocked
    is_sure = effect.p_adjusted is not None and effect.p_adjusted < 0.05
    if is_sure and abs(effect.change) >= stick.delta:
        return _changes(effect, stick)
    if _is_small(effect, stick.delta):
        return _small(effect, stick)
    if effect.p_value is not None and effect.p_value < 0.10:
        return _leans(effect, stick)
    return _cannot_tell(effect, stick, _wide(effect, stick))


def _tangled(tangle: Tangle, stick: Yardstick, codebook: Codebook) -> Verdict:
    names = " and ".join(factor_label(name, codebook) for name in tangle.with_factors)
    return Verdict(
        word=Word.TANGLED,
        reason=(
            f"It moved together with {names}: {100 * tangle.explained:.0f} % of its variation "
            f"is explained by the rest of the log, so these {stick.cluster}s cannot say which "
            f"of them matters."
        ),
        tangled_with=tangle.with_factors,
    )


def _is_small(effect: Effect, delta: float) -> bool:
    """Return whether both one-sided tests against the smallest difference have passed."""
    inner = effect.interval_90
    return inner is not None and -delta < inner.low and inner.high < delta


def _changes(effect: Effect, stick: Yardstick) -> Verdict:
    """Return "changes the surface", or "leans" where a gate forbids it."""
    gate = full_gate(effect, stick)
    if gate:
        return _leans(effect, stick, gate)
    return Verdict(
        word=Word.CHANGES,
        reason=(
            f"The change is {per_100(effect.change)} and stands out from {stick.cluster} luck "
            f"after allowing for the {stick.looked_at} effects looked at."
        ),
    )


def _small(effect: Effect, stick: Yardstick) -> Verdict:
    """Return "too small to matter", or "cannot tell yet" where a gate forbids it."""
    gate = rough_gate(effect, stick)
    if gate:
        return _cannot_tell(effect, stick, gate)
    return Verdict(
        word=Word.SMALL,
        reason=(
            f"Whatever it does, it is less than {100 * stick.delta:g} {stick.piece}s per 100 "
            f"either way."
        ),
    )


def _leans(effect: Effect, stick: Yardstick, gate: str = "") -> Verdict:
    """Return "leans", or "cannot tell yet" where a gate forbids it."""
    if effect.fragile and sign_turns(effect):
        return _cannot_tell(effect, stick, say_one_firing(effect, stick))
    reason = (
        f"The change of {per_100(effect.change)} points one way, but not surely enough to count on."
    )
    because = gate or rough_gate(effect, stick)
    return Verdict(word=Word.LEANS, reason=f"{reason} {because}".strip())


def _cannot_tell(effect: Effect, stick: Yardstick, reason: str) -> Verdict:
    return Verdict(
        word=Word.CANNOT_TELL,
        reason=reason,
        further_firings=further_firings(effect, stick.delta),
    )


def _wide(effect: Effect, stick: Yardstick) -> str:
    """Return what the interval leaves open."""
    if effect.interval is None:
        return "No interval can be given."
    low, high = effect.interval.low, effect.interval.high
    runs = f"The interval runs from {per_100(low)} to {per_100(high)} {stick.piece}s per 100"
    if not low <= 0.0 <= high:
        return f"{runs}, but single {stick.cluster}s move it too much to count on."
    if low > -stick.delta and high < stick.delta:
        return f"{runs}; other parts of the tried range are less sure."
    return f"{runs}: neither no change nor one of {100 * stick.delta:g} is ruled out."
