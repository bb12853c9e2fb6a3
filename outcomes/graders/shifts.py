"""The graders in one model of the grades: threshold shifts, and how alike two grades are.

P(y <= k | piece) = F(theta_{k+1} - shift_r - u_piece), u normal with sd sigma: a grader of
shift 1 gives odds of a higher grade e times as large. The reliability is the correlation of two
grades of one piece on that scale.
"""

import math
from dataclasses import dataclass

import numpy as np

from outcomes.graders.measured import Measured, NoInterval, Scale, from_leaving_out
from outcomes.graders.ratings import Ratings
from outcomes.model.fit import FitOptions, FitStatus, FloatArray, IntArray, Penalty
from outcomes.model.mixed import MixedFit, fit_mixed
from outcomes.model.mixed_many import fit_many_mixed
from outcomes.resampling.intervals import FEWEST_FIRINGS

GRADE_VARIANCE = math.pi**2 / 3.0  # of one look at one piece, on the logit scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifts:
    """What the model says.

    ``shifts`` are log-odds against the mean of the graders, in the order of `Ratings.graders`,
    None where the model could not be fitted; ``reliability`` has a NaN value then.
    """

    shifts: tuple[Measured, ...] | None
    reliability: Measured
    status: FitStatus


def fit_shifts(ratings: Ratings, *, confidence: float) -> Shifts:
    """Return each grader's threshold shift and the reliability of one grade.

    Parameters
    ----------
    ratings
        The grades that are compared.
    confidence
        Of the intervals, from leaving out firings (or pieces) in turn.

    Notes
    -----
    rho = sigma^2 / (sigma^2 + pi^2/3). Where all graders agree on every piece sigma has no
    largest likelihood; the fit is doubtful then and nothing is told.

    References
    ----------
    Hedeker & Gibbons (1994), Biometrics 50, 933-944.
    """
    piece, grader, y = _long(ratings)
    X = _columns(grader, len(ratings.graders))
    options = FitOptions(penalty=Penalty.NONE)
    grades, levels = np.unique(y), len(np.unique(y))
    if levels < 2:
        return _untold(FitStatus.FAILED)
    y = np.searchsorted(grades, y).astype(np.int64)
    fit = fit_mixed(X, y, levels, firing=piece, options=options)
    if fit.status is not FitStatus.CONVERGED:
        return _untold(fit.status)
    slopes, rho = _leave_out(ratings, X, y, piece=piece, fit=fit)
    values = _with_last(fit.slopes)
    return Shifts(
        shifts=tuple(
            from_leaving_out(float(value), slopes[:, place], confidence=confidence)
            for place, value in enumerate(values)
        ),
        reliability=from_leaving_out(
            reliability_of(fit.firing_sd), rho, confidence=confidence, scale=Scale.SHARE
        ),
        status=fit.status,
    )


def reliability_of(piece_sd: float) -> float:
    """Return the correlation of two grades of one piece on the logit scale.

    >>> round(reliability_of(math.pi / math.sqrt(3.0)), 6)
    0.5
    """
    return piece_sd**2 / (piece_sd**2 + GRADE_VARIANCE)


def shrinkage_factor(reliability: float) -> float:
    """Return by how much an effect in log-odds would be larger with perfect grading.

    Notes
    -----
    ``1 / sqrt(rho)``, a rule of thumb for grading noise that knows nothing of the settings: the
    luck of a piece and of its grading, of variance sigma^2 + pi^2/3, becomes sigma^2 alone.
    NaN for a reliability of 0.

    References
    ----------
    Spearman (1904), American Journal of Psychology 15, 72-101. Carroll, Ruppert, Stefanski &
    Crainiceanu (2006), Measurement Error in Nonlinear Models, 2nd edition.

    Examples
    --------
    >>> shrinkage_factor(0.64)
    1.25
    """
    return 1.0 / math.sqrt(reliability) if reliability > 0.0 else float("nan")


def _untold(status: FitStatus) -> Shifts:
    nothing = Measured(value=float("nan"), interval=None, clusters=0, why_none=NoInterval.ALIKE)
    return Shifts(shifts=None, reliability=nothing, status=status)


def _long(ratings: Ratings) -> tuple[IntArray, IntArray, IntArray]:
    """Return piece, grader and grade of every grade given, pieces numbered without gaps."""
    piece, grader = np.nonzero(~np.isnan(ratings.grades))
    return piece, grader, ratings.grades[piece, grader].astype(np.int64)


def _columns(grader: IntArray, n_graders: int) -> FloatArray:
    """Return the graders as columns that sum to zero, (m, R-1)."""
    coding = np.vstack([np.eye(n_graders - 1), -np.ones(n_graders - 1)])
    return np.asarray(coding[grader])


def _with_last(slopes: FloatArray) -> FloatArray:
    """Return the shifts of all graders: the last is what the others leave to zero."""
    return np.concatenate([slopes, -slopes.sum(axis=-1, keepdims=True)], axis=-1)


def _leave_out(
    ratings: Ratings, X: FloatArray, y: IntArray, *, piece: IntArray, fit: MixedFit
) -> tuple[FloatArray, FloatArray]:
    """Return shifts (G, R) and reliabilities (G,) without each firing or piece in turn."""
    groups = np.unique(ratings.cluster)
    without = (ratings.cluster[None, :] != groups[:, None]).astype(np.float64)
    counts = np.zeros((len(ratings.pieces), int(y.max()) + 1))
    np.add.at(counts, (piece, y), 1.0)
    tellable = ((without @ counts > 0.0).sum(axis=1) >= 2).all()
    if len(groups) < FEWEST_FIRINGS or not tellable:
        n = len(groups) if len(groups) < FEWEST_FIRINGS else FEWEST_FIRINGS
        return np.full((n, len(ratings.graders)), np.nan), np.full(n, np.nan)
    many = fit_many_mixed(X, y, int(y.max()) + 1, firing=piece, firing_weights=without, start=fit)
    lost = ~many.converged
    rho = many.firing_sd**2 / (many.firing_sd**2 + GRADE_VARIANCE)
    rho[lost] = np.nan
    shifts = _with_last(many.slopes)
    shifts[lost] = np.nan
    return shifts, rho
