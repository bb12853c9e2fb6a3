"""The permutation test of a setting that was assigned within strata; knows no model.

Notation: n units (pieces, or whole firings), each with what it was assigned z_i, a value r_i
that was fixed before the lot fell (a residual, a rank), a stratum within which the lot could
have fallen otherwise, and a cluster that shares luck. With z and r centred within strata, a
cluster's score is ``s_g = sum over its units of z_i r_i``, and the statistic

    t = sum_g s_g / sqrt(sum_g s_g^2)

is studentised by the clusters: the test is exact when the assignment changes no piece at all
(Fisher's sharp null), and stays valid in large samples when it only changes nothing on average.

References
----------
Fisher (1935), The Design of Experiments, ch. II-III. Winkler et al. (2015), NeuroImage 123,
253-268 (exchangeability blocks), doi:10.1016/j.neuroimage.2015.05.092. Chung & Romano (2013),
Annals of Statistics 41, 484-507, doi:10.1214/13-AOS1090. Phipson & Smyth (2010), Statistical
Applications in Genetics and Molecular Biology 9, 39 ((b+1)/(m+1)).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from outcomes.model.fit import FloatArray, IntArray

EXACT_UP_TO = 20_000  # arrangements enumerated; more are drawn at random
DRAWN = 9_999  # a p value near 0.05 is then known to 0.0022
_BLOCK_CELLS = 4_000_000  # numbers held at once: 32 MB
_TIE = 1e-9  # statistics closer than this, relative, are the same arrangement's rounding
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """How units could have been assigned.

    Parameters
    ----------
    stratum : int array, shape (n,)
        Assignments are exchangeable within a stratum.
    cluster : int array, shape (n,)
        Units that share luck; each unit is its own where whole firings are assigned.
    """

    stratum: IntArray
    cluster: IntArray


Statistic = Callable[[FloatArray, FloatArray, Layout], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class Permutation:
    """What a permutation test found.

    Parameters
    ----------
    statistic
        Positive when higher assignments go with higher values.
    p_more, p_fewer, p_either
        One-sided in either direction, and two-sided (as extreme in absolute value).
    arrangements
        How many equally likely assignments there were, a whole number however large.
    drawn
        Random ones looked at; 0 when all were enumerated.
    """

    statistic: float
    p_more: float
    p_fewer: float
    p_either: float
    arrangements: int
    drawn: int

    @property
    def is_exact(self) -> bool:
        """Return whether every arrangement was looked at."""
        return self.drawn == 0

    def error(self, p: float) -> float:
        """Return the Monte-Carlo standard error of one of the p values; 0 when exact."""
        return 0.0 if self.is_exact else math.sqrt(p * (1.0 - p) / self.drawn)


def permutation_test(  # noqa: PLR0913 - the data, how to compare, and how long to look
    assigned: FloatArray,
    values: FloatArray,
    layout: Layout,
    *,
    rng: np.random.Generator,
    statistic: Statistic | None = None,
    exact_up_to: int = EXACT_UP_TO,
    drawn: int = DRAWN,
) -> Permutation:
    """Return the p values of an assignment within strata.

    Parameters
    ----------
    assigned : array, shape (n,)
        What each unit was assigned: 0 or 1, or scores.
    values : array, shape (n,)
        What is compared.
    layout
        Strata and clusters.
    rng
        Draws arrangements when there are too many to enumerate.
    statistic
        Default `clustered_t`.
    exact_up_to, drawn
        Most arrangements enumerated (of a 0/1 assignment), and how many are drawn otherwise.

    Notes
    -----
    Enumerated: the share of all arrangements at least as extreme, the one that happened among
    them. Drawn: ``(b + 1) / (m + 1)``, never 0.

    Examples
    --------
    >>> z, r = np.array([0.0, 0, 0, 1, 1, 1]), np.array([1.0, 2, 3, 4, 5, 6])
    >>> one = Layout(stratum=np.zeros(6, dtype=int), cluster=np.arange(6))
    >>> permutation_test(z, r, one, rng=np.random.default_rng(1)).p_either
    0.1
    """
    compute = statistic or clustered_t
    seen = float(compute(assigned[None, :], values, layout)[0])
    count = count_arrangements(assigned, layout.stratum)
    if is_two_armed(assigned) and count <= exact_up_to:
        others, extra = enumerate_arrangements(assigned > 0, layout.stratum), 0
    else:
        others, extra = draw_arrangements(assigned, layout.stratum, drawn, rng=rng), 1
    reference = _in_blocks(others, values, layout, compute)
    slack = _TIE * max(1.0, abs(seen))
    total = len(reference) + extra
    return Permutation(
        statistic=seen,
        p_more=(int(np.sum(reference >= seen - slack)) + extra) / total,
        p_fewer=(int(np.sum(reference <= seen + slack)) + extra) / total,
        p_either=(int(np.sum(np.abs(reference) >= abs(seen) - slack)) + extra) / total,
        arrangements=count,
        drawn=len(reference) if extra else 0,
    )


def clustered_t(assigned: FloatArray, values: FloatArray, layout: Layout) -> FloatArray:
    """Return the studentised statistic of each arrangement, shape (B,).

    Parameters
    ----------
    assigned : array, shape (B, n)
        Arrangements of one assignment: the number of each value in a stratum is the same in all.
    values : array, shape (n,)
    layout
        Strata and clusters.

    Notes
    -----
    0 where no cluster says anything.
    """
    centred = _centre(values, layout.stratum)
    products = (assigned - _stratum_means(assigned[0], layout.stratum)) * centred
    scores = products @ np.eye(int(layout.cluster.max()) + 1)[layout.cluster]
    size = np.sqrt(np.sum(scores**2, axis=1))
    return np.asarray(scores.sum(axis=1) / np.where(size > 0.0, size, 1.0))


def plain_sum(assigned: FloatArray, values: FloatArray, layout: Layout) -> FloatArray:
    """Return ``sum z_i r_i`` with r centred within strata, shape (B,): not studentised."""
    return np.asarray(assigned @ _centre(values, layout.stratum))


def is_two_armed(assigned: FloatArray) -> bool:
    """Return whether an assignment holds nothing but 0 and 1."""
    return bool(np.isin(assigned, (0.0, 1.0)).all())


def count_arrangements(assigned: FloatArray | BoolArray, stratum: IntArray) -> int:
    """Return the number of different assignments with the same numbers in every stratum.

    >>> count_arrangements(np.array([0.0, 1, 0, 1]), np.array([0, 0, 1, 1]))
    4
    """
    total = 1
    for number in np.unique(stratum):
        _, counts = np.unique(assigned[stratum == number], return_counts=True)
        total *= math.factorial(int(counts.sum()))
        total //= math.prod(math.factorial(int(count)) for count in counts)
    return total


def smallest_p(arms: FloatArray | BoolArray, stratum: IntArray, *, two_sided: bool) -> float:
    """Return the smallest p value a two-armed assignment can give, whatever is observed.

    Notes
    -----
    One arrangement is the most extreme. Where both arms have equally many units in every
    stratum its mirror image is just as extreme the other way, and a two-sided test counts both.

    Examples
    --------
    >>> pairs = np.array([0, 0, 1, 1, 2, 2, 3, 3])
    >>> smallest_p(np.array([0.0, 1] * 4), pairs, two_sided=True)
    0.125
    """
    count = count_arrangements(arms, stratum)
    mirrored = all(2 * int(arms[stratum == s].sum()) == int(np.sum(stratum == s)) for s in stratum)
    return 1.0 if count == 1 else (2.0 if two_sided and mirrored else 1.0) / count


def enumerate_arrangements(arms: BoolArray, stratum: IntArray) -> FloatArray:
    """Return every assignment of a two-armed layout as 0 and 1, shape (N, n), in fixed order.

    >>> enumerate_arrangements(np.array([True, False, True]), np.array([0, 0, 1])).tolist()
    [[1.0, 0.0, 1.0], [0.0, 1.0, 1.0]]
    """
    made = np.zeros((1, len(arms)))
    for number in np.unique(stratum):
        members = np.flatnonzero(stratum == number)
        chosen = list(combinations(members, int(arms[members].sum())))
        here = np.zeros((len(chosen), len(arms)))
        for row, units in enumerate(chosen):
            here[row, list(units)] = 1.0
        made = (made[:, None, :] + here[None, :, :]).reshape(-1, len(arms))
    return made


def draw_arrangements(
    assigned: FloatArray, stratum: IntArray, draws: int, *, rng: np.random.Generator
) -> FloatArray:
    """Return random assignments, each value shuffled within its stratum, shape (draws, n)."""
    places = np.argsort(stratum, kind="stable")
    keys = rng.random((draws, len(stratum))) + stratum
    shuffled = np.argsort(keys, axis=1)
    made = np.empty((draws, len(stratum)))
    np.put_along_axis(made, shuffled, np.broadcast_to(assigned[places], made.shape), axis=1)
    return made


def _in_blocks(
    arrangements: FloatArray, values: FloatArray, layout: Layout, statistic: Statistic
) -> FloatArray:
    """Return the statistic of every arrangement, without holding all products at once."""
    step = max(1, _BLOCK_CELLS // max(1, len(values)))
    parts = [
        statistic(arrangements[first : first + step], values, layout)
        for first in range(0, len(arrangements), step)
    ]
    return np.concatenate(parts)


def _stratum_means(values: FloatArray, stratum: IntArray) -> FloatArray:
    """Return each unit's stratum mean, shape (n,)."""
    counts = np.maximum(np.bincount(stratum), 1)
    return np.asarray((np.bincount(stratum, values) / counts)[stratum])


def _centre(values: FloatArray, stratum: IntArray) -> FloatArray:
    return values - _stratum_means(values, stratum)
