"""Who enters an outcome's analysis, who does not, and why.

Rules, in order:

1. A piece without a grade, or with a glaze the outcome does not apply to, leaves.
2. A factor that is not in the log, or is blank on every graded piece, is "not_recorded".
3. A setting that takes one value, or departs from its commonest value in fewer than two
   firings, is "never_varied" - before blanks are looked at, so that it costs no piece.
4. A factor blank on more than 40 % of the graded pieces is "mostly_blank".
5. While less than half of the graded pieces are complete in all settings, the setting whose
   blanks alone cost most pieces is left out too ("mostly_blank"): ten settings each blank
   on one piece in ten would otherwise leave a third of the log.
6. Pieces with a blank in a remaining setting leave, counted under the first such setting.
   Settings are never filled in here.
7. Blanks of a condition take the firing's value, else the median or the commonest level;
   blanks of a grouping become the level "not stated". Both are counted in a finding.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.blanks import (
    MOSTLY_BLANK,
    drop_costly,
    explain_mostly_blank,
    fill_blanks,
    find_complete,
)
from outcomes.design.design import Excluded
from outcomes.design.firings import find_firings, number_firings
from outcomes.finding import Finding
from outcomes.log.codebook import Factor, Kind, Outcome
from outcomes.log.expectations import unit_sign
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.outcome_account import BLANK, NOT_USABLE, OTHER_GLAZE, applies


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """The pieces of one outcome's analysis.

    Parameters
    ----------
    positions : array, shape (n,)
        Rows of ``FiringLog.values``.
    frame : DataFrame, shape (n, ...)
        Their factor columns, index 0..n-1, blanks of conditions and groupings filled.
    grade : array, shape (n,)
        Level index of the codebook.
    firing : array, shape (n,)
        Firing number 0..G-1.
    firing_names
        Length G.
    factors
        The factors still in play, in codebook order.
    fills
        (factor name, value its blanks get when a new frame is predicted).
    excluded, findings, left_out
        As in `Design`.
    """

    positions: NDArray[np.int64]
    frame: pd.DataFrame
    grade: NDArray[np.int64]
    firing: NDArray[np.int64]
    firing_names: tuple[str, ...]
    factors: tuple[Factor, ...]
    fills: tuple[tuple[str, float | str], ...]
    excluded: tuple[Excluded, ...]
    findings: tuple[Finding, ...]
    left_out: tuple[tuple[str, int], ...]


def choose_rows(log: FiringLog, outcome: Outcome) -> Rows | str:
    """Return the pieces an outcome is learnt from, or the sentence why there are none."""
    if outcome.name not in log.values:
        return f"{outcome.label}: the log has no column {outcome.name}, so nothing can be learnt."
    graded, left_out = _graded(log, outcome)
    if not graded.any():
        return _nothing_graded(log, outcome, left_out)
    labels = find_firings(log).labels
    frame = log.values.loc[graded]
    kept, excluded = _choose_factors(frame, labels[graded], log.codebook.factors)
    kept, dropped = drop_costly(frame, kept)
    complete, blanks = find_complete(frame, kept)
    positions = np.flatnonzero(graded)[complete]
    firing, names = number_firings(labels[positions])
    frame = log.values.iloc[positions].reset_index(drop=True)
    frame, fills, findings = fill_blanks(frame, kept, firing)
    return Rows(
        positions=positions,
        frame=frame,
        grade=frame[outcome.name].to_numpy().astype(np.int64),
        firing=firing,
        firing_names=names,
        factors=kept,
        fills=fills,
        excluded=excluded + dropped,
        findings=findings,
        left_out=left_out + blanks,
    )


def count_other_firings(values: pd.Series, firing: NDArray[np.object_] | NDArray[np.int64]) -> int:
    """Return in how many firings a column departs from its commonest value.

    >>> count_other_firings(pd.Series([1.0, 1.0, 2.0, 3.0]), np.array([0, 0, 1, 1]))
    1
    """
    codes, names = pd.factorize(values.to_numpy(), sort=True)
    if not len(names):
        return 0
    known = codes >= 0
    commonest = int(np.bincount(codes[known]).argmax())
    return len(set(np.asarray(firing)[known & (codes != commonest)].tolist()))


def explain_never_varied(factor: Factor, values: pd.Series, *, n_other: int) -> str:
    """Return the sentence why nothing can be learnt about a column that hardly varies."""
    known = values.dropna()
    if known.nunique() < 2:
        one = known.iloc[0]
        is_number = factor.kind is Kind.NUMBER
        text = f"{one:g} {unit_sign(factor.unit)}".strip() if is_number else f"'{one}'"
        return f"{factor.label} is {text} on every graded piece, so it cannot be learnt about."
    return (
        f"{factor.label} departs from its usual value in only {n_other} firing, so its effect "
        f"cannot be told from that firing's luck."
    )


def _graded(
    log: FiringLog, outcome: Outcome
) -> tuple[NDArray[np.bool_], tuple[tuple[str, int], ...]]:
    """Return which pieces are graded and concerned, and the account of the others."""
    fits = applies(log, outcome).to_numpy(bool)
    graded = log.values[outcome.name].notna().to_numpy()
    unread = (log.how[outcome.name] == str(How.SET_ASIDE)).to_numpy(bool)
    account = (
        (OTHER_GLAZE, int((~fits).sum())),
        (f"{outcome.label} {NOT_USABLE}", int((fits & ~graded & unread).sum())),
        (f"{outcome.label} {BLANK}", int((fits & ~graded & ~unread).sum())),
    )
    return fits & graded, tuple((reason, n) for reason, n in account if n)


def _nothing_graded(log: FiringLog, outcome: Outcome, left_out: tuple[tuple[str, int], ...]) -> str:
    why = "; ".join(f"{n} × {reason}" for reason, n in left_out)
    return (
        f"{outcome.label}: of the {len(log.values)} {log.codebook.piece_word}s none can be used "
        f"({why}). Grade some {log.codebook.piece_word}s in column {outcome.name}."
    )


def _choose_factors(
    frame: pd.DataFrame, firing: NDArray[np.object_], factors: tuple[Factor, ...]
) -> tuple[tuple[Factor, ...], tuple[Excluded, ...]]:
    """Return the factors that could be learnt about, and the others with reasons."""
    kept: list[Factor] = []
    excluded: list[Excluded] = []
    for factor in factors:
        code, reason = _refuse(factor, frame, firing)
        if code:
            excluded.append(
                Excluded(factor=factor.name, role=factor.role, code=code, reason=reason)
            )
        else:
            kept.append(factor)
    return tuple(kept), tuple(excluded)


def _refuse(factor: Factor, frame: pd.DataFrame, firing: NDArray[np.object_]) -> tuple[str, str]:
    """Return (code, reason) if a factor cannot be in the model, else ("", "")."""
    blank = frame[factor.name].isna().to_numpy() if factor.name in frame else np.ones(1, dtype=bool)
    if blank.all():
        return "not_recorded", f"{factor.label} is not written on any graded piece of this log."
    values = frame[factor.name]
    n_other = count_other_firings(values, firing)  # 0 where there is one value only
    if n_other < 2:
        return "never_varied", explain_never_varied(factor, values, n_other=n_other)
    if blank.mean() > MOSTLY_BLANK:
        return "mostly_blank", explain_mostly_blank(factor, values)
    return "", ""


def without(rows: Rows, excluded: Excluded) -> Rows:
    """Return the rows with one factor taken out of play, with its reason."""
    return replace(
        rows,
        factors=tuple(f for f in rows.factors if f.name != excluded.factor),
        excluded=(*rows.excluded, excluded),
    )
