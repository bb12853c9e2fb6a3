"""How large the firing luck may be: an upper limit from the profile likelihood.

Notation as in `quadrature`. The signed root of twice the fall of the profile log-likelihood from
its top is compared with a normal quantile, one-sided. With the top at sd 0 (the boundary) the
same limit holds and errs to the safe side: a top that is not allowed to lie below 0 makes the fall
smaller, never larger (Self & Liang 1987, JASA 82, 605-610; Stram & Lee 1994, Biometrics 50,
1171-1177).
"""

from dataclasses import replace
from typing import Final

import numpy as np
from scipy import special
from scipy.interpolate import PchipInterpolator

from outcomes.model.fit import FitStatus, FloatArray, IntArray
from outcomes.model.mixed import MixedFit
from outcomes.model.mixed_climb import MixedTask, climb_mixed
from outcomes.model.mixed_task import PIECE_VARIANCE, build_mixed_task, inward

_STEPS: Final = np.array([0.1, 0.2, 0.35, 0.55, 0.85, 1.3, 2.2, 4.0])  # of the piece's own luck


def firing_sd_upper(
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    firing: IntArray,
    fit: MixedFit,
    confidence: float = 0.95,
) -> float:
    """Return the one-sided upper limit of the firing sd, infinite when the data set none.

    Parameters
    ----------
    X, y, n_grades, firing
        The data of ``fit``; every grade occurs.
    fit
        From `fit_mixed`.
    confidence
        0.95: the sd lies below it in 95 % of logs (a little more near 0).

    Notes
    -----
    Eight sds above the estimate are profiled at once, then six more in the gap the limit lies
    in; between those the signed root is interpolated (it is nearly straight).
    """
    if fit.status is FitStatus.FAILED:
        return float("inf")
    number = np.unique(firing, return_inverse=True)[1].astype(np.int64)
    task, centre = build_mixed_task(
        X, y, n_grades, firing=number, options=fit.options, points=fit.points
    )
    at_top = inward(fit.parameters(), task, centre)
    wanted = float(special.ndtri(confidence))
    unit = float(np.sqrt(PIECE_VARIANCE[fit.options.link]))
    sds = fit.firing_sd + unit * _STEPS
    roots = _roots(sds, task, at_top, top=fit.penalised_log_likelihood)
    beyond = np.flatnonzero(roots >= wanted)
    if not len(beyond):
        return float("inf")
    first = int(beyond[0])
    low = fit.firing_sd if first == 0 else float(sds[first - 1])
    closer = np.linspace(low, float(sds[first]), 8)[1:-1]
    nearer = _roots(closer, task, at_top, top=fit.penalised_log_likelihood)
    base = 0.0 if first == 0 else float(roots[first - 1])
    known = np.maximum.accumulate(np.concatenate([[base], nearer, [roots[first]]]))
    known += 1e-12 * np.arange(len(known))
    at = np.concatenate([[low], closer, [sds[first]]])
    return float(PchipInterpolator(known, at)(wanted))


def _roots(sds: FloatArray, task: MixedTask, at_top: FloatArray, *, top: float) -> FloatArray:
    """Return the signed root of twice the fall of the profile at each sd."""
    start = np.tile(at_top, (len(sds), 1))
    start[:, -1] = sds
    weights = np.ones((len(sds), task.weights.shape[1]))
    held = replace(task, weights=weights, holds_sd=True, largest_sd=np.inf)
    arrival = climb_mixed(start, held)
    return np.asarray(np.sqrt(2.0 * np.maximum(top - arrival.value, 0.0)))
