"""Fit one cumulative model: Newton with step halving, and a certificate.

Notation as in `likelihood`. Columns are centred and brought to unit spread inside, which
changes no answer (Newton's method does not see a change of basis) but keeps the arithmetic
healthy under offsets of 1e6 and scales of 1e-6; the penalty stays on the slopes as given.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from scipy import linalg

from outcomes.errors import RequestError
from outcomes.model.fit import (
    CumulativeFit,
    FitOptions,
    FitStatus,
    FloatArray,
    IntArray,
    Link,
    Penalty,
)
from outcomes.model.grades import restored_thresholds, threshold_sources
from outcomes.model.likelihood import Pieces
from outcomes.model.links import quantile
from outcomes.model.newton import STILL, Arrival, climb_one, largest_move
from outcomes.model.standardise import centre_spread

# Smallest unpenalised information per piece, columns at unit spread, below which a direction is
# not told by the data: separated, constant and repeated columns lie under 1e-8, the least
# informed honest ones (one piece in 10 000) at 1e-4.
_LEAST_INFORMATION: Final = 1e-7
_ILL_CONDITIONED: Final = 1e10
_NEARLY: Final = 1e-5


def fit_cumulative(
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    weights: FloatArray | None = None,
    options: FitOptions | None = None,
) -> CumulativeFit:
    """Return the penalised maximum-likelihood fit with its certificate.

    Parameters
    ----------
    X : array, shape (n, p)
        Columns, no intercept; p may be 0.
    y : array, shape (n,)
        Grades 0..n_grades-1.
    n_grades
        K, at least 2. K = 2 is logistic regression with intercept ``-theta``.
    weights : array, shape (n,), optional
        Non-negative; 2 counts a piece twice, 0 leaves it out.
    options
        Link, penalty, tolerance; the default is a logit with log-F(1, 1).

    Returns
    -------
    CumulativeFit
        Always finite. ``status`` is DOUBTFUL when some direction is told by the penalty alone
        (a constant, repeated or separating column, a grade nobody got), FAILED when fewer than
        two grades occur or Newton did not arrive. A caller that needs the reason asks
        `separation.find_separation`.

    Raises
    ------
    RequestError
        If the arrays do not fit together, hold NaN or infinity, or weigh nothing.

    References
    ----------
    McCullagh (1980), JRSS B 42, 109-142. Burridge (1981), JRSS B 43, 41-45 (concavity).
    """
    options = options or FitOptions()
    w = np.ones(len(y)) if weights is None else np.asarray(weights, dtype=np.float64)
    pieces = Pieces(X=np.asarray(X, dtype=np.float64), y=y, weights=w, n_grades=n_grades)
    _refuse_unusable(pieces)
    present = np.bincount(y, w, n_grades) > 0.0
    if present.sum() < 2:
        return _no_fit(present, pieces, options)
    if present.all():
        return _fit_occurring(pieces, options)
    kept = present[y]
    renumbered = (np.cumsum(present) - 1)[y[kept]]
    fewer = Pieces(X=pieces.X[kept], y=renumbered, weights=w[kept], n_grades=int(present.sum()))
    return _with_all_grades(_fit_occurring(fewer, options), present)


def _fit_occurring(pieces: Pieces, options: FitOptions) -> CumulativeFit:
    """Fit when every grade occurs."""
    centre, spread = centre_spread(pieces.X, pieces.weights)
    centred = replace(pieces, X=pieces.X - centre)
    start = start_without_columns(centred, options.link)
    scale = np.concatenate([np.ones(pieces.n_grades - 1), spread])
    arrival = climb_one(start, pieces=centred, options=options, scale=scale)
    return _certified(arrival, pieces=centred, options=options, centre=centre, scale=scale)


def _certified(
    arrival: Arrival,
    *,
    pieces: Pieces,
    options: FitOptions,
    centre: FloatArray,
    scale: FloatArray,
) -> CumulativeFit:
    """Take the centring back out and say how far the fit can be trusted."""
    at, last = arrival.at, pieces.n_grades - 1
    total = float(pieces.weights.sum())
    outer = np.outer(scale, scale)
    covariance, condition = _inverse(at.information + np.diag(at.penalty_information), scale)
    back = np.eye(len(scale))
    back[:last, last:] = centre
    told = float(linalg.eigvalsh(at.information / outer)[0]) / total
    largest = float(np.max(np.abs((at.gradient + at.penalty_gradient) / scale))) / total
    still = largest_move(arrival.step, pieces) <= STILL
    return CumulativeFit(
        thresholds=arrival.parameters[:last] + centre @ arrival.parameters[last:],
        slopes=arrival.parameters[last:],
        covariance=back @ covariance @ back.T,
        log_likelihood=at.log_likelihood,
        penalised_log_likelihood=at.log_likelihood + at.penalty,
        largest_gradient=largest,
        condition_number=condition,
        smallest_eigenvalue=told,
        iterations=arrival.iterations,
        status=_status(
            arrived=still and largest <= options.tolerance,
            nearly=largest <= _NEARLY,
            told=told > _LEAST_INFORMATION
            and condition < _ILL_CONDITIONED
            and _stands_unpenalised(arrival, pieces=pieces, options=options, scale=scale),
        ),
        options=options,
    )


def _inverse(information: FloatArray, scale: FloatArray) -> tuple[FloatArray, float]:
    """Return the inverse and the condition number in unit-spread coordinates, both finite."""
    outer = np.outer(scale, scale)
    values, vectors = linalg.eigh(information / outer)
    raised = np.maximum(values, 1e-12 * max(values[-1], 1e-300))
    return (vectors / raised) @ vectors.T / outer, float(raised[-1] / raised[0])


def _status(*, arrived: bool, nearly: bool, told: bool) -> FitStatus:
    if arrived and told:
        return FitStatus.CONVERGED
    return FitStatus.DOUBTFUL if arrived or nearly else FitStatus.FAILED


def _stands_unpenalised(
    arrival: Arrival, *, pieces: Pieces, options: FitOptions, scale: FloatArray
) -> bool:
    """Is there a finite maximum without the penalty too? If not, the data are separated.

    On separated data a Newton step moves some eta by about 1, for ever; otherwise a dozen
    steps from the penalised fit are ample.
    """
    if options.penalty is Penalty.NONE:
        return True
    bare = replace(options, penalty=Penalty.NONE, max_iterations=12, tolerance=1e-6)
    freed = climb_one(arrival.parameters, pieces=pieces, options=bare, scale=scale)
    return largest_move(freed.step, pieces) <= 1e-3


def start_without_columns(pieces: Pieces, link: Link) -> FloatArray:
    """Return the fit without columns: thresholds at the grades' shares, slopes zero."""
    counts = np.bincount(pieces.y, pieces.weights, pieces.n_grades)
    shares = np.cumsum(counts)[:-1] / counts.sum()
    # A grade with a weight under 1e-12 of the whole still gets a gap to start from.
    thresholds = quantile(np.clip(shares, 1e-12, 1.0 - 1e-12), link)
    thresholds = np.maximum.accumulate(thresholds) + 1e-9 * np.arange(len(thresholds))
    return np.concatenate([thresholds, np.zeros(pieces.X.shape[1])])


