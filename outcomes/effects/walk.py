"""Averages of predicted chances with some columns set to many values, one after the other.

As in `averages`, for a curve or a panel: m places, n pieces, and at every place the named
columns of all pieces are the same. So a piece's linear predictor is one number of its own plus
one of the place, and sums over blocks of pieces that stay in the cache serve all places.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.model.fit import Link
from outcomes.model.links import density, survival

_MOST_CELLS = 2**15  # places times pieces held at once, see `averages`


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Walk:
    """Some pieces, and where they are taken.

    Parameters
    ----------
    X : array, shape (n, p)
        Columns of the pieces averaged over.
    slots : length c
        The columns that are set.
    places : array, shape (m, c)
        To what.
    """

    X: FloatArray
    slots: Sequence[int]
    places: FloatArray


def walk_chances(walk: Walk, parameters: FloatArray, *, n_grades: int, link: Link) -> FloatArray:
    """Return the average P(grade >= k) for k = 1..K-1 at every place, shape (m, K-1).

    Parameters
    ----------
    walk
        Pieces and places.
    parameters : array, shape (q,)
        Thresholds, then slopes.
    n_grades
        K.
    link
        Of the model.
    """
    cuts = n_grades - 1
    sums = np.zeros((len(walk.places), cuts))
    for _, lean in _blocks(walk, parameters[cuts:]):
        for k in range(cuts):
            sums[:, k] += survival(parameters[k] - lean, link).sum(axis=1)
    return sums / len(walk.X)


def walk_gradients(
    walk: Walk, parameters: FloatArray, *, n_grades: int, grade: int, link: Link
) -> FloatArray:
    """Return the derivative of the average P(>= grade) at every place, shape (m, q).

    Parameters are those of `walk_chances`.
    """
    cuts = n_grades - 1
    gradients = np.zeros((len(walk.places), len(parameters)))
    for rows, lean in _blocks(walk, parameters[cuts:]):
        steepness = density(parameters[grade - 1] - lean, link)
        gradients[:, grade - 1] -= steepness.sum(axis=1)
        gradients[:, cuts:] += steepness @ rows
    gradients /= len(walk.X)
    moved = [cuts + slot for slot in walk.slots]
    gradients[:, moved] = -gradients[:, grade - 1, None] * walk.places
    return gradients


def _blocks(walk: Walk, slopes: FloatArray) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Yield some pieces' columns and their linear predictors at every place, (m, n')."""
    others, slots = slopes.copy(), list(walk.slots)
    others[slots] = 0.0
    shift = (walk.places @ slopes[slots])[:, None]
    size = max(1, _MOST_CELLS // max(1, len(walk.places)))
    for first in range(0, len(walk.X), size):
        rows = walk.X[first : first + size]
        yield rows, rows @ others + shift
