"""Rules about what a firing has in common: its date, its weather, its temperature.

Date, pieces loaded and the conditions marked hard to change belong to the firing, so two
values within one firing are a slip. Other hard-to-change columns (a pull temperature may
rightly differ from piece to piece) are asked about only where nearly every firing keeps to one.
"""

from typing import Any

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Role
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import cluster_column, compare_within, firing_labels
from outcomes.log.places import (
    Positions,
    about_column,
    about_rows,
    has_column,
    is_empty,
    list_cells,
    positions_of,
)
from outcomes.log.quoting import count_of, quote_text

# Above this share of differing firings a column was written piece by piece on purpose, or the
# firing's name is used again: one sentence about the column, not one slip after another.
ON_PURPOSE = 0.5
NEARLY_CONSTANT = 0.2
FEWEST_TO_COMPARE = 5


def check_firing_values(log: FiringLog) -> tuple[Finding, ...]:
    """Name rows whose firing-level value is not that of the rest of their firing."""
    if cluster_column(log) != log.codebook.firing or not log.codebook.firing:
        return ()
    found: list[Finding] = []
    for column in (*_belongs_to_firing(log), *_usually_constant(log)):
        found += _check_column(log, column)
    return tuple(found)


def _check_column(log: FiringLog, column: str) -> tuple[Finding, ...]:
    """Compare one column within every firing."""
    values, labels = _comparable(log, column), firing_labels(log)
    codes, times, differs = compare_within(labels, values)
    n_compared, n_differing = int((times >= 2).sum()), int(differs.sum())
    if not n_differing:
        return ()
    share = n_differing / n_compared
    strict = column in _belongs_to_firing(log)
    if share > ON_PURPOSE and n_compared >= FEWEST_TO_COMPARE:
        return _varies_everywhere(log, column, n_differing=n_differing) if strict else ()
    if not strict and (share > NEARLY_CONSTANT or n_compared < FEWEST_TO_COMPARE):
        return ()
    # A row without a firing has the code -1: the last.
    odd = positions_of(_is_odd(values, labels) & np.append(differs, False)[codes])
    return _differs(log, column, odd, severity=Severity.WARNING if strict else Severity.NOTE)


def _differs(
    log: FiringLog, column: str, odd: Positions, *, severity: Severity
) -> tuple[Finding, ...]:
    """Word the rows that differ from their firing."""
    labels, firing = firing_labels(log), log.codebook.cluster_word

    def words(here: Positions) -> tuple[str, str]:
        distinct = list(dict.fromkeys(labels.iloc[here]))
        told = [
            _one_firing(log, column, here[labels.iloc[here] == label]) for label in distinct[:5]
        ]
        more = f"; and {len(distinct) - 5} more {firing}s" if len(distinct) > 5 else ""
        return (
            f"it differs within one {firing}: {'; '.join(told)}{more}. "
            f"Expected one value for a whole {firing}.",
            f"Correct the cell, or the {firing} of the row; nothing was changed.",
        )

    return about_rows(
        log, odd, column=column, code="firing_value_differs", severity=severity, words=words
    )


def _one_firing(log: FiringLog, column: str, odd: Positions) -> str:
    """Name the odd cells of one firing, and what the rest of it says."""
    labels, written = firing_labels(log), log.written[column]
    label = labels.iloc[odd[0]]
    others = (labels == label) & ~is_empty(written)
    others.iloc[odd] = False
    usual = written[others].mode()
    also = f" (elsewhere {quote_text(str(usual.iloc[0]))})" if len(usual) else ""
    cells = list_cells(log, odd, column)
    return f"{log.codebook.cluster_word} {quote_text(str(label))}, {cells}{also}"


def _varies_everywhere(log: FiringLog, column: str, *, n_differing: int) -> tuple[Finding, ...]:
    """Say of a whole column that it varies within most firings."""
    firing, is_date = log.codebook.cluster_word, column == log.codebook.date
    message = f"it varies within {count_of(n_differing, firing)}, so most of them."
    if is_date:
        advice = (
            f"If {firing} names start anew (every day, every kiln), make them different: the same "
            f"name is read as the same {firing}."
        )
    else:
        advice = f"It is read {log.codebook.piece_word} by {log.codebook.piece_word}, as written."
    return (
        about_column(
            log,
            column,
            code="firing_value_differs",
            severity=Severity.WARNING if is_date else Severity.NOTE,
            message=message,
            advice=advice,
        ),
    )


def _belongs_to_firing(log: FiringLog) -> list[str]:
    """Columns that hold one value for a whole firing by their nature."""
    names = [log.codebook.date, log.codebook.loaded]
    names += [
        factor.name
        for factor in log.codebook.factors
        if factor.role is Role.CONDITION and factor.hard_to_change
    ]
    return [name for name in names if has_column(log, name)]


def _usually_constant(log: FiringLog) -> list[str]:
    """Columns that stay the same within a firing in practice, but need not."""
    return [
        factor.name
        for factor in log.codebook.factors
        if factor.role is not Role.CONDITION
        and factor.hard_to_change
        and has_column(log, factor.name)
    ]


def _comparable(log: FiringLog, column: str) -> "pd.Series[Any]":
    """Values to compare: a date by its day, blanks left out of the comparison."""
    values = log.values[column]
    return values.dt.normalize() if column == log.codebook.date else values


def _is_odd(values: "pd.Series[Any]", labels: "pd.Series[str]") -> "pd.Series[bool]":
    """Whether each row differs from its firing's commonest value; all differ when two tie."""
    pairs = pd.DataFrame({"label": labels, "value": values}).dropna()
    counts = pairs.value_counts().rename("times").reset_index()
    top = counts.groupby("label")["times"].transform("max")
    usual = counts[counts["times"] == top].drop_duplicates("label", keep=False)
    # As objects: where every firing ties, nothing is expected and the column has no dtype.
    expected = pairs["label"].map(usual.set_index("label")["value"]).astype(object)
    odd = expected != pairs["value"].astype(object)
    return odd.reindex(values.index, fill_value=False)
