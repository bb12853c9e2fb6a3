"""Do left-out firings come out as foretold? Slope, shares per grade, and groups for a picture."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.doubts.left_out import LeftOut
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitOptions, FitStatus, Penalty
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import jackknife_error, jackknife_interval

GROUPS: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationGroup:
    """Pieces given a like chance of reaching the aim: foretold, seen, and how many."""

    foretold: float
    seen: float
    pieces: int
    firings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """How left-out forecasts compare with what came out.

    Parameters
    ----------
    slope, slope_interval
        Of a cumulative model of the grade on the left-out linear predictor: 1 is right, below
        1 the effects are larger in the fit than in new firings. None where it has no value.
    in_the_large
        Foretold minus seen share of pieces at each grade k or above, k = 1..K-1.
    groups
        Pieces sorted by their foretold chance of the aim, in five groups.
    """

    slope: float | None
    slope_interval: Interval | None
    in_the_large: tuple[float, ...]
    groups: tuple[CalibrationGroup, ...]


def build_calibration(
    design: Design, fit: CumulativeFit, left_out: LeftOut, *, confidence: float = 0.95
) -> Calibration:
    """Return the calibration of left-out forecasts.

    References
    ----------
    Cox (1958), Biometrika 45, 562-565; Van Calster et al. (2016),
    doi:10.1016/j.jclinepi.2015.12.005.
    """
    reach = left_out.reach.mean(axis=0)
    came = design.y[:, None] >= np.arange(1, len(design.grades))
    slope, interval = _slope(design, fit, left_out.lean.mean(axis=0), confidence)
    return Calibration(
        slope=slope,
        slope_interval=interval,
        in_the_large=tuple(float(gap) for gap in (reach - came).mean(axis=0)),
        groups=_groups(design, reach[:, design.aim - 1]),
    )


def _slope(
    design: Design, fit: CumulativeFit, lean: FloatArray, confidence: float
) -> tuple[float | None, Interval | None]:
    """Return the slope of the grade on the left-out predictor, and its jackknife interval.

    The predictor alone is used, not the training set's thresholds: leaving out a good firing
    lowers them, so that with them even no effect at all would show a negative slope.
    """
    spread = float(lean.std())
    if spread <= 1e-9:
        return None, None
    X = ((lean - lean.mean()) / spread)[:, None]
    options = replace(FitOptions(), link=fit.options.link, penalty=Penalty.NONE)
    whole = fit_cumulative(X, design.y, len(design.grades), options=options)
    if whole.status is not FitStatus.CONVERGED:
        return None, None
    n_firings = len(design.firing_names)
    without = fit_many(
        X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=leave_one_out_weights(n_firings),
        start=whole,
    ).values[:, -1]
    slope = float(whole.slopes[0]) / spread
    error = float(jackknife_error(without)) / spread
    return slope, jackknife_interval(slope, error, n_firings - 1, confidence)


def _groups(design: Design, foretold: FloatArray) -> tuple[CalibrationGroup, ...]:
    """Return the groups, lowest foretold chance first."""
    seen = design.y >= design.aim
    order = np.argsort(foretold, kind="stable")
    return tuple(
        CalibrationGroup(
            foretold=float(foretold[rows].mean()),
            seen=float(seen[rows].mean()),
            pieces=len(rows),
            firings=len(set(design.firing[rows].tolist())),
        )
        for rows in np.array_split(order, min(GROUPS, len(order)))
    )
