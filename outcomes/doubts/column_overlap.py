"""How far each column, and each factor, repeats the others: one record an outcome."""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.doubts.collinearity import (
    adjusted_share,
    condense,
    condensed_share,
    scaled_condition_indexes,
)

_ALL = 1.0 - 1e-10  # explained to the last digit: no inflation factor is left


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorOverlap:
    """Share of a factor's variation that all other factors explain, plain and adjusted.

    ``adjusted`` allows for how many columns the others have, with firings as units for a
    factor that is constant within firings.
    """

    factor: str
    explained: float
    adjusted: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnOverlap:
    """Collinearity of one outcome's columns.

    Parameters
    ----------
    inflation : tuple of float or None, length p
        Variance inflation factor of each column; None where the others repeat it exactly.
    condition_indexes : array, shape (p+1,)
        Ascending, columns with an intercept, scaled to length one, not centred.
    factors
        In the order of the design's terms.
    """

    outcome: str
    inflation: tuple[float | None, ...]
    condition_indexes: FloatArray
    factors: tuple[FactorOverlap, ...]


def measure_overlap(design: Design) -> ColumnOverlap | None:
    """Return the diagnostics; None for a design without columns."""
    if not design.spec.terms:
        return None
    columns = condense(design.X)
    return ColumnOverlap(
        outcome=design.spec.outcome,
        inflation=tuple(_inflation(columns, slot) for slot in range(design.spec.n_columns)),
        condition_indexes=scaled_condition_indexes(design.X),
        factors=_measure_factors(design, columns),
    )


def _inflation(columns: FloatArray, slot: int) -> float | None:
    share = condensed_share(columns[:, [slot]], np.delete(columns, slot, axis=1))
    return None if share > _ALL else 1.0 / (1.0 - share)


def _measure_factors(design: Design, columns: FloatArray) -> tuple[FactorOverlap, ...]:
    found = []
    for term in design.spec.terms:
        others = [other for other in design.spec.terms if other.factor != term.factor]
        slots = [slot for other in others for slot in other.slots]
        share = condensed_share(columns[:, list(term.slots)], columns[:, slots])
        counted = [other for other in others if other.between] if term.between else others
        adjusted = adjusted_share(
            share,
            units=len(design.firing_names) if term.between else len(design.y),
            regressors=max(1, sum(len(other.columns) for other in counted)),
        )
        found.append(FactorOverlap(factor=term.factor, explained=share, adjusted=adjusted))
    return tuple(found)
