"""A flexible second opinion: boosted trees foretelling left-out firings.

Trees bend along every setting and combine them freely, so where they foretell firings clearly
better than the model does, a shape or a combination is missing from it. Both are asked about
the same left-out heaps of firings, so neither has seen more than the other.

One small ensemble answers for all grades: every piece stands once per boundary k with the
boundary as a column and "grade k or above" as the answer, the boundary column being allowed to
lower the chance only (a cumulative data expansion; Frank & Hall 2001,
doi:10.1007/3-540-44795-4_13, fit one classifier a boundary instead).
"""

from dataclasses import dataclass

import numpy as np
from threadpoolctl import threadpool_limits

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.doubts.left_out import deal_heaps, fit_without, predict_left_out
from outcomes.doubts.scores import average_by_firing, rank_scores
from outcomes.doubts.skill import SkillValue, compare_scores
from outcomes.effects.evidence import Evidence

HEAPS, DEALS = 10, 1
TREES, LEAVES, RATE = 60, 6, 0.1
LEAST_PIECES = 10  # in a leaf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SecondOpinion:
    """Left-out scores of the model and of boosted trees.

    Parameters
    ----------
    outcome
        Canonical name.
    model, trees : array, shape (G,)
        Average ranked probability score of each firing, left out; lower is better.
    gain
        Share of the model's score that the trees save, with its interval.
    beyond_usual
        Skill of the trees against the same shares of grades as ever.
    """

    outcome: str
    model: FloatArray
    trees: FloatArray
    gain: SkillValue
    beyond_usual: SkillValue


def ask_second_opinion(
    evidence: Evidence, *, rng: np.random.Generator, confidence: float = 0.95
) -> SecondOpinion:
    """Return how well boosted trees foretell left-out firings, beside the model.

    Parameters
    ----------
    evidence
        The outcome's.
    rng
        Deals the firings into heaps and seeds the trees.
    confidence
        Of the interval.
    """
    design = evidence.design
    deal = deal_heaps(evidence.n_firings, heaps=HEAPS, deals=DEALS, rng=rng)
    left_out = predict_left_out(
        design, evidence.fit, deal=deal, without=fit_without(design, evidence.fit, deal)
    )
    seed = int(rng.integers(2**31))
    trees = np.stack([_grow_left_out(design, heap, seed=seed) for heap in deal])
    model, other, usual = (
        average_by_firing(rank_scores(reach, design.y).mean(axis=0), design.firing)
        for reach in (left_out.reach, trees, left_out.usual)
    )
    return SecondOpinion(
        outcome=design.spec.outcome,
        model=model,
        trees=other,
        gain=compare_scores(other, model, confidence=confidence),
        beyond_usual=compare_scores(other, usual, confidence=confidence),
    )


def _grow_left_out(design: Design, heap: IntArray, *, seed: int) -> FloatArray:
    """Return the trees' forecast of every piece from the other heaps, shape (n, K-1)."""
    import sklearn.ensemble  # noqa: F401 - half a second to import

    cuts = len(design.grades) - 1
    of_piece = heap[design.firing]
    reach = np.empty((len(design.y), cuts))
    # The trees' threads spin while they wait for each other; on tables this small one thread
    # is faster, and the limit has to be set here, after the library that starts them is loaded.
    with threadpool_limits(limits=1):
        for left in range(int(heap.max()) + 1):
            out = of_piece == left
            reach[out] = _grow(design.X[~out], design.y[~out], design.X[out], cuts=cuts, seed=seed)
    return reach


def _grow(X: FloatArray, y: IntArray, X_new: FloatArray, *, cuts: int, seed: int) -> FloatArray:
    """Return P(grade >= k) of new pieces from trees grown on others, shape (m, K-1)."""
    from sklearn.ensemble import HistGradientBoostingClassifier

    answer = (y[:, None] >= np.arange(1, cuts + 1)).astype(np.int64).ravel()
    if answer.min() == answer.max():
        return np.full((len(X_new), cuts), float(answer[0]))
    trees = HistGradientBoostingClassifier(
        learning_rate=RATE,
        max_iter=TREES,
        max_leaf_nodes=LEAVES,
        min_samples_leaf=LEAST_PIECES * cuts,
        l2_regularization=1.0,
        early_stopping=False,
        monotonic_cst=[0] * X.shape[1] + [-1],
        random_state=seed,
    )
    trees.fit(_expand(X, cuts), answer)
    chance = trees.predict_proba(_expand(X_new, cuts))[:, 1]
    return np.asarray(chance.reshape(len(X_new), cuts))


def _expand(X: FloatArray, cuts: int) -> FloatArray:
    """Return every piece once per boundary, the boundary as last column."""
    boundary = np.tile(np.arange(1.0, cuts + 1.0), len(X))
    return np.column_stack([np.repeat(X, cuts, axis=0), boundary])
