"""The records of a design: which pieces, which columns, how to rebuild them."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.finding import Finding
from outcomes.log.codebook import Role, Shape

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One factor as it enters a model.

    Parameters
    ----------
    factor
        Canonical factor name; "date_trend" for the drift term.
    role
        Its role; the trend is a condition.
    shape
        The shape actually used (a window may have been straightened: see the findings).
    columns
        Names of its columns in X, e.g. ``("pull_temp_c", "pull_temp_c^2")`` or
        ``("combustible_kind=straw",)``.
    slots
        Column positions in X.
    centre, scale
        A number x enters as (g(x) - centre) / scale, g the identity or, for a saturating
        shape, log(x + offset).
    offset
        One practical step for a saturating shape, else 0.
    knots
        Spline knots on the centred scale; () when no spline.
    turning
        Matrix, row by row, that turns the spline's raw columns into uncorrelated ones; ().
    levels
        For level shapes: the levels with a column first the reference; pooled names mapped
        by ``pooled``.
    pooled
        ((rare level, level it is pooled into), ...).
    between
        True when constant within every firing.
    fill
        Value (number) or level (str) given to blanks of a *condition*; None when blanks
        leave the analysis. See design/rows.py.
    """

    factor: str
    role: Role
    shape: Shape
    columns: tuple[str, ...]
    slots: tuple[int, ...]
    centre: float = 0.0
    scale: float = 1.0
    offset: float = 0.0
    knots: tuple[float, ...] = ()
    turning: tuple[tuple[float, ...], ...] = ()
    levels: tuple[str, ...] = ()
    pooled: tuple[tuple[str, str], ...] = ()
    between: bool = False
    fill: float | str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignSpec:
    """A frozen recipe: rebuilds the columns for any frame of values."""

    outcome: str
    terms: tuple[Term, ...]
    n_columns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Excluded:
    """A factor that is not in the model, and the plain reason.

    ``code``: "never_varied", "not_recorded", "too_many_columns", "mostly_blank", "aliased".
    ``with_factors``: for "aliased", the factors of the model that repeat it exactly.
    """

    factor: str
    role: Role
    code: str
    reason: str
    with_factors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Design:
    """One outcome's analysis table.

    Parameters
    ----------
    X : array, shape (n, p)
        Centred, scaled columns; no intercept (the thresholds are it).
    y : array, shape (n,)
        Grade 0..K-1 among the grades that occur.
    firing : array, shape (n,)
        Firing number 0..G-1.
    rows : array, shape (n,)
        Positions in ``FiringLog.values``.
    frame : DataFrame, shape (n, ...)
        Values of the factors for these rows (blanks of conditions filled), to predict from.
    grades
        Indices of the outcome's levels that occur, ascending, length K.
    aim
        Grade among 0..K-1 such that "y >= aim" is "at the aim or above"; clipped to 1..K-1.
    firing_names
        Length G, in order of first appearance.
    spec
        The recipe of X.
    excluded
        Factors of the codebook that are not in X, with reasons.
    findings
        What had to be done (pooled levels, merged grades, dropped columns).
    left_out
        ((reason, number of pieces), ...): pieces of the log that do not enter this outcome.
    """

    X: FloatArray
    y: IntArray
    firing: IntArray
    rows: IntArray
    frame: pd.DataFrame
    grades: tuple[int, ...]
    aim: int
    firing_names: tuple[str, ...]
    spec: DesignSpec
    excluded: tuple[Excluded, ...]
    findings: tuple[Finding, ...]
    left_out: tuple[tuple[str, int], ...]
