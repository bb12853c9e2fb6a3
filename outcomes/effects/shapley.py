"""Credit shared fairly: Shapley values of groups of columns.

Notation: k groups; a subset of them is a whole number whose bit j says whether group j is in it;
worth (..., 2^k) is what each subset explains, worth[0] usually 0.

The Shapley value of a group is what it adds, averaged over all orders in which the groups may
come. For an R^2 it is the decomposition of Lindeman, Merenda & Gold (LMG): the parts add up to
the whole exactly, and groups that move together share what they share.

References
----------
Shapley (1953), Contributions to the Theory of Games II, 307-317. Groemping (2006), Journal of
Statistical Software 17(1), doi:10.18637/jss.v017.i01. Strumbelj & Kononenko (2014), Knowledge
and Information Systems 41, 647-665 (sampled orders).
"""

from collections.abc import Callable, Sequence
from math import factorial
from typing import Final

import numpy as np

from outcomes.design.design import FloatArray, IntArray
from outcomes.errors import RequestError

MOST_EXACT: Final = 12  # 2^12 subsets; above, orders are sampled
# A column nothing can be told about (constant, or repeating others) takes no credit: this much
# of each variance on the diagonal decides it without touching the twelfth digit of the rest.
_RIDGE: Final = 1e-12


def shapley_values(worth: FloatArray) -> FloatArray:
    """Return each group's Shapley value from the worth of every subset.

    Parameters
    ----------
    worth : array, shape (..., 2^k)

    Returns
    -------
    array, shape (..., k)
        Sums to ``worth[..., -1] - worth[..., 0]``.

    Examples
    --------
    >>> shapley_values(np.array([0.0, 1.0, 3.0, 6.0])).tolist()
    [2.0, 4.0]
    """
    n_subsets = worth.shape[-1]
    k = n_subsets.bit_length() - 1
    if n_subsets != 1 << k:
        raise RequestError(f"{n_subsets} subsets are not all the subsets of some groups")
    subsets = np.arange(n_subsets)
    size = np.array([int(subset).bit_count() for subset in subsets])
    chance = np.array([factorial(s) * factorial(k - s - 1) / factorial(k) for s in range(k)])
    values = np.empty((*worth.shape[:-1], k))
    for j in range(k):
        without = subsets[(subsets >> j) & 1 == 0]
        gain = worth[..., without | (1 << j)] - worth[..., without]
        values[..., j] = gain @ chance[size[without]]
    return values


