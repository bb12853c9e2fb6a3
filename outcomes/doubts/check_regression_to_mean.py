"""Was a habit changed right after bad firings? See method.md §10, method_in_depth.md §20.

Fires for a firing-level setting when its changes follow unlucky firings more than shuffled
luck would bring (1 % over all settings of the outcome).
"""

from collections.abc import Iterable

from outcomes.doubts.habit_changes import HabitChange
from outcomes.effects.contrasts import factor_label
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook

CHANCE = 0.01


def check_regression_to_mean(
    changes: Iterable[HabitChange], codebook: Codebook
) -> tuple[Finding, ...]:
    """Return one finding for each setting that was changed after bad firings.

    Parameters
    ----------
    changes
        From `habit_changes.measure_habit_changes`.
    codebook
        Labels and words.
    """
    return tuple(_after_bad(change, codebook) for change in changes if change.p_value <= CHANCE)


def _after_bad(change: HabitChange, codebook: Codebook) -> Finding:
    firing = codebook.cluster_word
    label = factor_label(change.factor, codebook)
    outcome = codebook.outcome(change.outcome).label.lower()
    return Finding(
        code="changed_after_bad_firings",
        severity=Severity.WARNING,
        message=(
            f"{label} was mostly changed right after a {firing} that came out worse in "
            f"{outcome} than its settings foretold ({change.after_bad} of {change.changes} "
            f"marked changes). An unlucky {firing} is usually followed by a better one whatever "
            f"is changed, so the new setting may look better than it is."
        ),
        advice=(
            f"Try the old setting again in a few {firing}s, chosen by the toss of a coin and not "
            f"by how the last one came out."
        ),
        column=change.factor,
    )
