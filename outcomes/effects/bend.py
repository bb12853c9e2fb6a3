"""Where a curve bends: a shape parameter tried at many values, and which of them fit.

A family of columns has one parameter c that enters crookedly: where a threshold lies, how soon
a gain levels off. At each candidate the model is fitted with the family's columns in place of
the setting's own. The estimate is the candidate with the highest penalised likelihood. A
candidate is compatible with the log when the derivative of the setting's part by c, as one more
column, pulls no firing-wise clear way: |t| of its efficient score within Student's quantile
(see `firing_scores`). Luck shared by a firing is therefore in the interval.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from outcomes.design.design import FloatArray
from outcomes.design.matrix import find_term
from outcomes.effects.evidence import Evidence
from outcomes.effects.firing_scores import efficient_scores, score_t
from outcomes.effects.refit import refit_columns
from outcomes.model.fit import CumulativeFit
from outcomes.model.links import survival

# (values (m,), c) -> columns (m, k)
Family = Callable[[FloatArray, float], FloatArray]
_HALF = 0.5  # spread given to a column: the scale the weak penalty is meant for


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bend:
    """One setting's shape parameter.

    Parameters
    ----------
    candidates : array, shape (m,)
    log_likelihood : array, shape (m,)
        Penalised, of the fit at each candidate.
    compatible : bool array, shape (m,)
        Not contradicted at the confidence asked; the best candidate always is.
    slopes : array, shape (m, k)
        Of the family's columns as the family gives them.
    reach : array, shape (m, p)
        Average chance of the aim at every asked value.
    best
        Position of the best candidate.
    """

    candidates: FloatArray
    log_likelihood: FloatArray
    compatible: NDArray[np.bool_]
    slopes: FloatArray
    reach: FloatArray
    best: int


def profile_bend(
    evidence: Evidence,
    factor: str,
    *,
    family: Family,
    candidates: FloatArray,
    at: FloatArray,
    confidence: float = 0.95,
) -> Bend:
    """Return how well every candidate fits.

    Parameters
    ----------
    evidence, factor
        The outcome's fit, and the setting whose columns are replaced.
    family
        Columns for any values at one candidate.
    candidates : array, shape (m,)
        Ascending, at least two.
    at : array, shape (p,)
        Values at which the average chance of the aim is predicted.
    """
    fits: list[_One] = []
    for c in candidates:
        # Begins where the one before ended: half as many steps.
        before = fits[-1].fit.slopes if fits else None
        fits.append(
            _fit_one(evidence, factor, start=before, family=family, candidate=float(c), at=at)
        )
    likelihood = np.array([one.log_likelihood for one in fits])
    best = int(np.argmax(likelihood))
    pulls = [
        _pull(one, evidence, family=family, candidate=float(c))
        for one, c in zip(fits, candidates, strict=True)
    ]
    limit = -float(special.stdtrit(evidence.n_firings - 1, 0.5 * (1.0 - confidence)))
    compatible = np.abs(np.array(pulls)) <= limit
    compatible[best] = True
    return Bend(
        candidates=candidates,
        log_likelihood=likelihood,
        compatible=compatible,
        slopes=np.array([one.slopes for one in fits]),
        reach=np.array([one.reach for one in fits]),
        best=best,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _One:
    """The fit at one candidate: its wide design's columns and what came of it."""

    X: FloatArray
    fit: CumulativeFit
    values: FloatArray
    log_likelihood: float
    slopes: FloatArray
    reach: FloatArray


def _fit_one(
    evidence: Evidence,
    factor: str,
    *,
    start: FloatArray | None,
    family: Family,
    candidate: float,
    at: FloatArray,
) -> _One:
    """Fit with the family's columns at one candidate."""
    design = evidence.design
    values = design.frame[factor].to_numpy(float)
    others = np.delete(design.X, list(find_term(design.spec, factor).slots), axis=1)
    raw = family(values, candidate)
    spread = np.maximum(raw.std(axis=0), 1e-12) / _HALF
    X = np.concatenate([others, raw / spread], axis=1)
    fit = refit_columns(evidence, X, start=start)
    slopes = fit.slopes[others.shape[1] :] / spread
    gap = fit.thresholds[design.aim - 1] - others @ fit.slopes[: others.shape[1]]
    shift = family(at, candidate) @ slopes
    reach = np.array([survival(gap - one, evidence.link).mean() for one in shift])
    return _One(
        X=X,
        fit=fit,
        values=values,
        log_likelihood=fit.penalised_log_likelihood,
        slopes=slopes,
        reach=reach,
    )


def _pull(one: _One, evidence: Evidence, *, family: Family, candidate: float) -> float:
    """Return the t of the derivative by the shape parameter."""
    step = 1e-4 * max(abs(candidate), 1e-3)
    up, down = (family(one.values, candidate + h) @ one.slopes for h in (step, -step))
    derivative = (up - down) / (2.0 * step)
    spread = float(derivative.std())
    if spread <= 0.0:
        return 0.0
    design = replace(evidence.design, X=one.X)
    scores = efficient_scores(design, one.fit, derivative[:, None] / spread)
    return float(score_t(scores)[0])
