"""A view's rows as gradings: piece, firing, grader, when, whether blind, and the grades."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from outcomes.doubts.check_graders import GRADER
from outcomes.graders.columns import BLIND_COLUMN, GRADED_ON
from outcomes.graders.views import View
from outcomes.log.codebook import Codebook
from outcomes.log.dates import parse_dates
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.places import has_column, header_of

DAY_FIRED = "fired"
NO_PIECE = "no piece is named in it, so it cannot be compared; write the piece's id"
NO_GRADER = "no grader is named in it; write who graded"
NO_GRADE = "no usable grade stands in it"


def build_entries(view: View, codebook: Codebook) -> pd.DataFrame:
    """Return one row a row of the view: the columns of `Gradings.entries`, and the day fired.

    Parameters
    ----------
    view
        One grading of one file.
    codebook
        Its outcomes become columns, NaN where the view has none.
    """
    log, n = view.log, len(view.log.values)
    by_date = is_grading_date(log)
    return pd.DataFrame(
        {
            "file": log.origin["file"].astype(object),
            "row": log.origin["row"].astype("int64"),
            "piece": _texts(log, codebook.piece),
            "firing": _texts(log, codebook.firing),
            DAY_FIRED: _days_fired(log, by_date=by_date),
            "grader": _texts(log, GRADER) if not view.grader else pd.Series([view.grader] * n,
                                                                            dtype=object),
            "blind": _texts(log, BLIND_COLUMN),
            "graded_on": _dates(log, by_date=by_date),
            **{
                outcome.name: log.values[outcome.name].astype(np.float64)
                if outcome.name in log.values
                else pd.Series(np.full(n, np.nan))
                for outcome in codebook.outcomes
            },
        },
        index=log.values.index,
    )  # fmt: skip


def is_grading_date(log: FiringLog) -> bool:
    """Say whether the log's date is the day of grading.

    It is when no column of its own holds that day and one piece stands under several dates: a
    piece is fired once.
    """
    piece, date = log.codebook.piece, log.codebook.date
    if has_column(log, GRADED_ON) or not (has_column(log, piece) and has_column(log, date)):
        return False
    if not has_column(log, GRADER):
        return False
    by = [piece, log.codebook.firing] if has_column(log, log.codebook.firing) else [piece]
    return bool((log.values.groupby(by)[date].nunique() > 1).any())


def reason_against(entries: pd.DataFrame, outcomes: Sequence[str]) -> "pd.Series[str]":
    """Return why each row is no grading, "" where it is one."""
    reasons = pd.Series([""] * len(entries), index=entries.index, dtype=object)
    reasons = reasons.mask(entries[list(outcomes)].isna().all(axis=1), NO_GRADE)
    reasons = reasons.mask(entries["grader"].isna(), NO_GRADER)
    return reasons.mask(entries["piece"].isna(), NO_PIECE)


def unusable_dates(view: View) -> pd.DataFrame:
    """Return the cells of the day of grading that are no dates, as in `FiringLog.unusable`."""
    log = view.log
    cells: list[tuple[str, int, str, str, str]] = []
    if has_column(log, GRADED_ON):
        read = parse_dates(_filled(log), log.codebook.date_order)
        header = header_of(log, GRADED_ON)
        for at, (how, reason) in enumerate(zip(read.how, read.reasons, strict=True)):
            if how is How.SET_ASIDE:
                file, row = log.origin.iloc[at]
                cells.append((file, int(row), header, str(log.written[GRADED_ON].iloc[at]), reason))
    return pd.DataFrame(cells, columns=["file", "row", "column", "written", "reason"])


def _texts(log: FiringLog, column: str) -> "pd.Series[Any]":
    if not has_column(log, column):
        return pd.Series([None] * len(log.values), dtype=object, index=log.values.index)
    return log.values[column].astype(object).where(log.values[column].notna(), None)


def _days_fired(log: FiringLog, *, by_date: bool) -> "pd.Series[Any]":
    """Return the day each piece was fired as text, None where it is not written."""
    date = log.codebook.date
    if by_date or not has_column(log, date):
        return pd.Series([None] * len(log.values), dtype=object, index=log.values.index)
    days: pd.Series[Any] = log.values[date].dt.strftime("%Y-%m-%d").astype(object)
    return days.where(log.values[date].notna(), None)


def _dates(log: FiringLog, *, by_date: bool) -> "pd.Series[Any]":
    if by_date:
        return log.values[log.codebook.date]
    if has_column(log, GRADED_ON):
        read = parse_dates(_filled(log), log.codebook.date_order)
        return pd.Series(read.values, index=log.values.index)
    return pd.Series(pd.NaT, index=log.values.index, dtype="datetime64[s]")


def _filled(log: FiringLog) -> list[str]:
    """Return the day of grading as text, ditto marks filled from the row above."""
    return [text or "" for text in _texts(log, GRADED_ON)]
