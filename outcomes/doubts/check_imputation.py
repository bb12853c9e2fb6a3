"""Do the pieces left out for their blanks change the answer? See method_in_depth.md §10.

Fires for a setting when the change over all graded pieces, blanks filled in likely ways,
differs from the change over complete pieces by at least 5 pieces per 100 and half a standard
error, and by more than losing pieces at random would bring (t of the difference, 1 % over
all settings of the outcome).
"""

from outcomes.doubts.imputed_effects import ImputedEffect, ImputedStudy
from outcomes.effects.contrasts import factor_label, is_judged
from outcomes.effects.gates import per_100
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.resampling.intervals import two_sided_p

LARGE = 0.05
HALF_AN_ERROR = 0.5
CHANCE = 0.01


def check_imputation(study: ImputedStudy | None, codebook: Codebook) -> tuple[Finding, ...]:
    """Return one finding for each setting that complete and completed pieces disagree about.

    Parameters
    ----------
    study
        From `imputed_effects.impute_effects`; None when hardly a piece was lost.
    codebook
        Labels, and which factors are settings.
    """
    if study is None:
        return ()
    judged = [one for one in study.effects if is_judged(one.contrast, codebook)]
    return tuple(
        _disagree(study, one, codebook) for one in judged if _differs(one, among=len(judged))
    )


def _differs(effect: ImputedEffect, *, among: int) -> bool:
    gap = effect.pooled.value - effect.complete
    if abs(gap) < max(LARGE, HALF_AN_ERROR * effect.complete_error):
        return False
    return two_sided_p(gap, effect.gap_error, effect.gap_df) * among < CHANCE


def _disagree(study: ImputedStudy, effect: ImputedEffect, codebook: Codebook) -> Finding:
    piece = codebook.piece_word
    outcome = codebook.outcome(study.outcome).label.lower()
    label = factor_label(effect.contrast.factor, codebook)
    interval = effect.pooled.interval()
    return Finding(
        code="blanks_matter",
        severity=Severity.WARNING,
        message=(
            f"{label} and {outcome}: {study.pieces - study.complete} of {study.pieces} graded "
            f"{piece}s were left out because a setting is blank, and that matters. With the "
            f"blanks filled in likely ways the change is {per_100(effect.pooled.value)} {piece}s "
            f"per 100 (from {per_100(interval.low)} to {per_100(interval.high)}) instead of "
            f"{per_100(effect.complete)}."
        ),
        advice="Fill in the blank settings where you still know them; until then believe neither "
        "number to the last digit.",
        column=effect.contrast.factor,
    )
