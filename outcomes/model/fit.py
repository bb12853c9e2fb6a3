"""The records of a fit."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Link(StrEnum):
    """P(y <= k) = F(theta_k - x'beta); F is the distribution named here."""

    LOGIT = "logit"
    PROBIT = "probit"
    CLOGLOG = "cloglog"
    LOGLOG = "loglog"
    CAUCHIT = "cauchit"


class Penalty(StrEnum):
    """A weak pull of every slope toward no effect."""

    NONE = "none"
    LOG_F = "log-F"  # log-F(m, m) prior, Greenland & Mansournia 2015
    RIDGE = "ridge"  # normal(0, sd^2) prior


class FitStatus(StrEnum):
    """What may be done with a fit."""

    CONVERGED = "converged"
    DOUBTFUL = "doubtful"  # finite and usable, but the certificate is weak: say so
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOptions:
    """How to fit.

    ``strength`` is m of log-F(m, m), or the prior sd of the ridge. ``tolerance`` is the
    largest allowed |gradient| per unit of total weight.
    """

    link: Link = Link.LOGIT
    penalty: Penalty = Penalty.LOG_F
    strength: float = 1.0
    max_iterations: int = 50
    tolerance: float = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CumulativeFit:
    """One fit.

    Parameters
    ----------
    thresholds : array, shape (K-1,)
    slopes : array, shape (p,)
    covariance : array, shape (K-1+p, K-1+p)
        Inverse observed information of the penalised likelihood; order thresholds, slopes.
    log_likelihood
        Without the penalty.
    penalised_log_likelihood
        With it.
    largest_gradient, condition_number, iterations, status
        The certificate: gradient per unit of total weight and condition number of the
        penalised information, both with columns at unit spread.
    smallest_eigenvalue
        Of the *unpenalised* information per unit of weight, columns at unit spread: near 0
        when some direction is told by the penalty alone.
    options
        How it was fitted.
    """

    thresholds: FloatArray
    slopes: FloatArray
    covariance: FloatArray
    log_likelihood: float
    penalised_log_likelihood: float
    largest_gradient: float
    condition_number: float
    iterations: int
    status: FitStatus
    options: FitOptions
    smallest_eigenvalue: float = 0.0

    def parameters(self) -> FloatArray:
        """Return thresholds then slopes, shape (K-1+p,)."""
        return np.concatenate([self.thresholds, self.slopes])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ManyFits:
    """Weighted refits of one design.

    Parameters
    ----------
    values : array, shape (B, K-1+p)
        Thresholds then slopes of each refit.
    converged : bool array, shape (B,)
    largest_gradient : array, shape (B,)
        Per unit of that refit's total weight.
    iterations : int array, shape (B,)
    unusual : bool array, shape (B,)
        A grade vanished, a column became constant, or the refit did not arrive: counted and
        reported, never dropped in silence.
    """

    values: FloatArray
    converged: NDArray[np.bool_]
    largest_gradient: FloatArray
    iterations: IntArray
    unusual: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))
