"""Does a setting act alike at every grade? See method_in_depth.md §12.

Acts on size: fires for a setting when, at some boundary, the change with its own slope differs
from the change with one slope by at least 5 pieces per 100 and one standard error - and the
difference is not one of the few that chance brings among so many settings and boundaries
(joint test or trend, Bonferroni for the two, Holm over the settings of the outcome). Without
that second condition most settings of a faultless log would be named.
"""

from collections.abc import Sequence

from outcomes.doubts.grade_effects import CutChange, GradeEffect
from outcomes.effects.contrasts import factor_label
from outcomes.effects.gates import per_100
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.expectations import unit_sign

LARGE = 0.05
# An outcome; with three graded outcomes about one faultless log in twenty is then named.
CHANCE = 0.02


def check_proportional_odds(
    grade_effects: Sequence[GradeEffect], codebook: Codebook
) -> tuple[Finding, ...]:
    """Return one finding for each setting that acts differently from grade to grade.

    Parameters
    ----------
    grade_effects
        Of one outcome, from `grade_effects.measure_grade_effects`.
    codebook
        Their labels.
    """
    found: list[Finding] = []
    tested = [(either_p(one), one) for one in grade_effects]
    ordered = sorted(((p, one) for p, one in tested if p is not None), key=lambda pair: pair[0])
    for place, (p, one) in enumerate(ordered):
        if p * (len(ordered) - place) >= CHANCE:  # Holm (1979): stop at the first that fails
            break
        if differs_in_size(one):
            found.append(_uneven(one, codebook))
    return tuple(found)


def either_p(effect: GradeEffect) -> float | None:
    """Return the p value of "alike at every grade", joint test or trend; None if untested."""
    known = [p for p in (effect.p_value, effect.trend_p) if p is not None]
    return min(1.0, len(known) * min(known)) if known else None


def differs_in_size(effect: GradeEffect) -> bool:
    """Return whether the free and the tied change differ by a size that matters anywhere."""
    return any(_is_large(cut) for cut in effect.cuts)


def _is_large(cut: CutChange) -> bool:
    gap = abs(cut.free - cut.tied)
    return gap >= LARGE and gap >= cut.tied_error


def _uneven(effect: GradeEffect, codebook: Codebook) -> Finding:
    contrast = effect.contrast
    outcome = codebook.outcome(effect.outcome).label.lower()
    label = factor_label(contrast.factor, codebook)
    moved = f"from {_value(contrast.from_value, contrast.unit)} to " + _value(
        contrast.to_value, contrast.unit
    )
    each = ", ".join(f"{per_100(cut.free)} at '{cut.level}' or above" for cut in effect.cuts)
    return Finding(
        code="differs_by_grade",
        severity=Severity.WARNING,
        message=(
            f"{label} does not act alike on every grade of {outcome}. Of 100 "
            f"{codebook.piece_word}s, {moved} changes the number by {each}."
        ),
        advice="Read these numbers grade by grade; the single number for this setting is an "
        "average direction, good for the ranking only.",
        column=contrast.factor,
    )


def _value(value: float | str, unit: str) -> str:
    return f"'{value}'" if isinstance(value, str) else f"{value:g} {unit_sign(unit)}".strip()
