"""Are blanks a matter of luck? See method_in_depth.md §10.

Three questions an outcome: do blank *grades* go with a setting (graded pieces are then
survivors of what was done to them), do they go with another outcome (bad pieces not graded),
and do pieces with a blank *setting* differ in grade (they are left out of the analysis)?
Fires at 1 % a question, all columns allowed for. A glaze on which the outcome is never graded
does not take it: its pieces are no blanks.
"""

from collections.abc import Sequence

import numpy as np

from outcomes.design.blanks import MOSTLY_BLANK
from outcomes.design.design import IntArray
from outcomes.design.firings import find_firings, number_firings
from outcomes.doubts.blanks import (
    Candidate,
    ColumnBlanks,
    Relation,
    build_candidates,
    count_blanks,
    find_relation,
)
from outcomes.effects.contrasts import factor_label
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Outcome, Role
from outcomes.log.expectations import unit_sign
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import applies, is_graded

CHANCE = 0.01


def measure_blanks(log: FiringLog, outcome: Outcome) -> tuple[ColumnBlanks, ...]:
    """Return how often each factor, and the grade itself, is blank on an outcome's pieces."""
    rows = _concerned(log, outcome)
    firing, _ = number_firings(find_firings(log).labels[rows])
    known = [factor.name for factor in log.codebook.factors if factor.name in log.values]
    return count_blanks(log.values.iloc[rows], [*known, outcome.name], firing)


def check_missing(
    log: FiringLog, outcome: Outcome, *, rng: np.random.Generator
) -> tuple[Finding, ...]:
    """Return what the blanks of one outcome go with.

    Parameters
    ----------
    log
        As analysed.
    outcome
        One that the log has a column for.
    rng
        Shuffles.
    """
    rows = _concerned(log, outcome)
    if len(rows) == 0:
        return ()
    firing, _ = number_firings(find_firings(log).labels[rows])
    graded = is_graded(log, outcome).to_numpy()[rows]
    settings, others = _columns(log, outcome, rows)
    of_settings = build_candidates(log, settings, rows)
    of_others = build_candidates(log, others, rows)
    found = [
        _follow_column(find_relation(~graded, of_settings, firing, rng=rng), outcome, log),
        _follow_column(find_relation(~graded, of_others, firing, rng=rng), outcome, log),
        _follow_grade(
            _blank_and_grade(log, outcome, rows[graded], settings, rng=rng), outcome, log
        ),
    ]
    return tuple(finding for finding in found if finding is not None)


def _concerned(log: FiringLog, outcome: Outcome) -> IntArray:
    """Return the pieces an outcome applies to, by the codebook and by what was ever graded."""
    fits, glaze = applies(log, outcome), log.codebook.glaze
    if glaze in log.values:
        graded = set(log.values.loc[is_graded(log, outcome), glaze].dropna())
        fits &= log.values[glaze].isna() | log.values[glaze].isin(graded)
    return np.asarray(np.flatnonzero(fits), dtype=np.int64)


def _columns(log: FiringLog, outcome: Outcome, rows: IntArray) -> tuple[list[str], list[str]]:
    """Return the settings recorded well enough to be analysed, and the other outcomes."""
    here = log.values.iloc[rows]
    settings = [
        factor.name
        for factor in log.codebook.factors
        if factor.role is Role.SETTING
        and factor.name in here
        and here[factor.name].isna().mean() <= MOSTLY_BLANK
    ]
    others = [o.name for o in log.codebook.outcomes if o.name in here and o.name != outcome.name]
    return settings, others


def _blank_and_grade(
    log: FiringLog,
    outcome: Outcome,
    graded: IntArray,
    settings: Sequence[str],
    *,
    rng: np.random.Generator,
) -> Relation | None:
    """Return how the grades of pieces with a blank setting compare with the others'."""
    if len(graded) == 0:
        return None
    grades = log.values[outcome.name].iloc[graded].to_numpy(float)
    if grades.std() == 0.0:
        return None
    blank = log.values[list(settings)].iloc[graded].isna().any(axis=1).to_numpy()
    firing, _ = number_firings(find_firings(log).labels[graded])
    mine = Candidate(column=outcome.name, level="", values=grades)
    return find_relation(blank, [mine], firing, rng=rng)


def _follow_column(relation: Relation | None, outcome: Outcome, log: FiringLog) -> Finding | None:
    """Say that blank grades go with a setting or another outcome."""
    if relation is None or relation.p_value > CHANCE:
        return None
    codebook = log.codebook
    outcomes = {other.name: other for other in codebook.outcomes}
    other = outcomes.get(relation.column)
    piece, label = codebook.piece_word, outcome.label
    name = other.label if other else factor_label(relation.column, codebook)
    return Finding(
        code="blank_grades_follow_outcome" if other else "blank_grades_follow_setting",
        severity=Severity.WARNING,
        message=(
            f"{label} is not left blank by luck alone: {_compare(relation, log)}. What is said "
            f"about {label.lower()} holds for the {piece}s that were graded, not for all that "
            f"were fired."
        ),
        advice=(
            f"Grade every {piece}, poor and broken ones too, or write why one could not be "
            f"graded; until then distrust what is said of {name.lower()} and {label.lower()}."
        ),
        column=relation.column,
    )


def _follow_grade(relation: Relation | None, outcome: Outcome, log: FiringLog) -> Finding | None:
    """Say that pieces with a blank setting came out differently."""
    if relation is None or relation.p_value > CHANCE:
        return None
    piece, label = log.codebook.piece_word, outcome.label
    lower = relation.marked < relation.others
    return Finding(
        code="blank_settings_follow_grade",
        severity=Severity.WARNING,
        message=(
            f"{piece.capitalize()}s with a blank setting have {'lower' if lower else 'higher'} "
            f"grades of {label.lower()} than the others (average grade {relation.marked:.1f} "
            f"against {relation.others:.1f}, counted from 0). They are left out, so what is "
            f"left looks {'better' if lower else 'worse'} than the whole."
        ),
        advice="Fill in the blank settings where you still know them, and write settings down "
        f"before the {piece} is out of the can.",
        column=outcome.name,
    )


def _compare(relation: Relation, log: FiringLog) -> str:
    """Return how ungraded and graded pieces compare in one column."""
    piece, codebook = log.codebook.piece_word, log.codebook
    outcomes = {outcome.name: outcome for outcome in codebook.outcomes}
    other = outcomes.get(relation.column)
    name = other.label if other else factor_label(relation.column, codebook)
    level = relation.level
    if other and len(other.levels) == 2:
        level = other.levels[1].name
    if level:
        return (
            f"of 100 {piece}s without a grade {100 * relation.marked:.0f} have '{level}' under "
            f"{name}, of 100 with one {100 * relation.others:.0f}"
        )
    if other:
        return (
            f"the {piece}s without a grade average grade {relation.marked:.1f} in {name} "
            f"(counted from 0), the others {relation.others:.1f}"
        )
    unit = unit_sign(codebook.factor(relation.column).unit)
    return (
        f"{name} averages {f'{relation.marked:.3g} {unit}'.strip()} on {piece}s without a grade "
        f"and {f'{relation.others:.3g} {unit}'.strip()} on the others"
    )
