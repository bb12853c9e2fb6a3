"""What blanks do: which columns leave, which pieces leave, what is filled in.

The rules stand in `rows`.
"""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import Excluded
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Factor, Kind, Role

MOSTLY_BLANK = 0.4  # method.md §10 asks for counts; the share is our rule
LEAST_COMPLETE = 0.5
NOT_STATED = "not stated"


def explain_mostly_blank(factor: Factor, values: pd.Series) -> str:
    """Return the sentence why a column with too many blanks was left out."""
    blank = int(values.isna().sum())
    return (
        f"{factor.label} is blank on {blank} of {len(values)} graded pieces; it was left out "
        f"rather than losing those pieces."
    )


def drop_costly(
    frame: pd.DataFrame, factors: tuple[Factor, ...]
) -> tuple[tuple[Factor, ...], tuple[Excluded, ...]]:
    """Leave out settings until at least half of the pieces are complete (rule 5)."""
    kept = list(factors)
    excluded: list[Excluded] = []
    while True:
        settings = [f for f in kept if f.role is Role.SETTING]
        blank = frame[[f.name for f in settings]].isna().to_numpy()
        if not settings or (~blank.any(axis=1)).mean() >= LEAST_COMPLETE:
            return tuple(kept), tuple(excluded)
        alone = blank & (blank.sum(axis=1) == 1)[:, None]
        cost = alone.sum(axis=0) + blank.sum(axis=0) / (len(frame) + 1)
        worst = settings[int(np.argmax(cost))]
        kept.remove(worst)
        excluded.append(
            Excluded(
                factor=worst.name,
                role=worst.role,
                code="mostly_blank",
                reason=explain_mostly_blank(worst, frame[worst.name]),
            )
        )


def find_complete(
    frame: pd.DataFrame, factors: tuple[Factor, ...]
) -> tuple[NDArray[np.bool_], tuple[tuple[str, int], ...]]:
    """Return which rows have every setting, and the account of the others (rule 6)."""
    complete = np.ones(len(frame), dtype=bool)
    account: list[tuple[str, int]] = []
    for factor in factors:
        if factor.role is Role.SETTING:
            lost = complete & frame[factor.name].isna().to_numpy()
            if lost.any():
                account.append((f"{factor.label} blank", int(lost.sum())))
            complete &= ~lost
    return complete, tuple(account)


def fill_blanks(
    frame: pd.DataFrame, factors: tuple[Factor, ...], firing: NDArray[np.int64]
) -> tuple[pd.DataFrame, tuple[tuple[str, float | str], ...], tuple[Finding, ...]]:
    """Fill blanks of conditions and groupings (rule 7)."""
    filled = frame.copy()
    fills: list[tuple[str, float | str]] = []
    findings: list[Finding] = []
    for factor in factors:
        if factor.role is Role.SETTING:
            continue
        column = frame[factor.name]
        blank = column.isna().to_numpy()
        fallback = _usual(column.to_numpy()[~blank], factor)
        fills.append((factor.name, fallback))
        if blank.any():
            values = _fill_one(column.to_numpy(), blank, factor, firing=firing, fallback=fallback)
            filled[factor.name] = pd.Series(values, index=frame.index, dtype=column.dtype)
            findings.append(_filled(factor, int(blank.sum()), len(frame)))
    return filled, tuple(fills), tuple(findings)


def _usual(known: NDArray[Any], factor: Factor) -> float | str:
    """Return what stands for a blank: median, commonest level, or "not stated"."""
    if factor.role is Role.GROUPING:
        return NOT_STATED
    if not len(known):
        return 0.0 if factor.kind is Kind.NUMBER else NOT_STATED
    if factor.kind is Kind.NUMBER:
        return float(np.median(known))
    codes, names = pd.factorize(known, sort=True)
    return str(names[np.bincount(codes).argmax()])


def _fill_one(
    values: NDArray[Any],
    blank: NDArray[np.bool_],
    factor: Factor,
    *,
    firing: NDArray[np.int64],
    fallback: float | str,
) -> NDArray[Any]:
    """Return a column without blanks: the firing's own value first, then the fallback."""
    filled = values.copy()
    filled[blank] = fallback
    if factor.role is not Role.GROUPING:
        for n in np.unique(firing[blank]):
            own = values[(firing == n) & ~blank]
            if len(own):
                filled[(firing == n) & blank] = _usual(own, factor)
    return filled


def _filled(factor: Factor, n_blank: int, n: int) -> Finding:
    how = (
        "count as 'not stated'"
        if factor.role is Role.GROUPING
        else "took the value of their firing, or the log's usual value where it had none"
    )
    return Finding(
        code="blanks_filled",
        severity=Severity.NOTE,
        message=f"{factor.label} is blank on {n_blank} of {n} pieces; these {how}.",
        advice=f"Fill in {factor.name} where you still know it.",
        column=factor.name,
    )
