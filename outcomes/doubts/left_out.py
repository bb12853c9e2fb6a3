"""What the rest of a log foretells of a firing that is left out.

Up to 40 firings each is left out in turn, and the fits are those of the jackknife; in a larger
log the firings are dealt into ten heaps, twenty times over (method_in_depth.md §13).

Two cases a left-out firing may bring. A level no other firing has (a new glaze): its columns
are given the average of the other pieces. A grade no other firing has: it gets the chance
0.5 / (N + 1) of N training pieces, the rest is shared as before.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.design.shapes import pooled_names
from outcomes.doubts.scores import reach_of
from outcomes.log.codebook import Shape
from outcomes.model.batched import fit_many
from outcomes.model.fit import CumulativeFit
from outcomes.model.links import survival

MOST_ONE_BY_ONE = 40
HEAPS, DEALS = 10, 20
_HALF_A_PIECE = 0.5  # added to each grade of a glaze's own shares, at the shares of all


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeftOut:
    """Forecasts of every piece from fits that never saw its firing; R deals (1 one by one).

    Parameters
    ----------
    fits : array, shape (R, n)
        Which training set foretold each piece.
    reach : array, shape (R, n, K-1)
        Forecast P(grade >= k) of the model.
    lean : array, shape (R, n)
        The model's linear predictor.
    usual, usual_of_glaze : array, shape (R, n, K-1)
        The same from the training firings' shares of grades, of all pieces and of the
        piece's glaze.
    strangers
        Pieces with a level that no other firing has.
    """

    fits: IntArray
    reach: FloatArray
    lean: FloatArray
    usual: FloatArray
    usual_of_glaze: FloatArray
    strangers: int


def deal_firings(n_firings: int, rng: np.random.Generator) -> IntArray:
    """Return the heap of every firing in each deal, shape (R, G).

    >>> deal_firings(3, np.random.default_rng(1)).tolist()
    [[0, 1, 2]]
    """
    if n_firings <= MOST_ONE_BY_ONE:
        return np.arange(n_firings)[None, :]
    return deal_heaps(n_firings, heaps=HEAPS, deals=DEALS, rng=rng)


def deal_heaps(n_firings: int, *, heaps: int, deals: int, rng: np.random.Generator) -> IntArray:
    """Return a random heap 0..heaps-1 for every firing in each deal, sizes as equal as can be."""
    plain = np.arange(n_firings) % min(heaps, n_firings)
    return np.stack([rng.permutation(plain) for _ in range(deals)])


def heap_weights(deal: IntArray) -> FloatArray:
    """Return the firing weights of every training set: all firings but one heap.

    >>> heap_weights(np.array([[0, 1, 0]])).tolist()
    [[0.0, 1.0, 0.0], [1.0, 0.0, 1.0]]
    """
    heaps = np.arange(int(deal.max()) + 1)
    kept = deal[:, None, :] != heaps[:, None]
    return np.asarray(kept.reshape(-1, deal.shape[1]), dtype=np.float64)


def fit_without(design: Design, fit: CumulativeFit, deal: IntArray) -> FloatArray:
    """Return the parameters of every training set, shape (R x heaps, q)."""
    return fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=heap_weights(deal),
        start=fit,
    ).values


def predict_left_out(
    design: Design, fit: CumulativeFit, *, deal: IntArray, without: FloatArray, glaze: str = ""
) -> LeftOut:
    """Return the forecasts of every piece from fits that never saw its firing.

    Parameters
    ----------
    design, fit
        The outcome's table and its full fit (for the link).
    deal : array, shape (R, G)
        Heap of every firing, see `deal_firings`.
    without : array, shape (R x heaps, q)
        Parameters of every training set, see `fit_without`; one by one these are the
        jackknife's.
    glaze
        Name of the glaze factor; "" for none.
    """
    weights = heap_weights(deal)
    n_heaps, cuts = int(deal.max()) + 1, len(design.grades) - 1
    fits = deal[:, design.firing] + n_heaps * np.arange(len(deal))[:, None]
    X, strange = _with_averages(design, weights, fits)
    lean = np.einsum("rnp,rnp->rn", X, without[fits][..., cuts:])
    reach = survival(without[fits][..., :cuts] - lean[..., None], fit.options.link)
    counts = _count_grades(design, weights)
    usual = reach_of(_admit(_shares(counts), counts))
    return LeftOut(
        fits=fits,
        reach=reach_of(_admit(_chances(reach), counts[fits])),
        lean=lean,
        usual=usual[fits],
        usual_of_glaze=_usual_of_glaze(design, weights, fits, glaze=glaze),
        strangers=int(strange.any(axis=0).sum()),
    )


def _with_averages(
    design: Design, weights: FloatArray, fits: IntArray
) -> tuple[FloatArray, np.ndarray]:
    """Return the columns (R, n, p), levels new to a training set at its average; and where."""
    X = np.broadcast_to(design.X, (*fits.shape, design.X.shape[1])).copy()
    size = weights @ np.bincount(design.firing).astype(np.float64)
    means = weights @ _sum_by_firing(design.X, design.firing) / size[:, None]
    strange = np.zeros(fits.shape, dtype=bool)
    for term in design.spec.terms:
        if term.shape is Shape.LEVELS:
            names = pooled_names(design.frame[term.factor], term).astype(str).to_numpy()
            levels, code = np.unique(names, return_inverse=True)
            known = weights @ _sum_by_firing(np.eye(len(levels))[code], design.firing)
            new = known[fits, code] == 0.0
            slots = np.array(term.slots)
            X[..., slots] = np.where(new[..., None], means[fits][..., slots], X[..., slots])
            strange |= new
    return X, strange


def _sum_by_firing(values: FloatArray, firing: IntArray) -> FloatArray:
    sums = np.zeros((int(firing.max()) + 1, values.shape[1]))
    np.add.at(sums, firing, values)
    return sums


def _count_grades(design: Design, weights: FloatArray) -> FloatArray:
    """Return the pieces of each grade in every training set, shape (F, K)."""
    return weights @ _sum_by_firing(np.eye(len(design.grades))[design.y], design.firing)


def _shares(counts: FloatArray) -> FloatArray:
    return np.asarray(counts / counts.sum(axis=-1, keepdims=True))


def _usual_of_glaze(
    design: Design, weights: FloatArray, fits: IntArray, *, glaze: str
) -> FloatArray:
    """Return the reach foretold by the piece's glaze alone.

    Notes
    -----
    A glaze's own shares are joined by half a piece a grade at the shares of all: those of
    three pieces would otherwise be so poor a forecast that any model beat it.
    """
    every = _count_grades(design, weights)
    n_grades = every.shape[1]
    if glaze not in design.frame:
        return reach_of(_admit(_shares(every), every))[fits]
    names = design.frame[glaze].astype(str).fillna("").to_numpy(dtype=str)  # "": not written
    levels, code = np.unique(names, return_inverse=True)
    cell = np.eye(len(levels) * n_grades)[code * n_grades + design.y]
    counts = (weights @ _sum_by_firing(cell, design.firing)).reshape(-1, len(levels), n_grades)
    counts = counts + _HALF_A_PIECE * n_grades * _shares(every)[:, None, :]
    chances = _admit(_shares(counts), np.broadcast_to(every[:, None, :], counts.shape))
    return reach_of(chances)[fits, code]


def _chances(reach: FloatArray) -> FloatArray:
    ends = np.ones((*reach.shape[:-1], 1))
    return np.asarray(-np.diff(np.concatenate([ends, reach, 0.0 * ends], axis=-1), axis=-1))


def _admit(chances: FloatArray, counts: FloatArray) -> FloatArray:
    """Return chances in which grades unseen in training have 0.5 / (N + 1) each."""
    unseen = counts <= 0.0
    if not unseen.any():
        return chances
    small = 0.5 / (counts.sum(axis=-1, keepdims=True) + 1.0)
    kept = np.where(unseen, 0.0, chances)
    rest = 1.0 - small * unseen.sum(axis=-1, keepdims=True)
    return np.asarray(np.where(unseen, small, kept * rest / kept.sum(axis=-1, keepdims=True)))
