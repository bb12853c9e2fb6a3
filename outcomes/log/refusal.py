"""When nothing can be learnt from a log: why, and what would make it usable.

A refusal is for the log as a whole. A bad cell, a bad row, a missing outcome beside others are
findings: what remains is learnt from.
"""

from collections.abc import Sequence

import numpy as np

from outcomes.finding import Finding
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import is_graded
from outcomes.log.places import has_column, header_of
from outcomes.log.quoting import count_of, list_words, quote_text, show_text

MOST_HEADERS = 12


def refuse_log(log: FiringLog, findings: Sequence[Finding] = ()) -> str | None:
    """Return why nothing can be learnt, what was found and what would help; None to go on.

    Parameters
    ----------
    log
        With its impossible values already set aside.
    findings
        Of the checks: findings never refuse a log, but a refusal for want of usable cells
        points at them.
    """
    for reason in (_no_piece, _no_outcome, _no_grade, _no_factor, _no_difference):
        sentence = reason(log)
        if sentence is not None:
            where = list_words([show_text(source.name) for source in log.files], most=3)
            more = " The findings name the cells." if findings else ""
            return f"Nothing can be learnt from {where or 'this log'}: {sentence}{more}"
    return None


def _no_piece(log: FiringLog) -> str | None:
    """Refuse a log with fewer than two usable rows."""
    read, used, piece = log.account.rows_read, log.account.rows_used, log.codebook.piece_word
    if used >= 2:
        return None
    if read == 0:
        found = f"below its header there is no row. {_seen(log)}"
    elif used == 0:
        first = log.account.set_aside[0]
        found = (
            f"{count_of(read, 'row was', 'rows were')} read and none can be used (row {first.row}: "
            f"{show_text(first.reason).rstrip('.')}). {_seen(log)}"
        )
    else:
        found = f"it holds one usable {piece}, and one {piece} has nothing to be compared with."
    return f"{found} Write one row for every {piece}, at least two, under the header."


def _no_outcome(log: FiringLog) -> str | None:
    """Refuse a log in which no column is an outcome."""
    if _outcomes(log):
        return None
    wanted = list_words([outcome.name for outcome in log.codebook.outcomes], most=8, last="or")
    return (
        f"none of its headers names an outcome. {_seen(log)} Name at least one column {wanted} "
        f"and write a grade for every {log.codebook.piece_word}."
    )


def _no_grade(log: FiringLog) -> str | None:
    """Refuse a log whose outcome columns hold no usable grade."""
    if any(bool(log.values[name].notna().any()) for name in _outcomes(log)):
        return None
    names = list_words([quote_text(header_of(log, name)) for name in _outcomes(log)], most=8)
    outcome = log.codebook.outcome(_outcomes(log)[0])
    levels = list_words([level.name for level in outcome.levels], most=12, last="or")
    return (
        f"no {log.codebook.piece_word} carries a usable grade in {names}. Write grades, for "
        f"{outcome.name} one of {levels}."
    )


def _no_factor(log: FiringLog) -> str | None:
    """Refuse a log in which nothing that may have changed the result is written."""
    if any(bool(log.values[name].notna().any()) for name in _factors(log)):
        return None
    wanted = list_words([factor.name for factor in log.codebook.factors], most=8, last="or")
    empty = [quote_text(header_of(log, name)) for name in _factors(log)]
    found = f"nothing usable is written in {list_words(empty, most=8)}." if empty else _seen(log)
    return (
        "it holds grades, but no column that says what was done to the "
        f"{log.codebook.piece_word}s. {found} Name at least one column {wanted}."
    )


def _no_difference(log: FiringLog) -> str | None:
    """Refuse a log in which every outcome, or everything that was done, is always the same."""
    graded = {name: is_graded(log, log.codebook.outcome(name)) for name in _outcomes(log)}
    piece = log.codebook.piece_word
    if all(log.values.loc[here, name].nunique() < 2 for name, here in graded.items()):
        return (
            f"every graded {piece} has the same grade ({_same_grades(log)}), so nothing tells a "
            f"better {piece} from a worse one. Log {piece}s of every grade, the poor ones too."
        )
    any_grade = np.logical_or.reduce([here.to_numpy() for here in graded.values()])
    if all(log.values.loc[any_grade, name].nunique() < 2 for name in _factors(log)):
        return (
            f"every graded {piece} was made alike: none of "
            f"{list_words([quote_text(header_of(log, name)) for name in _factors(log)], most=8)} "
            "ever varies. Change one thing at a time between or within firings, and log it."
        )
    return None


def _same_grades(log: FiringLog) -> str:
    """Say the one grade of each outcome that was graded at all."""
    told = []
    for name in _outcomes(log):
        grades = log.values[name].dropna()
        if len(grades):
            level = log.codebook.outcome(name).levels[int(grades.iloc[0])].name
            told.append(f"{name}: {count_of(len(grades), 'grade')}, always {quote_text(level)}")
    return list_words(told, most=8)


def _outcomes(log: FiringLog) -> list[str]:
    return [outcome.name for outcome in log.codebook.outcomes if has_column(log, outcome.name)]


def _factors(log: FiringLog) -> list[str]:
    return [factor.name for factor in log.codebook.factors if has_column(log, factor.name)]


def _seen(log: FiringLog) -> str:
    """Say which headers the files have."""
    headers = [quote_text(name) for name in dict.fromkeys(h.written for h in log.headers)]
    if not headers:
        return "No header was found."
    return f"Headers seen: {list_words(headers, most=MOST_HEADERS)}."
