"""How much columns repeat one another: inflation factors, condition indexes, grouped R²."""

import numpy as np
from scipy import special

from outcomes.design.design import FloatArray

_REPEATED = 1e-12  # of the largest: directions told less are rounding


def variance_inflation(X: FloatArray) -> FloatArray:
    """Return 1 / (1 - R²) of each column on the others (with an intercept), shape (p,).

    References
    ----------
    Belsley, Kuh & Welsch (1980), Regression Diagnostics, chapter 3.
    """
    centred = X - X.mean(axis=0)
    unit = centred / np.linalg.norm(centred, axis=0)
    return np.asarray(np.diagonal(np.linalg.inv(unit.T @ unit)))


def scaled_condition_indexes(X: FloatArray) -> FloatArray:
    """Return the condition indexes of X with an intercept, ascending, shape (p+1,).

    Notes
    -----
    Columns are scaled to length one and not centred: centring would hide that a column is
    nearly constant (Belsley 1984, doi:10.1080/00031305.1984.10483169). Above 30 is high.
    """
    columns = np.column_stack([np.ones(len(X)), X])
    singular = np.linalg.svd(columns / np.linalg.norm(columns, axis=0), compute_uv=False)
    return np.asarray(singular[0] / singular)


def explained_share(columns: FloatArray, others: FloatArray) -> float:
    """Return the grouped R²: share of the columns' variance that the others explain.

    Parameters
    ----------
    columns : array, shape (n, a)
        A factor's columns; each is scaled to variance one, constant ones count nothing.
    others : array, shape (n, b)
        An intercept is added.

    Examples
    --------
    >>> x = np.arange(4.0)[:, None]
    >>> round(explained_share(x, 2 * x + 1), 6)
    1.0
    """
    mine = columns.shape[1]
    together = condense(np.concatenate([columns, others], axis=1))
    return condensed_share(together[:, :mine], together[:, mine:])


def condense(X: FloatArray) -> FloatArray:
    """Return at most p rows with the lengths and angles of the centred columns of X (n, p).

    Sums of squares and least squares are the same of these rows: what is asked of a hundred
    sets of columns passes over the pieces once.
    """
    return np.asarray(np.linalg.qr(X - X.mean(axis=0), mode="r"))


def condensed_share(columns: FloatArray, others: FloatArray) -> float:
    """Return the `explained_share` of columns of one `condense`, shapes (r, a) and (r, b)."""
    length = np.linalg.norm(columns, axis=0)
    unit = columns[:, length > 0] / length[length > 0]
    if unit.shape[1] == 0 or others.shape[1] == 0:
        return 0.0
    residual = unit - others @ np.linalg.lstsq(others, unit, rcond=_REPEATED)[0]
    return float(1.0 - (residual**2).sum() / unit.shape[1])


def adjusted_share(share: float, *, units: int, regressors: int) -> float:
    """Return R² less what as many unrelated columns would explain; 0 without freedom.

    >>> round(adjusted_share(0.5, units=11, regressors=5), 6)
    0.0
    """
    freedom = units - 1 - regressors
    if freedom < 1:
        return 0.0
    return max(0.0, 1.0 - (1.0 - share) * (units - 1) / freedom)


def chance_of_share(share: float, *, units: int, regressors: int) -> float:
    """Return the chance of an R² at least this large from unrelated columns (F test)."""
    freedom = units - 1 - regressors
    if freedom < 1 or regressors < 1:
        return 1.0
    if share >= 1.0:
        return 0.0
    ratio = (share / regressors) / ((1.0 - share) / freedom)
    return float(special.fdtrc(regressors, freedom, ratio))