def draw_orders(k: int, n_orders: int, *, rng: np.random.Generator) -> IntArray:
    """Return orders of k groups, shape (n_orders, k), each followed by its reverse.

    Notes
    -----
    An order and its reverse err in opposite directions: pairs halve the error at least
    (antithetic sampling; Mitchell et al. 2022, JMLR 23:43).
    """
    half = [rng.permutation(k) for _ in range((n_orders + 1) // 2)]
    both = [order for one in half for order in (one, one[::-1])]
    return np.array(both[:n_orders], dtype=np.int64)


def subsets_of_orders(orders: IntArray) -> IntArray:
    """Return the distinct subsets that the orders pass through, ascending, as bits."""
    passed = np.cumsum(1 << orders, axis=1)
    return np.unique(np.append(passed, 0))


def sampled_shapley(worth: FloatArray, subsets: IntArray, orders: IntArray) -> FloatArray:
    """Return Shapley values averaged over some orders.

    Parameters
    ----------
    worth : array, shape (..., m)
        Of the ``subsets``.
    subsets : array, shape (m,)
        Ascending; from `subsets_of_orders`.
    orders : array, shape (n_orders, k)
    """
    passed = np.concatenate(
        [np.zeros((len(orders), 1), dtype=np.int64), np.cumsum(1 << orders, axis=1)], axis=1
    )
    gains = np.diff(worth[..., np.searchsorted(subsets, passed)], axis=-1)
    values = np.zeros((*worth.shape[:-1], orders.shape[1]))
    for j in range(orders.shape[1]):
        values[..., j] = gains[..., orders == j].mean(axis=-1)
    return values


def share_worth(
    worth: Callable[[IntArray], FloatArray],
    k: int,
    *,
    n_orders: int,
    rng: np.random.Generator,
) -> FloatArray:
    """Return Shapley values of k groups: exact up to 12, from sampled orders above.

    Parameters
    ----------
    worth
        Gives the worth of subsets, (m,) -> (..., m).
    n_orders, rng
        For more than 12 groups.
    """
    if k <= MOST_EXACT:
        return shapley_values(worth(np.arange(1 << k)))
    orders = draw_orders(k, n_orders, rng=rng)
    subsets = subsets_of_orders(orders)
    return sampled_shapley(worth(subsets), subsets, orders)


def columns_of(subset: int, groups: Sequence[Sequence[int]]) -> list[int]:
    """Return the columns of the groups in a subset.

    >>> columns_of(0b101, [[0, 1], [2], [3]])
    [0, 1, 3]
    """
    return [c for j, group in enumerate(groups) if (subset >> j) & 1 for c in group]


def projected_variance(
    covariance: FloatArray,
    slopes: FloatArray,
    groups: Sequence[Sequence[int]],
    *,
    subsets: IntArray,
    noise: FloatArray | None = None,
) -> FloatArray:
    """Return how much of the variance of eta = x'slopes the columns of each subset can tell.

    Parameters
    ----------
    covariance : array, shape (B, p, p)
        Of the columns.
    slopes : array, shape (B, p)
    groups
        Columns of each group.
    subsets : array, shape (m,)
    noise : array, shape (B, p, p), optional
        Covariance of the slopes: its expected contribution is taken off.

    Returns
    -------
    array, shape (B, m)

    Notes
    -----
    With S the covariance, s a subset and c = S slopes: ``c_s' S_ss^-1 c_s``, the variance of the
    linear regression of eta on the subset's columns; its noise is
    ``trace(S_ss^-1 (S V S)_ss)``. Over all columns these are slopes'S slopes and trace(S V).
    """
    n_columns = slopes.shape[1]
    variances = np.einsum("bjj->bj", covariance)
    lift = np.where(variances > 0.0, _RIDGE * variances, 1.0)
    steady = covariance + lift[:, :, None] * np.eye(n_columns)
    direction = np.einsum("bij,bj->bi", covariance, slopes)
    if noise is None:
        whole = np.einsum("bi,bi->b", slopes, direction)
        return _told_along_chains(steady, direction, whole, groups, subsets=subsets)
    spread = covariance @ noise @ covariance
    worth = np.zeros((len(slopes), len(subsets)))
    for position, subset in enumerate(subsets):
        inside = np.array(columns_of(int(subset), groups), dtype=np.int64)
        if not len(inside):
            continue
        around = spread[:, inside[:, None], inside]
        right = np.concatenate([direction[:, inside, None], around], axis=2)
        solved = np.linalg.solve(steady[:, inside[:, None], inside], right)
        worth[:, position] = np.einsum("bi,bi->b", direction[:, inside], solved[..., 0])
        worth[:, position] -= np.einsum("bii->b", solved[..., 1:])
    return worth


def _told_along_chains(
    steady: FloatArray,
    direction: FloatArray,
    whole: FloatArray,
    groups: Sequence[Sequence[int]],
    *,
    subsets: IntArray,
) -> FloatArray:
    """Return ``c_s' S_ss^-1 c_s`` of every subset, shape (B, m).

    Notes
    -----
    With the columns in the order of a chain and L L' = S, the first columns tell the sum of the
    first squares of ``L^-1 c``: one triangle answers for a whole chain of subsets. That vector is
    the last row of the triangle of S with c as one column more, whose own variance only has to
    exceed ``whole`` (B,), what all columns tell.
    """
    worth = np.zeros((len(direction), len(subsets)))
    for chain in _chains(subsets):
        order, ends = _columns_along([int(subsets[at]) for at in chain], groups)
        size = len(order)
        bordered = np.empty((len(direction), size + 1, size + 1))
        bordered[:, :size, :size] = steady[:, order[:, None], order]
        bordered[:, :size, size] = bordered[:, size, :size] = direction[:, order]
        bordered[:, size, size] = 1.0 + 2.0 * whole
        told = np.cumsum(np.linalg.cholesky(bordered)[:, size, :size] ** 2, axis=1)
        worth[:, chain] = np.concatenate([np.zeros((len(told), 1)), told], axis=1)[:, ends]
    return worth


def _chains(subsets: IntArray) -> list[list[int]]:
    """Split subsets into chains, given by positions; each subset lies in the next.

    >>> _chains(np.array([0b00, 0b01, 0b10, 0b11]))
    [[0, 2, 3], [1]]
    """
    left = {int(subset): at for at, subset in enumerate(subsets)}
    chains: list[list[int]] = []
    while left:
        subset = max(left, key=int.bit_count)
        chain = [left.pop(subset)]
        while inner := [s for s in _with_one_less(subset) if s in left]:
            subset = inner[0]
            chain.append(left.pop(subset))
        chains.append(chain[::-1])
    return chains


def _with_one_less(subset: int) -> list[int]:
    return [subset ^ (1 << j) for j in range(subset.bit_length()) if (subset >> j) & 1]


def _columns_along(
    chain: Sequence[int], groups: Sequence[Sequence[int]]
) -> tuple[IntArray, list[int]]:
    """Return the columns in the order in which a chain takes them in, and how many each holds."""
    order: list[int] = []
    ends: list[int] = []
    before = 0
    for subset in chain:
        order += columns_of(subset & ~before, groups)
        ends.append(len(order))
        before = subset
    return np.array(order, dtype=np.int64), ends


def decompose_r_squared(
    X: FloatArray, y: FloatArray, groups: Sequence[Sequence[int]]
) -> FloatArray:
    """Return the LMG decomposition of a linear regression's R^2, one part a group.

    Parameters
    ----------
    X, y : array, shape (n, p) and (n,)
    groups
        Columns of each group, at most 12 groups.
    """
    centred = X - X.mean(axis=0)
    from_mean = y - y.mean()
    slopes = np.linalg.lstsq(centred, from_mean, rcond=None)[0]
    variance = projected_variance(
        (centred.T @ centred)[None] / len(y),
        slopes[None],
        groups,
        subsets=np.arange(1 << len(groups)),
    )
    return shapley_values(variance[0] / np.mean(from_mean**2))
