"""What blanks do: which columns leave, which pieces leave, what is filled in.

The rules stand in `rows`.
"""

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
        values = frame[factor.name]
        fallback = _usual(values, factor)
        fills.append((factor.name, fallback))
        blank = values.isna().to_numpy()
        if blank.any():
            filled = filled.assign(**{factor.name: _fill_one(values, factor, firing, fallback)})
            findings.append(_filled(factor, int(blank.sum()), len(frame)))
    return filled, tuple(fills), tuple(findings)


def _usual(values: pd.Series, factor: Factor) -> float | str:
    """Return what stands for a blank: median, commonest level, or "not stated"."""
    if factor.role is Role.GROUPING:
        return NOT_STATED
    if values.isna().all():
        return 0.0 if factor.kind is Kind.NUMBER else NOT_STATED
    if factor.kind is Kind.NUMBER:
        return float(values.median())
    return str(values.mode(dropna=True).iloc[0])


def _fill_one(
    values: pd.Series, factor: Factor, firing: NDArray[np.int64], fallback: float | str
) -> pd.Series:
    """Return a column without blanks: the firing's own value first, then the fallback."""
    if factor.role is not Role.GROUPING:
        asked = set(firing[values.isna().to_numpy()].tolist())
        of_firing = {n: _usual_or_none(values[firing == n], factor) for n in sorted(asked)}
        own = pd.Series([of_firing.get(n) for n in firing.tolist()], index=values.index)
        values = values.where(values.notna(), own)
    return values.where(values.notna(), fallback)


def _usual_or_none(values: pd.Series, factor: Factor) -> float | str | None:
    return None if values.isna().all() else _usual(values, factor)


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
