"""Published tests of proportional odds, kept for comparison: likelihood ratio, Brant, score.

They take pieces as independent, so on a firing log they reject too often (method_in_depth.md
§12: 8-9 % at nominal 5 % with 12 firings); no sentence of a report rests on them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import special

from outcomes.design.design import FloatArray, IntArray
from outcomes.doubts.free_slopes import FreeFit, fit_free_slopes, tied_parameters
from outcomes.doubts.free_table import Table, build_table, parts_at
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitOptions, FitStatus, Penalty

_PLAIN = FitOptions(penalty=Penalty.NONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChiSquare:
    """A chi-square statistic, its degrees of freedom and its p value.

    ``df`` is the number of slopes set free; ``rank`` how many of them the data can tell (a
    published p value uses ``df``, the honest one ``rank``).
    """

    value: float
    df: int
    p: float
    rank: int

    @property
    def honest_p(self) -> float:
        """Return the p value with as many degrees of freedom as the data can tell."""
        return float(special.chdtrc(max(1, self.rank), self.value))


def likelihood_ratio_test(
    X: FloatArray,
    y: IntArray,
    *,
    n_grades: int,
    free: Sequence[int],
    weights: FloatArray | None = None,
) -> ChiSquare:
    """Return the likelihood-ratio test of setting some columns' slopes free.

    Parameters
    ----------
    X, y, n_grades, weights
        The data; plain maximum likelihood, logit.
    free
        Columns whose slopes may differ from grade to grade.
    """
    tied = fit_cumulative(X, y, n_grades, weights=weights, options=_PLAIN)
    table = build_table(X, y, n_grades=n_grades, free=free, options=_PLAIN, weights=weights)
    return _ratio(tied, fit_free_slopes(table, tied), len(free))


def free_likelihood_ratio(
    X: FloatArray, y: IntArray, *, tied: CumulativeFit, free: Sequence[int]
) -> ChiSquare | None:
    """Return the same test beside a fit that is there already.

    Returns
    -------
    ChiSquare or None
        None where the free fit lies on its border (some grade without a chance for some
        piece): twice the gain in log-likelihood has no chi-square distribution there.
    """
    n_grades = len(tied.thresholds) + 1
    table = build_table(X, y, n_grades=n_grades, free=free, options=_PLAIN)
    freed = fit_free_slopes(table, tied, past_border=False)
    return None if freed.on_border else _ratio(tied, freed, len(free))


def _ratio(tied: CumulativeFit, freed: FreeFit, n_free: int) -> ChiSquare:
    df = (len(tied.thresholds) - 1) * n_free
    return _chi_square(2.0 * (freed.log_likelihood - tied.log_likelihood), df, rank=df)


def score_test(
    X: FloatArray,
    y: IntArray,
    *,
    n_grades: int,
    weights: FloatArray | None = None,
    expected: bool = False,
) -> ChiSquare:
    """Return the score test of proportional odds, all slopes set free.

    Parameters
    ----------
    X, y, n_grades, weights
        The data; plain maximum likelihood, logit.
    expected
        With the expected information instead of the observed: programs differ in this.

    Notes
    -----
    ``U'I^- U`` at the tied fit with a generalised inverse; where cells are empty the rank of
    the information is short of the slopes counted.
    """
    tied = fit_cumulative(X, y, n_grades, weights=weights, options=_PLAIN)
    every = list(range(X.shape[1]))
    table = build_table(X, y, n_grades=n_grades, free=every, options=_PLAIN, weights=weights)
    at = tied_parameters(tied, table.layout)
    scores, parts = parts_at(table, at)
    information = _expected_information(table, at) if expected else parts.of(slice(None))
    score = scores.sum(axis=0)
    value = float(score @ np.linalg.pinv(information, rcond=1e-10, hermitian=True) @ score)
    df = (n_grades - 2) * X.shape[1]
    lost = len(score) - int(np.linalg.matrix_rank(information, tol=None, hermitian=True))
    return _chi_square(value, df, rank=df - lost)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BrantTest:
    """Brant's test: all slopes at once and each column; the K-1 binary logits behind it.

    ``logits`` has shape (K-1, 1+p): intercept and slopes of P(y >= k). ``covariance`` is that
    of all their slopes, shape ((K-1)p, (K-1)p), boundary by boundary.
    """

    omnibus: ChiSquare
    columns: tuple[ChiSquare, ...]
    logits: FloatArray
    covariance: FloatArray


def brant_test(
    X: FloatArray, y: IntArray, *, n_grades: int, weights: FloatArray | None = None
) -> BrantTest | None:
    """Return Brant's test, or None when one of its binary logits has no finite fit.

    Parameters
    ----------
    X, y, n_grades, weights
        The data; at least three grades.

    References
    ----------
    Brant (1990), Biometrics 46, 1171-1178, doi:10.2307/2532457.
    """
    fits = [
        fit_cumulative(X, (y >= k).astype(np.int64), 2, weights=weights, options=_PLAIN)
        for k in range(1, n_grades)
    ]
    if any(fit.status is not FitStatus.CONVERGED for fit in fits):
        return None
    p = X.shape[1]
    held = np.ones(len(y)) if weights is None else weights
    logits = np.array([np.concatenate([-fit.thresholds, fit.slopes]) for fit in fits])
    covariance = _brant_covariance(X, fits, held)
    return BrantTest(
        omnibus=_alike(logits, covariance, range(p)),
        columns=tuple(_alike(logits, covariance, [j]) for j in range(p)),
        logits=logits,
        covariance=covariance,
    )


def brant_of(test: BrantTest, columns: Sequence[int]) -> ChiSquare | None:
    """Return Brant's test of some columns together; None where their errors are singular."""
    try:
        return _alike(test.logits, test.covariance, columns)
    except np.linalg.LinAlgError:
        return None


