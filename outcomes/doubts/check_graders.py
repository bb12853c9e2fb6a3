"""Whose eyes the grades rest on: one grader, or nobody named, who knew how each piece was fired.

Graders know the treatment and hope. What one grader sees in the pieces handled as he believes
right cannot be taken out by a formula; a second, blind grading shows how large it is. Where two
or more graders are named, the column is a grouping and each one's strictness is allowed for, so
this check is silent.
"""

from typing import Final

import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Role
from outcomes.log.firing_log import FiringLog

GRADER: Final = "grader"
FEWEST_PIECES: Final = 10  # below, a second name is no second grader: nothing could be compared
ONE_GRADER: Final = "one_grader"
GRADER_UNNAMED: Final = "grader_unnamed"


def check_graders(log: FiringLog) -> tuple[Finding, ...]:
    """Return one finding when the grades rest on one pair of eyes, or on nobody named.

    Silent when two or more graders are named on ten pieces each, when the codebook holds
    grading to be no matter of a person (no factor ``grader``), and when nothing is graded.
    """
    known = any(f.name == GRADER and f.role is Role.GROUPING for f in log.codebook.factors)
    graded = [o.name for o in log.codebook.outcomes if o.name in log.values]
    if not known or not graded:
        return ()
    names = _names(log.values[log.values[graded].notna().any(axis=1)])
    counts = names.value_counts()
    if int((counts >= FEWEST_PIECES).sum()) > 1:
        return ()
    code, said = (ONE_GRADER, _say_one(names, log)) if len(names) else (GRADER_UNNAMED, _UNNAMED)
    return (
        Finding(
            code=code,
            severity=Severity.NOTE,
            message=(
                f"{said} Whoever knows how a {log.codebook.piece_word} was handled may see what "
                "was hoped for, and no arithmetic takes that out."
            ),
            advice=(
                "Grade some again blind ('outcomes agree' with '--regrade' draws the list); "
                "better still, let somebody grade who does not know."
            ),
            column=GRADER,
        ),
    )


_UNNAMED: Final = "The log does not say who graded."


def _names(graded: pd.DataFrame) -> "pd.Series[str]":
    if GRADER not in graded:
        return pd.Series([], dtype=object)
    return graded[GRADER].dropna().astype(str)


def _say_one(names: "pd.Series[str]", log: FiringLog) -> str:
    """Return whose grades they are: nearly always one person's."""
    first = str(names.value_counts().index[0])
    n = int((names == first).sum())
    if names.nunique() == 1:
        return f"Every {log.codebook.piece_word} that names a grader was graded by '{first}'."
    return f"Nearly all grades are by '{first}' ({n} of {len(names)} {log.codebook.piece_word}s)."
