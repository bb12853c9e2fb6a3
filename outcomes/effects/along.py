"""The average chance of the aim along the tried range of one numeric setting.

All else as logged, as in `averages`, but at many values at once and under many parameters.
The tried range is the 5th to the 95th percentile of the logged values: the range the curves
are drawn over.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.design.design import Design, FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.design.shapes import build_term_columns
from outcomes.effects.evidence import Evidence
from outcomes.model.links import survival

_MOST_CELLS, _REPLICATES = 2**15, 32  # chances held at once stay in the cache, see `averages`


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """A setting's values along its tried range, ascending.

    ``values`` (m,) in the base unit; ``columns`` (m, c) what they are in the model.
    """

    term: Term
    values: FloatArray
    columns: FloatArray


def build_path(design: Design, factor: str, *, points: int) -> Path | None:
    """Return evenly spaced values over the tried range; None when it holds one value.

    Raises
    ------
    KeyError
        If the model does not hold the factor.
    """
    term = find_term(design.spec, factor)
    low, high = tried_range(design, factor)
    if not low < high:
        return None
    values = np.linspace(low, high, points)
    return Path(term=term, values=values, columns=columns_at(term, values))


def tried_range(design: Design, factor: str) -> tuple[float, float]:
    """Return the 5th and 95th percentile of a factor's logged values."""
    low, high = np.quantile(design.frame[factor].to_numpy(float), [0.05, 0.95])
    return float(low), float(high)


def columns_at(term: Term, values: FloatArray) -> FloatArray:
    """Return a term's columns at some values, shape (m, c)."""
    return np.asarray(build_term_columns(pd.Series(values), term), dtype=float)


def predict_along(evidence: Evidence, path: Path, parameters: FloatArray) -> FloatArray:
    """Return the average chance of the aim at every value, shape (B, m).

    Parameters
    ----------
    parameters : array, shape (B, q)
        Thresholds then slopes of each replicate.
    """
    design, cuts = evidence.design, evidence.n_grades - 1
    slots = list(path.term.slots)
    slopes = parameters[:, cuts:].copy()
    shift = slopes[:, slots] @ path.columns.T
    slopes[:, slots] = 0.0
    sums = np.zeros((len(parameters), len(path.values)))
    pieces = max(1, _MOST_CELLS // _REPLICATES)
    for first in range(0, len(parameters), _REPLICATES):
        rows = slice(first, first + _REPLICATES)
        for begin in range(0, len(design.y), pieces):
            lean = slopes[rows] @ design.X[begin : begin + pieces].T
            gap = parameters[rows, design.aim - 1, None] - lean
            for m in range(len(path.values)):
                sums[rows, m] += survival(gap - shift[rows, m, None], evidence.link).sum(axis=1)
    return sums / len(design.y)
