"""Temperatures whose scale is in doubt: asked about, never converted silently.

Three doubts. A number without any unit could be either scale; such cells come set aside from
the cell parser. A number under a stated unit may have been typed in the other one: the column
then falls into two clumps related by F = 1.8 C + 32. And a whole column may be unusual in
the unit it states and usual in the other.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from outcomes.log.cells import SCALE_NOT_STATED
from outcomes.log.codebook import Codebook, Factor
from outcomes.log.columns import ColumnRead, set_cells_aside
from outcomes.log.firing_log import How
from outcomes.log.units import dimension_of, to_base

Positions = NDArray[np.int64]
OTHER_SCALE = {"C": "F", "F": "C"}
SCALE_WORD = {"C": "°C", "F": "°F"}


def question_scales(column: ColumnRead, codebook: Codebook) -> ColumnRead:
    """Set aside the numbers that make sense only in the other scale.

    Notes
    -----
    Only in a column of two clumps: a number is set aside when, read in the other scale, it
    falls among the column's plausible values, while read as stated it is implausible and
    farther from them than they are from each other. A column without a plausible value is
    left as it is, to be asked about as a whole.
    """
    factor = find_thermal_factor(column, codebook)
    if factor is None:
        return column
    at = find_other_clump(column, factor)
    if len(at) == 0:
        return column
    reason = other_scale_reason(stated_scale(column, factor))
    return set_cells_aside(column, at, reasons=[reason] * len(at))


def other_scale_reason(stated: str) -> str:
    """Return the reason of a number that belongs to the other clump.

    >>> other_scale_reason("F")
    'unusual in °F, which the column states, and usual in °C; write the unit into the cell'
    """
    return (
        f"unusual in {SCALE_WORD[stated]}, which the column states, and usual in "
        f"{SCALE_WORD[OTHER_SCALE[stated]]}; write the unit into the cell"
    )


def find_thermal_factor(column: ColumnRead, codebook: Codebook) -> Factor | None:
    """Return the factor of a column of temperatures that may come in both scales, or None."""
    for factor in codebook.factors:
        if factor.name == column.match.column and dimension_of(factor.unit) == "temperature":
            return factor if {"C", "F"} <= {factor.unit, *factor.accepted_units} else None
    return None


def stated_scale(column: ColumnRead, factor: Factor) -> str:
    """Return the scale the header or the codebook states for bare numbers, or ""."""
    return column.match.unit or factor.unstated_unit


def find_unstated(column: ColumnRead) -> Positions:
    """Return the cells whose number could be either scale."""
    return column.find_reason(SCALE_NOT_STATED)


def find_inferred(column: ColumnRead, factor: Factor) -> Positions:
    """Return the cells taken for °F because no kiln of this trade is so hot in °C."""
    if stated_scale(column, factor):
        return np.empty(0, dtype=np.int64)
    bare = (column.stated == "") & np.isfinite(_numbers(column))
    return np.flatnonzero(bare & ~column.is_read(How.DITTO))


def find_other_clump(column: ColumnRead, factor: Factor) -> Positions:
    """Return the cells that join the column's other values only in the other scale."""
    unusual = _unusual_as_stated(column, factor)
    numbers = _numbers(column)
    low, high = _plausible(factor)
    usual = numbers[(numbers >= low) & (numbers <= high)]
    if len(usual) == 0 or not unusual.any():
        return np.empty(0, dtype=np.int64)
    spread = usual.max() - usual.min()
    away = np.maximum(usual.min() - numbers, numbers - usual.max())
    swapped = _in_other_scale(numbers, factor, stated_scale(column, factor))
    margin = max(0.25 * spread, 1.0)
    near = (swapped >= usual.min() - margin) & (swapped <= usual.max() + margin)
    return np.flatnonzero(unusual & near & (away > spread))


def is_doubted(column: ColumnRead, factor: Factor) -> bool:
    """Say whether a whole column is unusual in its scale and usual in the other."""
    numbers = _numbers(column)
    written = np.isfinite(numbers)
    return bool(written.any() and (_unusual_as_stated(column, factor) == written).all())


def _unusual_as_stated(column: ColumnRead, factor: Factor) -> NDArray[np.bool_]:
    """Mark the bare numbers implausible in the stated scale and plausible in the other."""
    numbers, stated = _numbers(column), stated_scale(column, factor)
    if stated not in OTHER_SCALE or factor.plausible is None:
        return np.zeros(len(numbers), dtype=bool)
    low, high = _plausible(factor)
    swapped = _in_other_scale(numbers, factor, stated)
    bare = (column.stated == "") & np.isfinite(numbers)
    outside = (numbers < low) | (numbers > high)
    marked: NDArray[np.bool_] = bare & outside & (swapped >= low) & (swapped <= high)
    return marked


def _in_other_scale(
    numbers: NDArray[np.float64], factor: Factor, stated: str
) -> NDArray[np.float64]:
    """Return what the written numbers would mean had they been typed in the other scale."""
    written = _affine(numbers, factor.unit, stated)
    return _affine(written, OTHER_SCALE[stated], factor.unit)


def _affine(numbers: NDArray[np.float64], unit: str, base: str) -> NDArray[np.float64]:
    zero, one = to_base(0.0, unit, base), to_base(1.0, unit, base)
    return zero + (one - zero) * numbers


def _plausible(factor: Factor) -> tuple[float, float]:
    if factor.plausible is None:
        return -np.inf, np.inf
    return factor.plausible.low, factor.plausible.high


def _numbers(column: ColumnRead) -> NDArray[np.float64]:
    return column.values.astype(np.float64)


def distinct_texts(column: ColumnRead, at: Positions) -> Sequence[str]:
    """Return the distinct texts at these positions, in the order they come."""
    return list(dict.fromkeys(column.written[at]))