def _with_all_grades(fit: CumulativeFit, present: np.ndarray) -> CumulativeFit:
    """Put the thresholds of grades that do not occur back, and doubt the fit."""
    last, fitted = len(present) - 1, len(fit.thresholds)
    source = np.concatenate(
        [threshold_sources(present), np.arange(fitted, fitted + len(fit.slopes))]
    )
    failed = fit.status is FitStatus.FAILED
    return replace(
        fit,
        thresholds=restored_thresholds(fit.thresholds, present, fit.options.link)[:last],
        covariance=fit.covariance[np.ix_(source, source)],
        status=FitStatus.FAILED if failed else FitStatus.DOUBTFUL,
    )


def _no_fit(present: np.ndarray, pieces: Pieces, options: FitOptions) -> CumulativeFit:
    """Return the record of a data set with fewer than two grades: nothing to learn."""
    size = pieces.n_grades - 1 + pieces.X.shape[1]
    return CumulativeFit(
        thresholds=restored_thresholds(np.zeros(0), present, options.link),
        slopes=np.zeros(pieces.X.shape[1]),
        covariance=np.zeros((size, size)),
        log_likelihood=0.0,
        penalised_log_likelihood=0.0,
        largest_gradient=0.0,
        condition_number=1.0,
        smallest_eigenvalue=0.0,
        iterations=0,
        status=FitStatus.FAILED,
        options=options,
    )


def _refuse_unusable(pieces: Pieces) -> None:
    """Raise when the arrays cannot be a data set at all."""
    n = len(pieces.y)
    if pieces.X.ndim != 2 or pieces.X.shape[0] != n or pieces.weights.shape != (n,):
        raise RequestError(
            f"the columns have shape {pieces.X.shape} and the weights {pieces.weights.shape} "
            f"for {n} grades; expected ({n}, p) and ({n},)"
        )
    if pieces.n_grades < 2 or n == 0 or pieces.y.min() < 0 or pieces.y.max() >= pieces.n_grades:
        found = f"{pieces.y.min()} to {pieces.y.max()}" if n else "none"
        raise RequestError(
            f"the grades are {found}; expected at least one piece and whole numbers from 0 "
            f"to {pieces.n_grades - 1} with at least two grades"
        )
    if not (np.isfinite(pieces.X).all() and np.isfinite(pieces.weights).all()):
        raise RequestError("the columns or weights hold NaN or infinity; leave those rows out")
    if pieces.weights.min() < 0.0 or pieces.weights.sum() <= 0.0:
        raise RequestError("the weights must be zero or more, and not all zero")
