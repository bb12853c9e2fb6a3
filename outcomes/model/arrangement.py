"""One design arranged so that many weighted refits are a few matrix products.

Notation
--------
X (n, p), y (n,) as in `likelihood`; q = K-1+p; B replicates stand in the *last* axis.

log P(y = k) = log F(u) + log(1 - F(l)) + log(1 - exp(l - u)) for the logit: an inner piece is
two halves, one at each of its two thresholds, and what is left depends on the thresholds
alone. So each piece gives one half-row per finite cut point, with the derivative D = e_k - x of
that cut point; the cumulative logit is then a logistic regression on the m half-rows plus a
function of the K-2 gaps. The other links have the same half-rows with other derivatives.

Half-rows are sorted by threshold: [upper halves of grade 0, lower halves of grade 1 | upper
halves of grade 1, lower halves of grade 2 | ...], so that a threshold, a grade, and the two
halves of a grade's pieces are all slices.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.model.fit import FloatArray, IntArray
from outcomes.model.standardise import centre_spread


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arrangement:
    """A design in half-rows, columns centred and at unit spread.

    Parameters
    ----------
    n_grades
        K; every grade occurs.
    centre, spread : array, shape (p,)
        A column enters as (x - centre) / spread.
    half_design : array, shape (m, q)
        D of every half-row.
    half_piece : int array, shape (m,)
        Position of its piece in X.
    thresholds : tuple of slice, length K-1
        Half-rows of each threshold.
    upper, lower : tuple of slice, length K
        Half-rows at the upper / lower threshold of each grade's pieces (empty where infinite).
    grades : tuple of slice, length K
        Each grade's pieces among the pieces sorted by grade.
    pairs : array, shape (p (p+1)/2, n)
        Products of two columns, pieces sorted by grade.
    across : tuple of array, length K-1, each shape (1+p, half-rows of the threshold)
        D of the threshold's half-rows without the zeros: ones, then the columns.
    packing : int array, shape (q, q)
        Where each entry of the information stands in its packed form, (slope pairs; for each
        threshold its diagonal and its p crossings; K-2 neighbouring thresholds; a zero).
    n_entries
        Length of the packed form.
    """

    n_grades: int
    centre: FloatArray
    spread: FloatArray
    half_design: FloatArray
    half_piece: IntArray
    thresholds: tuple[slice, ...]
    upper: tuple[slice, ...]
    lower: tuple[slice, ...]
    grades: tuple[slice, ...]
    pairs: FloatArray
    across: tuple[FloatArray, ...]
    packing: IntArray
    n_entries: int

    def inward(self, parameters: FloatArray) -> FloatArray:
        """Return parameters (..., q) for the centred, unit-spread columns."""
        last = self.n_grades - 1
        slopes = parameters[..., last:]
        shift = (slopes @ self.centre)[..., None]
        return np.concatenate([parameters[..., :last] - shift, slopes * self.spread], axis=-1)

    def outward(self, parameters: FloatArray) -> FloatArray:
        """Return parameters (..., q) for the columns as given; undoes `inward`."""
        last = self.n_grades - 1
        slopes = parameters[..., last:] / self.spread
        shift = (slopes @ self.centre)[..., None]
        return np.concatenate([parameters[..., :last] + shift, slopes], axis=-1)


def build_arrangement(
    X: FloatArray, y: IntArray, n_grades: int, *, with_pairs: bool = True
) -> Arrangement:
    """Arrange a design whose grades all occur.

    Parameters
    ----------
    X : array, shape (n, p)
    y : array, shape (n,)
    n_grades
        K.
    with_pairs
        False leaves out ``pairs`` and ``across``, which take most of the memory and only
        `half_rows.packed_information` needs.
    """
    last, p = n_grades - 1, X.shape[1]
    centre, spread = centre_spread(X, np.ones(len(y)))
    by_grade = np.argsort(y, kind="stable")
    columns = (X[by_grade] - centre) / spread
    counts = np.bincount(y, minlength=n_grades)
    grades = _consecutive(counts)
    order = np.concatenate(
        [np.arange(len(y))[part] for k in range(last) for part in grades[k : k + 2]]
    )
    upper, lower = _halves(counts)
    thresholds = tuple(slice(upper[k].start, lower[k + 1].stop) for k in range(last))
    half_design = _half_design(columns[order], thresholds)
    first, second = np.triu_indices(p)
    return Arrangement(
        n_grades=n_grades,
        centre=centre,
        spread=spread,
        half_design=half_design,
        half_piece=by_grade[order],
        thresholds=thresholds,
        upper=upper,
        lower=lower,
        grades=grades,
        pairs=np.ascontiguousarray((columns[:, first] * columns[:, second]).T)
        if with_pairs
        else np.empty((0, 0)),
        across=tuple(
            np.ascontiguousarray(half_design[where][:, [k, *range(last, last + p)]].T)
            for k, where in enumerate(thresholds if with_pairs else ())
        ),
        packing=_packing(n_grades, p),
        n_entries=len(first) + last * (1 + p) + last,
    )


def _halves(counts: IntArray) -> tuple[tuple[slice, ...], tuple[slice, ...]]:
    """Return each grade's upper and lower half-rows: U_0, L_1, U_1, L_2, ..., L_{K-1}."""
    halves, none = _consecutive(np.repeat(counts, 2)[1:-1]), slice(0, 0)
    return (*halves[0::2], none), (none, *halves[1::2])


def _half_design(columns: FloatArray, thresholds: tuple[slice, ...]) -> FloatArray:
    """Return D of every half-row: 1 for its threshold, minus its columns."""
    design = np.hstack([np.zeros((len(columns), len(thresholds))), -columns])
    for k, where in enumerate(thresholds):
        design[where, k] = 1.0
    return design


def _consecutive(lengths: IntArray) -> tuple[slice, ...]:
    """Return slices of these lengths, one after the other."""
    ends = np.cumsum(lengths)
    return tuple(slice(int(e - n), int(e)) for e, n in zip(ends, lengths, strict=True))


def _packing(n_grades: int, p: int) -> IntArray:
    """Return where each entry of the information stands in its packed form."""
    last = n_grades - 1
    first, second = np.triu_indices(p)
    n_pairs, block = len(first), 1 + p
    neighbours = n_pairs + last * block
    packing = np.full((last + p, last + p), neighbours + last - 1, dtype=np.int64)
    packing[last + first, last + second] = np.arange(n_pairs)
    packing[last + second, last + first] = np.arange(n_pairs)
    for k in range(last):
        start = n_pairs + k * block
        packing[k, k] = start
        packing[k, last:] = packing[last:, k] = start + 1 + np.arange(p)
    for k in range(last - 1):
        packing[k, k + 1] = packing[k + 1, k] = neighbours + k
    return packing
