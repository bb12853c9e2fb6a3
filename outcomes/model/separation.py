"""Which columns the data separate: some estimate would be infinite without the penalty."""

from typing import Final

import numpy as np
from scipy import optimize

from outcomes.model.cumulative import start_without_columns
from outcomes.model.fit import FitOptions, FloatArray, IntArray, Link, Penalty
from outcomes.model.likelihood import Pieces
from outcomes.model.newton import climb_one

_NONZERO: Final = 1e-7  # linprog (HiGHS) keeps its constraints to 1e-7 by default
_STEPS: Final = 12  # on separated data a step moves some cut point by about 1, for ever
_SAFE: Final = 2.0  # room for rounding


def find_separation(
    X: FloatArray, y: IntArray, n_grades: int, names: tuple[str, ...]
) -> tuple[str, ...]:
    """Return the names of the columns whose estimate would be infinite.

    Parameters
    ----------
    X : array, shape (n, p)
    y : array, shape (n,)
        Grades 0..n_grades-1; grades that do not occur make thresholds, not columns, infinite.
    n_grades
        K.
    names
        The p column names.

    Returns
    -------
    tuple of str
        Empty when every slope has a finite maximum-likelihood estimate.

    Notes
    -----
    A direction delta of (thresholds, slopes) along which no piece's upper cut point falls and
    no lower cut point rises never loses likelihood; if some cut point moves, the estimate runs
    off along it. The linear programme ``max sum(D_u delta) - sum(D_l delta)`` under
    ``D_u delta >= 0``, ``D_l delta <= 0``, ``-1 <= delta <= 1`` finds it. One optimum can hide
    a second separating column behind the first, so it is repeated on the cut points that the
    directions found so far leave unmoved. Columns are brought to unit spread first.

    Where a few Newton steps without a penalty show that there is no such direction (nearly
    always, see `_is_bounded`) no programme is solved: 4 s for 100 000 pieces.

    References
    ----------
    Albert & Anderson (1984), Biometrika 71, 1-10. Konis (2007), "Linear programming algorithms
    for detecting separated data in binary logistic regression models", DPhil thesis, Oxford.

    Examples
    --------
    >>> find_separation(np.array([[0.0], [0.0], [1.0]]), np.array([0, 1, 1]), 2, ("lid",))
    ('lid',)
    """
    if _is_bounded(X, y, n_grades):
        return ()
    moves = _cut_point_moves(X, y, n_grades)
    last = n_grades - 1
    found = np.zeros(X.shape[1], dtype=bool)
    unmoved = np.ones(moves.shape[0], dtype=bool)
    while unmoved.any():
        direction = _best_direction(moves, moves[unmoved].sum(axis=0))
        moved = unmoved & (moves @ direction > _NONZERO)
        if not moved.any():
            break
        found |= np.abs(direction[last:]) > _NONZERO
        unmoved &= ~moved
    return tuple(name for name, is_found in zip(names, found, strict=True) if is_found)


def _is_bounded(X: FloatArray, y: IntArray, n_grades: int) -> bool:
    """Return whether the likelihood, without a penalty, certainly has a finite maximum.

    Along a separating direction delta every cut point moves the way its pull points, by R |delta|
    at most (R the longest row of D), and a logit's curve is at most its pull, the coupling of
    two thresholds at most pull / (1 - exp(-gap)). So with gradient g and information I at *any*
    place ``delta' I delta <= R |delta| (1 + 2 / (1 - exp(-gap))) g' delta``, and there is none if
    the smallest eigenvalue of I is above ``R (1 + 2 / (1 - exp(-gap))) |g|``.
    """
    last = n_grades - 1
    if len(np.unique(y)) < n_grades or n_grades < 2:  # noqa: PLR2004 - nothing to tell apart
        return False
    columns = _unit_spread(X)
    pieces = Pieces(X=columns, y=y, weights=np.ones(len(y)), n_grades=n_grades)
    arrival = climb_one(
        start_without_columns(pieces, Link.LOGIT),
        pieces=pieces,
        options=FitOptions(penalty=Penalty.NONE, max_iterations=_STEPS, tolerance=1e-6),
        scale=np.ones(last + X.shape[1]),
    )
    gaps = np.diff(arrival.parameters[:last])
    coupled = 1.0 + 2.0 / -np.expm1(-np.min(gaps, initial=np.inf)) if len(gaps) else 1.0
    longest = np.sqrt(1.0 + np.max(np.sum(columns**2, axis=1), initial=0.0))
    told = float(np.linalg.eigvalsh(arrival.at.information)[0])
    return bool(told > _SAFE * coupled * longest * np.linalg.norm(arrival.at.gradient))


def _unit_spread(X: FloatArray) -> FloatArray:
    spread = np.std(X, axis=0)
    return np.asarray((X - X.mean(axis=0)) / np.where(spread > 0.0, spread, 1.0))


def _cut_point_moves(X: FloatArray, y: IntArray, n_grades: int) -> FloatArray:
    """Return D_u and -D_l of the finite cut points, one row each: all must be >= 0."""
    last = n_grades - 1
    columns = _unit_spread(X)
    thresholds = np.eye(last)
    has_upper, has_lower = y < last, y > 0
    upper = np.hstack([thresholds[y[has_upper]], -columns[has_upper]])
    lower = np.hstack([thresholds[y[has_lower] - 1], -columns[has_lower]])
    return np.unique(np.vstack([upper, -lower]), axis=0)


def _best_direction(moves: FloatArray, gain: FloatArray) -> FloatArray:
    """Solve the linear programme; zeros when there is nothing to gain."""
    answer = optimize.linprog(
        -gain,
        A_ub=-moves,
        b_ub=np.zeros(moves.shape[0]),
        bounds=(-1.0, 1.0),
        method="highs",
    )
    return np.asarray(answer.x) if answer.success else np.zeros(moves.shape[1])