def _alike(logits: FloatArray, covariance: FloatArray, columns: Sequence[int]) -> ChiSquare:
    """Return the Wald test that some columns' slopes are alike at every boundary."""
    cuts, p = len(logits), logits.shape[1] - 1
    differ: FloatArray = np.hstack([-np.ones((cuts - 1, 1)), np.eye(cuts - 1)])
    chosen = np.eye(p)[list(columns)]
    return _wald(logits[:, 1:].ravel(), covariance, np.kron(differ, chosen))


def _brant_covariance(
    X: FloatArray, fits: Sequence[CumulativeFit], weights: FloatArray
) -> FloatArray:
    """Return the joint covariance of all binary slopes, shape ((K-1)p, (K-1)p)."""
    p = X.shape[1]
    X1 = np.hstack([np.ones((len(X), 1)), X])
    reach = [special.expit(X @ fit.slopes - fit.thresholds[0]) for fit in fits]
    inverse = [np.linalg.inv(X1.T @ ((weights * r * (1.0 - r))[:, None] * X1)) for r in reach]
    covariance = np.empty((len(fits) * p, len(fits) * p))
    for k in range(len(fits)):
        for m in range(k, len(fits)):
            both = weights * reach[m] * (1.0 - reach[k])
            block = (inverse[k] @ (X1.T @ (both[:, None] * X1)) @ inverse[m])[1:, 1:]
            covariance[k * p : (k + 1) * p, m * p : (m + 1) * p] = block
            covariance[m * p : (m + 1) * p, k * p : (k + 1) * p] = block.T
    return covariance


def _wald(
    slopes: FloatArray, covariance: FloatArray, contrast: NDArray[np.floating[Any]]
) -> ChiSquare:
    gap = contrast @ slopes
    value = float(gap @ np.linalg.solve(contrast @ covariance @ contrast.T, gap))
    return _chi_square(value, len(gap), rank=len(gap))


def _expected_information(table: Table, parameters: FloatArray) -> FloatArray:
    """Return the expected information: every grade's score, by its chance."""
    total = np.zeros((table.layout.size, table.layout.size))
    cuts = np.pad(table.D @ parameters, ((0, 0), (1, 1)), constant_values=np.inf)
    cuts[:, 0] = -np.inf
    chances = np.diff(special.expit(cuts), axis=1)
    for grade in range(table.layout.cuts + 1):
        as_if = replace(table, y=np.full_like(table.y, grade), weights=np.ones(len(table.y)))
        scores, _ = parts_at(as_if, parameters)
        total += scores.T @ ((table.weights * chances[:, grade])[:, None] * scores)
    return total


def _chi_square(value: float, df: int, *, rank: int) -> ChiSquare:
    return ChiSquare(value=value, df=df, p=float(special.chdtrc(df, value)), rank=rank)
