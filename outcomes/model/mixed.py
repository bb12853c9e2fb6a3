"""Fit the cumulative model with one luck a firing (random-intercept cumulative model).

Notation as in `quadrature`. P(y <= k | luck) = F(theta_{k+1} - x'beta - u_g), u_g ~ normal(0,
sd^2): slopes are those *within* a firing of given luck, larger than the population-averaged ones
of `cumulative`.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import (
    CumulativeFit,
    FitOptions,
    FitStatus,
    FloatArray,
    IntArray,
)
from outcomes.model.grades import restored_thresholds, threshold_sources
from outcomes.model.mixed_climb import MixedArrival, MixedTask, climb_mixed
from outcomes.model.mixed_task import (
    PIECE_VARIANCE,
    build_mixed_task,
    inward,
    outward,
    outward_covariance,
)

FEWEST_POINTS: Final = 5  # below, the score of the integral is not the score of its quadrature
# Where luck outweighs everything a firing's posterior is far from normal and score and value of
# the quadrature part company: more nodes bring them together again.
FINER: Final = 4
_NEARLY: Final = 1e-6
_ILL_CONDITIONED: Final = 1e10
_FIRST_SD: Final = 0.4  # of the piece's own luck: near neither end
_NO_GAIN: Final = 1e-7  # log-likelihood gained by an sd that is 0 but for rounding


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MixedFit:
    """One random-intercept fit.

    Parameters
    ----------
    thresholds, slopes : array, shape (K-1,) and (p,)
    firing_sd
        Maximum-likelihood sd of the firing luck, on the link's scale. Too small on average when
        firings are few: see `effects.shares` for the correction.
    covariance : array, shape (K+p, K+p)
        Inverse observed information (penalty included), order thresholds, slopes, sd. The sd's
        row and column are NaN when ``at_boundary``.
    log_likelihood, penalised_log_likelihood
        Luck integrated out; without and with the penalty.
    firing_modes, firing_mode_sd : array, shape (G,)
        Most probable luck of each firing given its pieces, and its conditional sd.
    largest_gradient, iterations, status
        Per unit of weight with columns at unit spread. DOUBTFUL when the sd ran to its limit of
        10 piece sds, or the fit without luck is doubtful.
    at_boundary
        True when the likelihood is highest at sd 0: no luck *seen*, not no luck.
    options, points
        How it was fitted.
    """

    thresholds: FloatArray
    slopes: FloatArray
    firing_sd: float
    covariance: FloatArray
    log_likelihood: float
    penalised_log_likelihood: float
    firing_modes: FloatArray
    firing_mode_sd: FloatArray
    largest_gradient: float
    iterations: int
    status: FitStatus
    at_boundary: bool
    options: FitOptions
    points: int

    def parameters(self) -> FloatArray:
        """Return thresholds, slopes, sd, shape (K+p,)."""
        return np.concatenate([self.thresholds, self.slopes, [self.firing_sd]])


def fit_mixed(
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    firing: IntArray,
    options: FitOptions | None = None,
    points: int = 11,
) -> MixedFit:
    """Return the random-intercept fit by adaptive Gauss-Hermite quadrature.

    Parameters
    ----------
    X, y, n_grades
        As in `fit_cumulative`.
    firing : array, shape (n,)
        Firing number 0..G-1 of each piece.
    options
        Link (all but the cauchit), penalty, tolerance.
    points
        Nodes a firing, at least 5; 11 are exact to 1e-6 on the logs tried. A fit that does not
        arrive is climbed again with four times as many.

    Raises
    ------
    RequestError
        If the arrays do not fit together, the link is the cauchit (its likelihood is not
        concave in the luck), or there are fewer than 5 points.

    Notes
    -----
    Newton with Louis' information; the sd is climbed unconstrained (the likelihood is even in
    it). Where the top is at sd 0 the fit *is* `fit_cumulative`.

    References
    ----------
    Hedeker & Gibbons (1994), Biometrics 50, 933-944. Pinheiro & Bates (1995), JCGS 4, 12-35.
    Christensen, R package ordinal, function clmm (the referee).
    """
    options = options or FitOptions()
    _refuse_unusable(y, firing, options, points)
    present = np.bincount(y, minlength=n_grades) > 0
    if 2 <= present.sum() < n_grades:
        fewer, found = int(present.sum()), (np.cumsum(present) - 1)[y]
        inner = fit_mixed(X, found, fewer, firing=firing, options=options, points=points)
        return _with_all_grades(inner, present)
    plain = fit_cumulative(X, y, n_grades, options=options)
    number = np.unique(firing, return_inverse=True)[1].astype(np.int64)
    bare = _without_luck(plain, n_firings=int(number.max()) + 1, points=points)
    if plain.status is FitStatus.FAILED:
        return bare
    task, centre = build_mixed_task(X, y, n_grades, firing=number, options=options, points=points)
    arrival = climb_mixed(_begin(plain, task, centre), task)
    if not arrival.arrived.all():
        task = replace(task, points=FINER * points)
        arrival = climb_mixed(arrival.psi, task)
    if float(arrival.value[0]) - plain.penalised_log_likelihood <= _NO_GAIN:
        return bare
    return _record(arrival, task, centre=centre, plain=plain)


def _begin(plain: CumulativeFit, task: MixedTask, centre: FloatArray) -> FloatArray:
    """Return where to start, (1, q+1): the fit without luck, stretched.

    Luck left out shrinks slopes by about sqrt(1 + sd^2/v) (Zeger, Liang & Albert 1988,
    Biometrics 44, 1049).
    """
    unit = float(np.sqrt(PIECE_VARIANCE[plain.options.link]))
    stretched = np.sqrt(1.0 + _FIRST_SD**2) * plain.parameters()
    return inward(np.append(stretched, _FIRST_SD * unit), task, centre)[None, :]


def _record(
    arrival: MixedArrival, task: MixedTask, *, centre: FloatArray, plain: CumulativeFit
) -> MixedFit:
    """Return the record of an arrival with luck."""
    last = task.rows.n_grades - 1
    psi = outward(arrival.psi[0], task, centre)
    sd, signed = float(psi[-1]), float(arrival.psi[0, -1])
    eigenvalues = np.linalg.eigvalsh(arrival.information[0])
    told = eigenvalues[0] > 0.0 and eigenvalues[-1] < _ILL_CONDITIONED * eigenvalues[0]
    sure = told and sd < task.largest_sd and plain.status is FitStatus.CONVERGED
    nearly = float(arrival.largest[0]) <= _NEARLY
    doubtful = FitStatus.DOUBTFUL if nearly else FitStatus.FAILED
    return MixedFit(
        thresholds=psi[:last],
        slopes=psi[last:-1],
        firing_sd=sd,
        covariance=outward_covariance(arrival, task, centre)[0],
        log_likelihood=float(arrival.at.log_likelihood[0]),
        penalised_log_likelihood=float(arrival.value[0]),
        firing_modes=signed * arrival.at.mode[0],
        firing_mode_sd=sd * arrival.at.width[0],
        largest_gradient=float(arrival.largest[0]),
        iterations=arrival.iterations,
        status=FitStatus.CONVERGED if arrival.arrived[0] and sure else doubtful,
        at_boundary=False,
        options=task.options,
        points=task.points,
    )


def _without_luck(plain: CumulativeFit, *, n_firings: int, points: int) -> MixedFit:
    """Return the fit at sd 0: the one without luck."""
    size = len(plain.covariance)
    covariance = np.full((size + 1, size + 1), np.nan)
    covariance[:size, :size] = plain.covariance
    return MixedFit(
        thresholds=plain.thresholds,
        slopes=plain.slopes,
        firing_sd=0.0,
        covariance=covariance,
        log_likelihood=plain.log_likelihood,
        penalised_log_likelihood=plain.penalised_log_likelihood,
        firing_modes=np.zeros(n_firings),
        firing_mode_sd=np.zeros(n_firings),
        largest_gradient=plain.largest_gradient,
        iterations=plain.iterations,
        status=plain.status,
        at_boundary=True,
        options=plain.options,
        points=points,
    )


def _with_all_grades(fit: MixedFit, present: NDArray[np.bool_]) -> MixedFit:
    """Put the thresholds of grades that do not occur back, and doubt the fit."""
    fitted = len(fit.thresholds)
    rest = np.arange(fitted, len(fit.covariance))
    source = np.concatenate([threshold_sources(present), rest])
    failed = fit.status is FitStatus.FAILED
    return replace(
        fit,
        thresholds=restored_thresholds(fit.thresholds, present, fit.options.link),
        covariance=fit.covariance[np.ix_(source, source)],
        status=FitStatus.FAILED if failed else FitStatus.DOUBTFUL,
    )


def _refuse_unusable(y: IntArray, firing: IntArray, options: FitOptions, points: int) -> None:
    """Raise when this cannot be a random-intercept fit at all."""
    if options.link not in PIECE_VARIANCE:
        known = ", ".join(PIECE_VARIANCE)
        raise RequestError(
            f"a firing's luck cannot be fitted with the {options.link} link; {known} can"
        )
    if points < FEWEST_POINTS:
        raise RequestError(
            f"{points!r} quadrature points were asked for; use at least {FEWEST_POINTS}"
        )
    if firing.shape != y.shape or (len(firing) and firing.min() < 0):
        raise RequestError(
            f"the firing numbers have shape {firing.shape} for {len(y)} grades; expected one "
            f"whole number from 0 for each piece"
        )
