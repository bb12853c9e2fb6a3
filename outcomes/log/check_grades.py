"""Rules about outcomes: missing columns, blank cells, grades that do not tell pieces apart."""

import re
from collections import Counter

import numpy as np

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Direction, Outcome
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import (
    cluster_column,
    compare_within,
    firing_labels,
    pieces_per_firing,
)
from outcomes.log.outcome_account import applies, is_graded
from outcomes.log.places import (
    CellWords,
    Positions,
    about_cells,
    about_column,
    about_log,
    about_rows,
    has_column,
    is_empty,
    positions_of,
)
from outcomes.log.quoting import count_of, list_words, quote_text
from outcomes.log.words import clean_text

MOSTLY_BLANK = 0.5
_PLUSES = re.compile(r"\++")
_DASHES = re.compile(r"-+")
_DASH_WORDS = CellWords(
    case="with a dash read as blank, though other grades of the column are plus signs",
    expected="A dash usually means nobody looked; beside '+' it may be the lowest grade, and then "
    "the worst pieces are left out.",
    advice="If it is a grade, write these grades as words or numbers; if nobody looked, leave the "
    "cells empty.",
)
FEWEST_TO_JUDGE = 6  # pieces alike by chance are common below this
# Firings of one grade are worth a look only while they are the exception.
EXCEPTION_SHARE = 0.25


def check_missing_outcomes(log: FiringLog) -> tuple[Finding, ...]:
    """Say which outcomes of the codebook the log does not grade."""
    missing = [
        outcome.name for outcome in log.codebook.outcomes if not has_column(log, outcome.name)
    ]
    if not missing or len(missing) == len(log.codebook.outcomes):
        return ()  # without any outcome the log is refused, and the refusal says so
    are = "is" if len(missing) == 1 else "are"
    message = f"No column holds {list_words(missing, last='or')}: {are} not graded in this log."
    return (
        about_log(
            "missing_outcome_column",
            Severity.WARNING,
            message=message.replace(": is", ": it is").replace(": are", ": they are"),
            advice="If it was graded, name its column so; otherwise nothing can be said about it.",
        ),
    )


def check_same_grades(log: FiringLog) -> tuple[Finding, ...]:
    """Say where every piece got the same grade, in the log or in a whole firing."""
    found: list[Finding] = []
    for outcome in _graded_outcomes(log):
        grades = log.values[outcome.name][is_graded(log, outcome)]
        if len(grades) >= 2 and grades.nunique() == 1:
            level = quote_text(outcome.levels[int(grades.iloc[0])].name)
            found.append(
                about_column(
                    log,
                    outcome.name,
                    code="same_grade_for_everything",
                    severity=Severity.WARNING,
                    message=f"all {len(grades)} graded {log.codebook.piece_word}s are {level}. "
                    "Nothing can be learnt about an outcome that never differs.",
                    advice="Check that the worse and the better ones were logged too.",
                )
            )
        elif len(outcome.levels) > 2:
            found += _same_within_firings(log, outcome)
    return tuple(found)


def check_blank_grades(log: FiringLog) -> tuple[Finding, ...]:
    """Say where grades are blank; in a column of losses, blank does not mean fine."""
    found: list[Finding] = []
    for outcome in _graded_outcomes(log):
        blank = (applies(log, outcome) & log.values[outcome.name].isna()).to_numpy(copy=True)
        blank[blank] = is_empty(log.written[outcome.name][blank])
        if not blank.any() or blank.all():
            continue
        if _is_loss(outcome):
            found += _blank_losses(log, outcome, np.flatnonzero(blank))
        elif blank.mean() > MOSTLY_BLANK:
            n = int((~blank).sum())
            found.append(
                about_column(
                    log,
                    outcome.name,
                    code="outcome_mostly_blank",
                    severity=Severity.NOTE,
                    message=f"{count_of(n, log.codebook.piece_word)} of {len(blank)} "
                    f"{'carries' if n == 1 else 'carry'} a grade.",
                    advice="What is learnt about it rests on those only. If only some were "
                    "looked at, say in the notes which and why.",
                )
            )
    return tuple(found)


def check_dash_grades(log: FiringLog) -> tuple[Finding, ...]:
    """Warn where a dash stands beside plus signs: it may be the lowest grade, not a blank."""
    found: list[Finding] = []
    for outcome in _graded_outcomes(log):
        written = log.written[outcome.name]
        distinct = {text: clean_text(str(text)) for text in written.unique()}
        if not any(map(_PLUSES.fullmatch, distinct.values())):
            continue
        dash = [text for text, cleaned in distinct.items() if _DASHES.fullmatch(cleaned)]
        dashes = written.isin(dash) & log.values[outcome.name].isna()
        if dashes.any():
            found += about_cells(
                log,
                positions_of(dashes),
                column=outcome.name,
                code="dash_beside_plus_grades",
                severity=Severity.WARNING,
                words=lambda _: _DASH_WORDS,
            )
    return tuple(found)


def _blank_losses(log: FiringLog, outcome: Outcome, blank: Positions) -> tuple[Finding, ...]:
    """Word the blank cells of a column of losses."""
    levels = Counter(log.values[outcome.name].dropna())
    lost, fine = outcome.levels[-1].name, outcome.levels[0].name
    only_losses = set(levels) == {float(len(outcome.levels) - 1)}
    piece = log.codebook.piece_word

    def words(here: Positions) -> tuple[str, str]:
        only = f" Only {quote_text(lost)} is ever written." if only_losses else ""
        return (
            f"{count_of(len(here), 'cell is', 'cells are')} blank.{only} Blank may mean fine or "
            f"not looked at, so these {piece}s do not count for this outcome.",
            f"Write {quote_text(fine)} where you looked and it was fine.",
        )

    return about_rows(
        log,
        blank,
        column=outcome.name,
        code="blank_defect_cells",
        severity=Severity.WARNING if only_losses else Severity.NOTE,
        words=words,
    )


def _same_within_firings(log: FiringLog, outcome: Outcome) -> tuple[Finding, ...]:
    """Name firings of several pieces in which all got one grade, where that is unusual."""
    if not cluster_column(log) or len(pieces_per_firing(log)) < 2:
        return ()
    labels, graded = firing_labels(log), is_graded(log, outcome)
    codes, times, differs = compare_within(labels, log.values[outcome.name].where(graded))
    large = times >= FEWEST_TO_JUDGE
    alike = large & ~differs
    if not alike.any() or alike.sum() > EXCEPTION_SHARE * large.sum():
        return ()
    # A row without a firing has the code -1: the last.
    rows = graded & np.append(alike, False)[codes]
    firing, piece = log.codebook.cluster_word, log.codebook.piece_word

    def words(here: Positions) -> tuple[str, str]:
        names = [quote_text(str(label)) for label in dict.fromkeys(labels.iloc[here])]
        return (
            f"all {piece}s of {firing} {list_words(names)} got one and the same grade.",
            "Nothing to do if they truly came out alike; otherwise grade them again, one by one.",
        )

    return about_rows(
        log,
        positions_of(rows),
        column=outcome.name,
        code="same_grade_in_a_firing",
        severity=Severity.NOTE,
        words=words,
    )


def _graded_outcomes(log: FiringLog) -> list[Outcome]:
    """Return the outcomes the log has a column for."""
    return [outcome for outcome in log.codebook.outcomes if has_column(log, outcome.name)]


def _is_loss(outcome: Outcome) -> bool:
    """Whether an outcome is a yes/no defect."""
    return len(outcome.levels) == 2 and outcome.wanted is Direction.LOWER
