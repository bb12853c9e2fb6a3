"""What the log supports: which pieces an average is taken over, and how far it reaches.

Two rules.

*Support*, piece by piece. Both values of a numeric contrast must lie within the 5-95 % range
of the values logged with the piece's own glaze; of a contrast of levels, both must occur with
that glaze in at least two firings. Other pieces leave the average (they stay in the fit).

*Reach*, for the whole contrast (method.md §3). A counterfactual piece is a logged one with
one setting moved. It is far when its nearest logged piece *of another firing* is farther
than 95 % of the logged pieces are from theirs. Distances are Euclidean over the columns of
settings and groupings in units of their standard deviation; conditions would only add noise
to them. Other firings only: pieces of one firing share half their settings, so any change of
a firing-level setting would look far beside distances within a firing.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import Design, FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.design.shapes import build_array_columns, pooled_names
from outcomes.effects.effect import Contrast
from outcomes.log.codebook import Codebook, Role, Shape

FAR_SHARE = 0.40
LEAST_SUPPORTED = 0.50
LEVEL_FIRINGS = 2
_MOST_LOOKED_AT, _MOST_REACHED = 1000, 5000  # evenly spaced in a larger log: 40 MB
_MOST_DISTANCES = 2**16  # at once: they stay in the cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reach:
    """Distances between the pieces of a design, ready for any contrast.

    Parameters
    ----------
    columns : array, shape (n', q)
        Scaled columns of settings and groupings of the pieces reached for: all of them, or
        5000 evenly spaced ones in a larger log.
    slots : array, shape (q,)
        Their positions in X.
    scale : array, shape (q,)
        Standard deviations they were divided by.
    looked_at : array, shape (m,)
        Rows whose counterfactuals are looked at, 1000 at most.
    squared : array, shape (m, n')
        Squared distances; infinite within a firing.
    limit
        Squared distance beyond which a counterfactual is far; infinite with one firing.
    """

    columns: FloatArray
    slots: NDArray[np.int64]
    scale: FloatArray
    looked_at: NDArray[np.int64]
    squared: FloatArray
    limit: float


def build_reach(design: Design) -> Reach:
    """Return the distances between the logged pieces of a design."""
    slots = np.array(
        [s for t in design.spec.terms if t.role is not Role.CONDITION for s in t.slots],
        dtype=np.int64,
    )
    scale = design.X[:, slots].std(axis=0)
    scale = np.where(scale > 0, scale, 1.0)
    reached = spread_evenly(len(design.y), _MOST_REACHED)
    looked_at = spread_evenly(len(design.y), _MOST_LOOKED_AT)
    columns = design.X[np.ix_(reached, slots)] / scale
    own = design.X[np.ix_(looked_at, slots)] / scale
    squared = _squared_distances(own, columns)
    squared[design.firing[looked_at][:, None] == design.firing[reached][None, :]] = np.inf
    nearest = squared.min(axis=1)
    finite = nearest[np.isfinite(nearest)]
    return Reach(
        columns=columns,
        slots=slots,
        scale=scale,
        looked_at=looked_at,
        squared=squared,
        limit=float(np.quantile(finite, 0.95)) if finite.size else np.inf,
    )


def far_share(
    design: Design, contrast: Contrast, reach: Reach, *, supported: NDArray[np.bool_]
) -> float:
    """Return the share of counterfactual pieces that lie far from any logged piece.

    Parameters
    ----------
    supported : bool array, shape (n,)
        Only the counterfactuals of these pieces count.
    """
    term = find_term(design.spec, contrast.factor)
    mine = np.isin(reach.slots, term.slots)
    here = supported[reach.looked_at]
    if not mine.any() or not here.any() or not np.isfinite(reach.limit):
        return 0.0
    own = design.X[np.ix_(reach.looked_at[here], reach.slots[mine])] / reach.scale[mine]
    others = reach.columns[:, mine]
    moved = [
        value_columns(term, value) / reach.scale[mine]
        for value in (contrast.from_value, contrast.to_value)
    ]
    added = [((others - one) ** 2).sum(axis=1)[None, :] for one in moved]
    rows = np.flatnonzero(here)
    nearest = np.empty((len(added), len(rows)))
    size = max(1, _MOST_DISTANCES // len(others))
    for at in (slice(first, first + size) for first in range(0, len(rows), size)):
        rest = reach.squared[rows[at]] - _squared_distances(own[at], others)
        for k, more in enumerate(added):
            nearest[k, at] = (rest + more).min(axis=1)
    return float(np.mean(np.mean(nearest > reach.limit * (1 + 1e-9), axis=1)))


def find_supported(design: Design, contrast: Contrast, codebook: Codebook) -> NDArray[np.bool_]:
    """Return which pieces a contrast is averaged over, shape (n,)."""
    n = len(design.frame)
    glaze = codebook.glaze
    if contrast.factor == glaze or glaze not in design.frame:
        return np.ones(n, dtype=bool)
    term = find_term(design.spec, contrast.factor)
    values = _values(design, term).to_numpy()
    supported = np.zeros(n, dtype=bool)
    names_of = pd.factorize(design.frame[glaze])[0]
    for k in np.unique(names_of):
        rows = np.flatnonzero(names_of == k)
        if term.shape is Shape.LEVELS:
            names = values[rows]
            ok = all(
                len(set(design.firing[rows[names == level]].tolist())) >= LEVEL_FIRINGS
                for level in (contrast.from_value, contrast.to_value)
            )
        else:
            low, high = np.quantile(values[rows].astype(float), [0.05, 0.95])
            ends = sorted([float(contrast.from_value), float(contrast.to_value)])
            ok = bool(low <= ends[0] and ends[1] <= high)
        supported[rows] = ok
    return supported


def count_arm_firings(design: Design, contrast: Contrast) -> tuple[int, int]:
    """Return in how many firings pieces lie near each value.

    Levels: exactly that level. Numbers: nearer than half of the contrast's own length.
    """
    values = _values(design, find_term(design.spec, contrast.factor))
    counts = []
    for value in (contrast.from_value, contrast.to_value):
        if isinstance(value, str):
            near = (values == value).to_numpy()
        else:
            half = abs(float(contrast.to_value) - float(contrast.from_value)) / 2.0
            near = np.abs(values.to_numpy(float) - value) < half
        counts.append(len(set(design.firing[near].tolist())))
    return counts[0], counts[1]


def value_columns(term: Term, value: float | str) -> FloatArray:
    """Return a factor's columns at one value, shape (number of columns,)."""
    kind = object if isinstance(value, str) else np.float64
    return np.asarray(build_array_columns(np.array([value], dtype=kind), term)[0])


def _values(design: Design, term: Term) -> pd.Series:
    """Return a factor's values, rare levels under the name they are counted under."""
    values = design.frame[term.factor]
    return pooled_names(values, term) if term.shape is Shape.LEVELS else values


def spread_evenly(n: int, most: int) -> NDArray[np.int64]:
    """Return at most so many row positions, evenly spaced over n."""
    return np.unique(np.linspace(0, n - 1, min(n, most)).astype(np.int64))


def _squared_distances(a: FloatArray, b: FloatArray) -> FloatArray:
    """Return squared Euclidean distances, shape (len(a), len(b)); never below 0."""
    squared = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1)[None, :] - 2.0 * a @ b.T
    return np.asarray(np.maximum(squared, 0.0))
