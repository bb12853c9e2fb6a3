"""Does an effect hang on one firing? See method.md §10, method_in_depth.md §21.

Fires for a setting whose verdict says something ("changes", "leans", "too small") when one
firing moves its change by more than a standard error *and* without it the verdict would not
stand: the sign turns, the p value (not adjusted) reaches 10 %, a change falls under the
smallest difference worth having, or a small one is no longer shown to be small.
"""

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd
from scipy import special

from outcomes.doubts.influence import Influence
from outcomes.effects.contrasts import factor_label
from outcomes.effects.effect import Effect, Word
from outcomes.effects.evidence import Evidence
from outcomes.effects.gates import per_100
from outcomes.finding import Finding, Severity
from outcomes.resampling.intervals import two_sided_p

LARGE_MOVE = 1.0
LEANS_BELOW = 0.10
_SPEAKING = (Word.CHANGES, Word.LEANS, Word.SMALL)
_LONGEST_NOTE = 100


def check_influence(
    evidence: Evidence, effects: Iterable[Effect], influences: Sequence[Influence]
) -> tuple[Finding, ...]:
    """Return one finding for each effect that one firing decides.

    Parameters
    ----------
    evidence
        The outcome's.
    effects
        Of that outcome, with verdicts.
    influences
        Their delete-one-firing table, from `influence.measure_influence`.
    """
    tables = {table.factor: table for table in influences}
    found: list[Finding] = []
    for effect in effects:
        table = tables.get(effect.contrast.factor)
        if table is None or effect.verdict is None or effect.verdict.word not in _SPEAKING:
            continue
        firing = int(np.argmax(np.abs(table.moves)))
        if abs(table.moves[firing]) > LARGE_MOVE and not _stands(effect, table, firing, evidence):
            found.append(_hangs_on_one(effect, table, firing, evidence))
    return tuple(found)


def name_firing(evidence: Evidence, firing: int) -> str:
    """Return how a reader finds a firing: by its date where one is written, with its name."""
    design, codebook = evidence.design, evidence.codebook
    name, word = design.firing_names[firing], codebook.cluster_word
    if not codebook.date or codebook.date not in design.frame:
        return f"{word} {name}"
    days = design.frame.loc[design.firing == firing, codebook.date].dropna()
    if days.empty:
        return f"{word} {name}"
    day = pd.Timestamp(days.iloc[0])
    spoken = f"{word} of {day.day} {day.strftime('%B %Y')}"
    return spoken if name == day.strftime("%Y-%m-%d") else f"{spoken} ({name})"


def _stands(effect: Effect, table: Influence, firing: int, evidence: Evidence) -> bool:
    """Return whether an effect's verdict would be said without one firing too."""
    change, error = float(table.without[firing]), float(table.errors[firing])
    delta = evidence.codebook.outcome(effect.outcome).smallest_difference / 100.0
    df = max(1.0, (effect.df or 1.0) - 1.0)
    word = effect.verdict.word if effect.verdict else Word.CANNOT_TELL
    if word is Word.SMALL:
        reach = -float(special.stdtrit(df, 0.05)) * error
        return abs(change) + reach < delta
    if change * effect.change <= 0.0:
        return False
    if word is Word.CHANGES and abs(change) < delta:
        return False
    p = two_sided_p(change, error, df) * effect.contrast.comparisons
    return p < LEANS_BELOW


def _hangs_on_one(effect: Effect, table: Influence, firing: int, evidence: Evidence) -> Finding:
    codebook = evidence.codebook
    outcome = codebook.outcome(effect.outcome).label
    label = factor_label(effect.contrast.factor, codebook)
    piece, word = codebook.piece_word, codebook.cluster_word
    said = effect.verdict.word if effect.verdict else ""
    return Finding(
        code="hangs_on_one_firing",
        severity=Severity.WARNING,
        message=(
            f"{label} and {outcome.lower()}: without the {name_firing(evidence, firing)} "
            f"'{said}' would not stand. The change is {per_100(effect.change)} {piece}s per 100 "
            f"with it and {per_100(float(table.without[firing]))} without it."
        ),
        advice=(
            f"Look at what was special about that {word}{_note(evidence, firing)}, and repeat "
            f"its settings before you build on this."
        ),
        column=effect.contrast.factor,
    )


def _note(evidence: Evidence, firing: int) -> str:
    """Return the first thing written about a firing, quoted; "" when nothing is."""
    design, codebook = evidence.design, evidence.codebook
    if not codebook.notes or codebook.notes not in design.frame:
        return ""
    notes = design.frame.loc[design.firing == firing, codebook.notes].dropna()
    written = [str(note).strip() for note in notes if str(note).strip()]
    if not written:
        return ""
    shown = written[0] if len(written[0]) <= _LONGEST_NOTE else f"{written[0][:_LONGEST_NOTE]}…"
    return f" (its notes say: '{shown}')"
