"""Adds to a log what can be computed from it, marked as computed.

The analysis of a log does not use these columns: they repeat what they are made of. They serve
a table beside the log, and the question whether one of them explains new firings better than
its ingredients do (`derived_swap`).
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Factor, Kind
from outcomes.log.computed import (
    ASSUMED_WALL_MM,
    COMPUTED_NOTE,
    COOLING_COLUMNS,
    QUANTITIES,
    Computed,
    CooledPieces,
    Quantity,
    cool_pieces,
)
from outcomes.log.cooling_error import CONSTANTS_OFF_C
from outcomes.log.expectations import find_factor, unit_sign
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.quoting import list_words

COMPUTED = "computed"
"""What ``FiringLog.how`` says of a computed cell; nothing was written there."""

COMPUTED_CODE = "computed_quantity"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Derived:
    """One quantity computed for one log; ``column`` has one entry a piece."""

    quantity: Quantity
    column: Computed


def derive_quantities(log: FiringLog) -> FiringLog:
    """Return the log with every quantity that its columns allow to compute.

    Parameters
    ----------
    log
        Impossible values are not computed with, whether set aside already or not.

    Returns
    -------
    FiringLog
        With a condition more in the codebook, a column more in ``values`` (``how`` says
        "computed", ``written`` is empty) and a finding more for each quantity. A column the
        codebook already has is left as it is. Not for `build_design`: see `derived_swap`.

    Notes
    -----
    ``skin_at_can_c``, ``mean_at_can_c``: °C, 1-D conduction (`cooling.cool`).
    ``combustible_per_litre``: g/L. ``combustible_to_air``: amount over what the enclosed air
    can burn (`computed.fill_ratio`).
    """
    for derived in compute_quantities(log):
        log = add_derived(log, derived)
    return log


def compute_quantities(log: FiringLog) -> tuple[Derived, ...]:
    """Return every quantity the log allows to compute, with the error of its readings."""
    once = cache(partial(_cool, log))
    return tuple(
        Derived(quantity=quantity, column=column)
        for quantity in QUANTITIES
        if (column := compute_quantity(log, quantity, cooled=once)) is not None
    )


def compute_quantity(
    log: FiringLog, quantity: Quantity, *, cooled: Callable[[], CooledPieces] | None = None
) -> Computed | None:
    """Return one quantity for every piece; None when no piece has what it needs.

    ``cooled`` returns the log's pieces at the can where other quantities ask for them too.
    """
    if find_factor(log, quantity.factor.name) is not None:
        return None
    if not all(_is_logged(log, name, unit) for name, unit in quantity.needs):
        return None
    frame = _frame(log, quantity.needs + quantity.helps)
    column = quantity.compute(frame, cooled or partial(_cool, log))
    return column if np.isfinite(column.values).any() else None


def _cool(log: FiringLog) -> CooledPieces:
    return cool_pieces(_frame(log, COOLING_COLUMNS))


def _frame(log: FiringLog, wanted: Iterable[tuple[str, str]]) -> pd.DataFrame:
    """Return the columns that are logged in the unit wanted."""
    names = [name for name, unit in wanted if _is_logged(log, name, unit)]
    return pd.DataFrame({name: _usable(log, name) for name in names})


def describe_computed(log: FiringLog, derived: Derived) -> Finding:
    """Return the caveat that goes with a computed quantity."""
    factor, column = derived.quantity.factor, derived.column
    known = np.isfinite(column.values)
    piece = log.codebook.piece_word
    made_of = list_words([find_label(log.codebook, n) for n in _ingredients(log, derived.quantity)])
    message = (
        f"{factor.label} was worked out for {int(known.sum())} of {len(known)} {piece}s from "
        f"{made_of}; {COMPUTED_NOTE}.{_error_words(column, factor)}{_wall_words(column, piece)}"
    )
    return Finding(
        code=COMPUTED_CODE,
        severity=Severity.NOTE,
        message=message,
        advice=(
            f"Use it to see which {piece}s come before which; it is no measurement and no "
            f"target, and no reason to hurry."
        ),
        column=factor.name,
    )


def find_label(codebook: Codebook, name: str) -> str:
    """Return a factor's label in mid-sentence, its name when the codebook has none."""
    labels = {factor.name: factor.label for factor in codebook.factors}
    label = labels.get(name, name)
    return label[:1].lower() + label[1:]


def add_derived(log: FiringLog, derived: Derived) -> FiringLog:
    """Return the log with one computed column, its factor last in the codebook."""
    name, values = derived.quantity.factor.name, derived.column.values
    index = log.values.index
    how = pd.Series(np.where(np.isfinite(values), COMPUTED, str(How.BLANK)), index, dtype=object)
    factors = (*log.codebook.factors, derived.quantity.factor)
    return replace(
        log,
        codebook=replace(log.codebook, factors=factors),
        values=log.values.assign(**{name: pd.Series(values, index)}),
        written=log.written.assign(**{name: pd.Series("", index, dtype=object)}),
        how=log.how.assign(**{name: how}),
        findings=(*log.findings, describe_computed(log, derived)),
    )


def drop_computed(log: FiringLog) -> FiringLog:
    """Return the log without the columns `derive_quantities` added."""
    computed = [
        quantity.factor.name
        for quantity in QUANTITIES
        if quantity.factor in log.codebook.factors and quantity.factor.name in log.values
    ]
    factors = tuple(f for f in log.codebook.factors if f.name not in computed)
    return replace(
        log,
        codebook=replace(log.codebook, factors=factors),
        values=log.values.drop(columns=computed),
        written=log.written.drop(columns=computed),
        how=log.how.drop(columns=computed),
        findings=tuple(
            f for f in log.findings if f.code != COMPUTED_CODE or f.column not in computed
        ),
    )


def _is_logged(log: FiringLog, name: str, unit: str) -> bool:
    """Whether the log has a number column of that name that means what we mean by it."""
    factor = find_factor(log, name)
    return (
        factor is not None
        and factor.kind is Kind.NUMBER
        and factor.unit == unit
        and name in log.values
    )


def _usable(log: FiringLog, name: str) -> pd.Series:
    """Return a column with what the codebook calls impossible left out."""
    values = log.values[name]
    possible = log.codebook.factor(name).possible
    if possible is None:
        return values
    return values.where(values.between(possible.low, possible.high))


def _ingredients(log: FiringLog, quantity: Quantity) -> list[str]:
    return [name for name, unit in quantity.needs + quantity.helps if _is_logged(log, name, unit)]


def _error_words(column: Computed, factor: Factor) -> str:
    """Return what the readings and the constants leave open, where that is known."""
    known = column.sd[np.isfinite(column.sd)]
    if not len(known):
        return ""
    low, high = CONSTANTS_OFF_C
    sign = unit_sign(factor.unit)
    return (
        f" The readings alone leave it about {max(1.0, float(np.median(known))):.0f} {sign} open "
        f"(one standard deviation), the unknown clay {low:.0f} to {high:.0f} {sign} more, the "
        f"same way on every piece of one clay."
    )


def _wall_words(column: Computed, piece: str) -> str:
    """Return on how many pieces the wall was assumed."""
    assumed = int(column.assumed.sum())
    if not assumed:
        return ""
    return (
        f" On {assumed} {piece}{'' if assumed == 1 else 's'} no wall thickness is written and "
        f"{ASSUMED_WALL_MM:g} mm was assumed."
    )
