"""Which combinations of settings lie near something that was fired.

The rule of reach in `support`, made stricter for one combination of all settings on one glaze:
it is far when its nearest logged piece of that glaze is farther than a typical logged piece (the
median) is from its nearest piece of the same glaze and another firing. A contrast averages over
its pieces, so a share of them may lie beyond 95 % of such distances; here the one combination is
all there is, and among a dozen settings one that has every number at the end of its range would
still pass. Measured on the demo, from the usual settings with some moved to an end: such a
combination is lonelier than this part of the logged pieces (median; 9 in 10 below): one moved
12 % (34 %), two 22 % (58 %), three 50 % (76 %), all 91 % (98 %).

Distances are Euclidean; a number counts in standard deviations of its own scale (a saturating
one of its logarithm), a level as 0 or 1 in standard deviations of how often it occurs.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import FloatArray, IntArray, Term
from outcomes.design.shapes import build_term_columns, straighten
from outcomes.log.codebook import Shape

MOST_PIECES = 400  # evenly spaced in a larger log: they travel in the page
NEAR_SHARE = 0.50


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """The logged combinations.

    Parameters
    ----------
    terms
        The settings, without the glaze.
    scales
        Standard deviation of every column, term by term.
    points : array, shape (n, d)
        Columns of the logged pieces, each in its standard deviation.
    glaze : object array, shape (n,)
        Glaze of each; "" in a log without glazes.
    limit
        Squared distance beyond which a combination is far; infinite when no glaze was fired
        twice.
    """

    terms: tuple[Term, ...]
    scales: tuple[FloatArray, ...]
    points: FloatArray
    glaze: NDArray[np.object_]
    limit: float


def build_ground(
    values: pd.DataFrame, terms: Sequence[Term], *, glaze: Sequence[str], firing: Sequence[int]
) -> Ground:
    """Return the logged combinations of some settings.

    Parameters
    ----------
    values : DataFrame, shape (n, ...)
        Without blanks in the settings.
    terms
        The settings, without the glaze.
    glaze, firing : length n
    """
    plain = tuple(straighten(t) if t.shape is Shape.WINDOW else t for t in terms)
    kept = np.unique(np.linspace(0, len(values) - 1, min(MOST_PIECES, len(values))).astype(int))
    columns = [build_term_columns(values[t.factor].iloc[kept], t) for t in plain]
    scales = tuple(_spread(part) for part in columns)
    points = np.column_stack([part / scale for part, scale in zip(columns, scales, strict=True)])
    names, firings = np.asarray(glaze, dtype=object)[kept], np.asarray(firing)[kept]
    return Ground(
        terms=plain,
        scales=scales,
        points=points,
        glaze=names,
        limit=_find_limit(points, names, firings),
    )


def place_value(ground: Ground, slot: int, value: float | str) -> FloatArray:
    """Return the coordinates of one value of the term at that position."""
    term = ground.terms[slot]
    return np.asarray(build_term_columns(pd.Series([value]), term)[0] / ground.scales[slot])


def is_far(ground: Ground, glaze: str, place: FloatArray) -> bool:
    """Return whether no logged piece of a glaze lies near a place (d,)."""
    own = ground.points[ground.glaze == glaze]
    if not len(own):
        return True
    return bool(np.min(np.sum((own - place) ** 2, axis=1)) > ground.limit * (1 + 1e-9))


def _find_limit(points: FloatArray, glaze: NDArray[np.object_], firing: IntArray) -> float:
    apart = (glaze[:, None] != glaze[None, :]) | (firing[:, None] == firing[None, :])
    squared = np.sum((points[:, None, :] - points[None, :, :]) ** 2, axis=2)
    nearest = np.where(apart, np.inf, squared).min(axis=1)
    finite = nearest[np.isfinite(nearest)]
    return float(np.quantile(finite, NEAR_SHARE)) if finite.size else float("inf")


def _spread(columns: FloatArray) -> FloatArray:
    scale = columns.std(axis=0)
    return np.where(scale > 0, scale, 1.0)
