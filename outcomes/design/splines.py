"""Natural cubic splines: windows that are not parabolas.

Between the knots a cubic, beyond the outer ones a straight line (so the ends, where few pieces
lie, cannot swing). Five knots at fixed percentiles give four columns (Harrell 2015, Regression
Modeling Strategies, table 2.3: 5, 27.5, 50, 72.5, 95 %).

The columns are turned and scaled so that each is uncorrelated with the others and has a
standard deviation of a half, as every other column has: on the raw columns the weak penalty of
the fit would bear on the bend a thousand times harder than on the line.
"""

import numpy as np

from outcomes.design.design import FloatArray

KNOTS_AT = (0.05, 0.275, 0.50, 0.725, 0.95)
_SPREAD = 0.5

Turning = tuple[tuple[float, ...], ...]


def choose_knots(unit: FloatArray) -> tuple[float, ...]:
    """Return the knots of some values, distinct and ascending; () when two of them meet.

    >>> choose_knots(np.array([0.0, 0.0, 0.0, 1.0]))
    ()
    """
    knots = np.quantile(unit, KNOTS_AT)
    return tuple(float(k) for k in knots) if np.all(np.diff(knots) > 0.0) else ()


def choose_turning(unit: FloatArray, knots: tuple[float, ...]) -> Turning:
    """Return the matrix that makes the columns uncorrelated, row by row.

    The first column stays the straight one; its scale is left alone.
    """
    raw = raw_columns(unit, knots)
    _, upper = np.linalg.qr(raw - raw.mean(axis=0))
    turning = np.linalg.inv(upper) * np.sqrt(len(unit)) * _SPREAD
    turning[:, 0] = np.eye(len(upper))[0]
    return tuple(tuple(float(v) for v in row) for row in turning)


def spline_columns(unit: FloatArray, knots: tuple[float, ...], turning: Turning) -> FloatArray:
    """Return the columns at some values, shape (m, number of knots - 1); 0 at unit 0."""
    at_zero = raw_columns(np.zeros(1), knots)
    return np.asarray((raw_columns(unit, knots) - at_zero) @ np.array(turning))


def raw_columns(unit: FloatArray, knots: tuple[float, ...]) -> FloatArray:
    """Return the truncated-power columns of a natural cubic spline.

    References
    ----------
    Hastie, Tibshirani & Friedman (2009), The Elements of Statistical Learning, eq. 5.4-5.5.
    """
    at = np.array(knots)
    cubes = np.maximum(unit[:, None] - at, 0.0) ** 3
    slopes = (cubes[:, :-1] - cubes[:, -1:]) / (at[-1] - at[:-1])
    return np.column_stack([unit, (slopes[:, :-1] - slopes[:, -1:]) / (at[-1] - at[0])])
