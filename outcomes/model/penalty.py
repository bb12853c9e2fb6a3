"""The weak pull of every slope toward no effect: value, slope and curvature.

Notation: beta (p,) slopes; the pull is *added* to the log-likelihood.
"""

import numpy as np

from outcomes.model.fit import FitOptions, FloatArray, Penalty


def penalty_value(beta: FloatArray, options: FitOptions) -> FloatArray:
    """Return the log prior density, constant left out, summed over the first axis.

    Parameters
    ----------
    beta : array, shape (p,) or (p, B)
    options
        Which penalty and how strong.

    Notes
    -----
    log-F(m, m): ``m beta/2 - m log(1 + e^beta)``, here plus the constant ``m log 2`` so that
    no effect costs nothing; m = 1 puts 95 % of the prior odds ratios between 1/648 and 648.
    It never touches a threshold.

    References
    ----------
    Greenland & Mansournia (2015), Statistics in Medicine 34, 3133-3143,
    doi:10.1002/sim.6537.

    Examples
    --------
    >>> round(float(penalty_value(np.array([2.0]), FitOptions())), 4)
    -0.4338
    """
    if options.penalty is Penalty.LOG_F:
        size = np.abs(beta)
        cost = 0.5 * size + np.log1p(np.exp(-size)) - np.log(2.0)
        return np.asarray(-options.strength * np.sum(cost, axis=0))
    if options.penalty is Penalty.RIDGE:
        return np.asarray(-0.5 * np.sum(np.square(beta / options.strength), axis=0))
    return np.zeros(beta.shape[1:])


def penalty_gradient(beta: FloatArray, options: FitOptions) -> FloatArray:
    """Return its derivative, shape of ``beta``."""
    if options.penalty is Penalty.LOG_F:
        return -0.5 * options.strength * np.tanh(0.5 * beta)
    if options.penalty is Penalty.RIDGE:
        return -beta / options.strength**2
    return np.zeros_like(beta)


def penalty_information(beta: FloatArray, options: FitOptions) -> FloatArray:
    """Return minus its second derivative, shape of ``beta`` (a diagonal)."""
    if options.penalty is Penalty.LOG_F:
        return np.asarray(0.25 * options.strength * (1.0 - np.square(np.tanh(0.5 * beta))))
    if options.penalty is Penalty.RIDGE:
        return np.full_like(beta, options.strength**-2)
    return np.zeros_like(beta)
