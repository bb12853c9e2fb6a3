"""What a column's values must be like, by the codebook: their type, and what each may hold."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.codebook import Codebook, Factor, Kind, Range

IMPOSSIBLE = "impossible_value"
IMPLAUSIBLE = "implausible_value"
WRONG_TYPE = "unexpected_type"
_LOADED = Range(low=1.0, high=10_000.0)

Column: TypeAlias = "pd.Series[Any]"
# (column, code of the rule) -> positions of the cells that break it
Failures: TypeAlias = dict[tuple[str, str], NDArray[np.int64]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rule:
    """One column's rule.

    Parameters
    ----------
    dtype
        Name of the type that `FiringLog.values` promises.
    code
        Of the rule that a cell breaks.
    allows
        Column, shape (n,) -> which cells keep the rule; blanks are not asked. None allows all.
    """

    dtype: str
    code: str = IMPOSSIBLE
    allows: Callable[[Column], NDArray[np.bool_]] | None = None


def build_impossible_rules(codebook: Codebook) -> dict[str, Rule]:
    """Return what can be true at all; columns the log lacks are not missed."""
    rules = {factor.name: _factor_rule(factor) for factor in codebook.factors}
    for outcome in codebook.outcomes:
        highest = float(len(outcome.levels) - 1)
        rules[outcome.name] = Rule(dtype="float64", allows=_whole(highest))
    if codebook.loaded:
        rules[codebook.loaded] = Rule(dtype="float64", allows=_within(_LOADED))
    if codebook.date:
        rules[codebook.date] = Rule(dtype="datetime64[s]")
    for name in (codebook.firing, codebook.piece, codebook.notes):
        if name:
            rules[name] = Rule(dtype="object")
    return rules


def build_implausible_rules(codebook: Codebook) -> dict[str, Rule]:
    """Return what is usual: values outside are kept and asked about."""
    return {
        factor.name: Rule(
            dtype="float64", code=IMPLAUSIBLE, allows=_usual(factor.plausible, factor.possible)
        )
        for factor in codebook.factors
        if factor.kind is Kind.NUMBER and factor.plausible is not None
    }


def find_failures(values: pd.DataFrame, rules: Mapping[str, Rule]) -> Failures:
    """Return the positions of the cells that break each rule, keyed by (column, rule).

    Parameters
    ----------
    values : DataFrame, shape (n, columns)
        Nothing is coerced: a column of another type breaks its rule as a whole, and gets the
        code `WRONG_TYPE` without positions.
    rules
        Column -> rule.
    """
    found: Failures = {}
    for name, rule in rules.items():
        if name not in values.columns:
            continue
        column = values[name]
        if str(column.dtype) != rule.dtype:
            found[name, WRONG_TYPE] = np.empty(0, dtype=np.int64)
        elif rule.allows is not None:
            broken = np.flatnonzero(~rule.allows(column) & column.notna().to_numpy())
            if len(broken):
                found[name, rule.code] = broken.astype(np.int64)
    return found


def _factor_rule(factor: Factor) -> Rule:
    """Return the rule of what is possible for one factor."""
    if factor.kind is Kind.NUMBER:
        return Rule(dtype="float64", allows=_within(factor.possible))
    if factor.kind is Kind.LEVELS:
        levels = list(factor.levels)
        return Rule(dtype="object", allows=lambda column: column.isin(levels).to_numpy())
    return Rule(dtype="object")


def _whole(highest: float) -> Callable[[Column], NDArray[np.bool_]]:
    """Return "a whole number from 0 to the highest grade"."""

    def allows(column: Column) -> NDArray[np.bool_]:
        grades = column.to_numpy(dtype=np.float64)
        whole: NDArray[np.bool_] = grades == np.floor(grades)
        return _is_inside(grades, Range(low=0.0, high=highest)) & whole

    return allows


def _within(limits: Range | None) -> Callable[[Column], NDArray[np.bool_]]:
    """Return "finite, and inside the range if there is one"."""

    def allows(column: Column) -> NDArray[np.bool_]:
        return _is_inside(column.to_numpy(dtype=np.float64), limits)

    return allows


def _usual(plausible: Range, possible: Range | None) -> Callable[[Column], NDArray[np.bool_]]:
    """Return "inside the usual range", silent about what is impossible anyway."""

    def allows(column: Column) -> NDArray[np.bool_]:
        numbers = column.to_numpy(dtype=np.float64)
        return _is_inside(numbers, plausible) | ~_is_inside(numbers, possible)

    return allows


def _is_inside(numbers: NDArray[np.float64], limits: Range | None) -> NDArray[np.bool_]:
    """Whether each number is finite and inside; one bound alone would let infinity pass."""
    inside: NDArray[np.bool_] = np.isfinite(numbers)
    if limits is not None:
        inside &= (numbers >= limits.low) & (numbers <= limits.high)
    return inside
