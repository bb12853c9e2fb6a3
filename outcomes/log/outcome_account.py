"""Per outcome: how many pieces carry a grade, and why each other piece does not."""

import numpy as np
import pandas as pd

from outcomes.log.codebook import Outcome
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.firings import firing_labels
from outcomes.log.places import has_column

# (outcome, pieces graded, ((reason, pieces), ...)): graded + left out = rows read
OutcomeAccount = tuple[str, int, tuple[tuple[str, int], ...]]

BLANK = "blank"
NOT_USABLE = "written but not usable"
OTHER_GLAZE = "of a glaze it does not apply to"
ROW_SET_ASIDE = "in rows set aside"
NOT_COMPARED = "graded, but nothing could be compared"


def outcome_account(log: FiringLog) -> tuple[OutcomeAccount, ...]:
    """Return the account of every outcome column of the log, in codebook order.

    Returns
    -------
    tuple of (outcome name, pieces graded, ((reason, number of rows), ...))
        Graded plus left out is every row read; a reason nobody needs is not listed.
    """
    return tuple(
        _account(log, outcome) for outcome in log.codebook.outcomes if has_column(log, outcome.name)
    )


def is_graded(log: FiringLog, outcome: Outcome) -> "pd.Series[bool]":
    """Whether each piece carries a usable grade on a glaze the outcome applies to."""
    return log.values[outcome.name].notna() & applies(log, outcome)


def applies(log: FiringLog, outcome: Outcome) -> "pd.Series[bool]":
    """Whether the outcome is graded on each piece's glaze; a blank glaze counts as yes."""
    glaze = log.codebook.glaze
    if not outcome.applies_to or not has_column(log, glaze):
        return pd.Series(True, index=log.values.index)
    names = {name.casefold() for name in outcome.applies_to}
    codes, distinct = pd.factorize(log.values[glaze])
    fits = np.array([*(str(name).casefold() in names for name in distinct), True])
    return pd.Series(fits[codes], index=log.values.index)  # a blank's code is -1: the last


def firings_graded(log: FiringLog, outcome: Outcome) -> int:
    """Return the number of firings that hold a graded piece."""
    return int(firing_labels(log)[is_graded(log, outcome)].nunique())


def _account(log: FiringLog, outcome: Outcome) -> OutcomeAccount:
    """Count one outcome."""
    fits = applies(log, outcome)
    graded = log.values[outcome.name].notna() & fits
    unread = (fits & ~graded).to_numpy(copy=True)
    unread[unread] = log.how[outcome.name][unread] == str(How.SET_ASIDE)
    counts = (
        (BLANK, int((fits & ~graded & ~unread).sum())),
        (NOT_USABLE, int(unread.sum())),
        (OTHER_GLAZE, int((~fits).sum())),
        (ROW_SET_ASIDE, len(log.account.set_aside)),
    )
    return outcome.name, int(graded.sum()), tuple(pair for pair in counts if pair[1])
