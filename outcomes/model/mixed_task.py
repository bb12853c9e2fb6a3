"""A random-intercept design made ready to climb, and its parameters turned in and out.

Notation as in `quadrature`; inside, columns are centred and at unit spread.
"""

from typing import Final

import numpy as np

from outcomes.model.fit import FitOptions, FloatArray, IntArray, Link
from outcomes.model.mixed_climb import MixedArrival, MixedTask
from outcomes.model.quadrature import build_firing_rows

# Variance of a piece's own luck on each link's scale: pi^2/3, 1, pi^2/6 (McKelvey & Zavoina 1975).
PIECE_VARIANCE: Final = {
    Link.LOGIT: np.pi**2 / 3.0,
    Link.PROBIT: 1.0,
    Link.CLOGLOG: np.pi**2 / 6.0,
    Link.LOGLOG: np.pi**2 / 6.0,
}
_LARGEST_SD: Final = 10.0  # of the piece's own luck: firings that decide everything


def build_mixed_task(  # noqa: PLR0913 - a design in its parts, and how to fit it
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    firing: IntArray,
    options: FitOptions,
    points: int,
    weights: FloatArray | None = None,
) -> tuple[MixedTask, FloatArray]:
    """Return the task of a design whose grades all occur, and the centre of its columns.

    Parameters
    ----------
    X, y, n_grades, firing, options, points
        As in `fit_mixed`; every firing 0..G-1 holds a piece.
    weights : array, shape (B, G), optional
        Of firings; default one replicate of ones.
    """
    centre, spread = X.mean(axis=0), X.std(axis=0)
    largest = np.max(np.abs(X), axis=0, initial=0.0)
    spread = np.where(spread > 1e-13 * largest, spread, 1.0)
    columns = (X - centre) / spread
    rows = build_firing_rows(columns, y, n_grades, firing=firing, link=options.link)
    task = MixedTask(
        rows=rows,
        spread=spread,
        weights=np.ones((1, len(rows.starts))) if weights is None else weights,
        options=options,
        points=points,
        largest_sd=_LARGEST_SD * float(np.sqrt(PIECE_VARIANCE[options.link])),
    )
    return task, centre


def inward(parameters: FloatArray, task: MixedTask, centre: FloatArray) -> FloatArray:
    """Return psi (..., q+1) from parameters for the columns as given; undoes `outward`."""
    last = task.rows.n_grades - 1
    slopes = parameters[..., last:-1]
    thresholds = parameters[..., :last] - (slopes @ centre)[..., None]
    return np.concatenate([thresholds, slopes * task.spread, parameters[..., -1:]], axis=-1)


def outward(psi: FloatArray, task: MixedTask, centre: FloatArray) -> FloatArray:
    """Return parameters (..., q+1) for the columns as given, the sd positive."""
    last = task.rows.n_grades - 1
    slopes = psi[..., last:-1] / task.spread
    thresholds = psi[..., :last] + (slopes @ centre)[..., None]
    return np.concatenate([thresholds, slopes, np.abs(psi[..., -1:])], axis=-1)


def outward_covariance(arrival: MixedArrival, task: MixedTask, centre: FloatArray) -> FloatArray:
    """Return the inverse information (B, q+1, q+1) for the columns as given."""
    last, size = task.rows.n_grades - 1, arrival.psi.shape[1]
    values, vectors = np.linalg.eigh(arrival.information)
    raised = np.maximum(values, 1e-12 * np.abs(values).max(axis=1, keepdims=True) + 1e-300)
    inverse = (vectors / raised[:, None, :]) @ vectors.transpose(0, 2, 1)
    back = np.eye(size)
    back[last:-1, last:-1] = np.diag(1.0 / task.spread)
    back[:last, last:-1] = centre / task.spread
    return np.asarray(back @ inverse @ back.T)
