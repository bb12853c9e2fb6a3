"""One contrast measured: its estimate, its standard error, what it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.design.design import FloatArray
from outcomes.effects.averages import (
    Moved,
    build_moved,
    change_gradient,
    predict_change,
    predict_rates,
)
from outcomes.effects.effect import Contrast
from outcomes.effects.evidence import Evidence
from outcomes.effects.support import find_supported, spread_evenly
from outcomes.resampling.firings import effective_firings
from outcomes.resampling.intervals import FEWEST_FIRINGS, jackknife_error, two_sided_p
from outcomes.resampling.leverage import corrected_error

MOST_CHANCES: Final = 4_000_000
THINNED_CHANCES: Final = 2_000_000
FEWEST_THINNED: Final = 500
CLEAR = 0.05  # p value below which an effect stands without its most telling firing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """One candidate contrast before its intervals.

    ``supported``, shape (n,), are the pieces averaged over; ``gradient``, shape (q,), is the
    change's derivative by the parameters; ``without`` holds the change without each firing,
    shape (G,); ``error`` and ``df`` are the firing-score standard error and its degrees of
    freedom, None under the floors.
    """

    contrast: Contrast
    moved: Moved
    supported: NDArray[np.bool_]
    gradient: FloatArray
    rate_from: float
    rate_to: float
    without: FloatArray
    effective: float
    error: float | None
    df: float | None

    @property
    def change(self) -> float:
        """Return rate_to - rate_from."""
        return self.rate_to - self.rate_from


def measure_contrast(evidence: Evidence, contrast: Contrast) -> Measured:
    """Return a contrast's estimate, standard error and effective firings."""
    design = evidence.design
    supported = find_supported(design, contrast, evidence.codebook)
    moved = build_moved(design, contrast, supported)
    rate_from, rate_to = predict_rates(
        moved,
        evidence.fit.parameters()[None, :],
        n_grades=evidence.n_grades,
        grade=design.aim,
        link=evidence.link,
    )
    gradient = change_gradient(
        moved,
        evidence.fit.parameters(),
        n_grades=evidence.n_grades,
        grade=design.aim,
        link=evidence.link,
    )
    allowed = evidence.n_firings >= FEWEST_FIRINGS and evidence.jackknife_ok
    error, df = corrected_error(gradient, evidence.pull)
    return Measured(
        contrast=contrast,
        moved=moved,
        supported=supported,
        gradient=gradient,
        rate_from=float(rate_from[0]),
        rate_to=float(rate_to[0]),
        without=predict_changes(evidence, moved, evidence.without),
        effective=effective_firings(gradient, evidence.fit.covariance, evidence.information),
        error=error if allowed else None,
        df=df if allowed else None,
    )


def draw_changes(evidence: Evidence, contrasts: Iterable[Contrast]) -> FloatArray:
    """Return the change of each contrast in each redraw, shape (B, J)."""
    columns = []
    for contrast in contrasts if len(evidence.redraws) else ():
        supported = find_supported(evidence.design, contrast, evidence.codebook)
        moved = build_moved(evidence.design, contrast, supported)
        columns.append(predict_changes(evidence, moved, evidence.redraws))
    if not columns:
        return np.empty((len(evidence.redraws), 0))
    return np.column_stack(columns)


def predict_changes(evidence: Evidence, moved: Moved, parameters: FloatArray) -> FloatArray:
    """Return the change in each replicate, shape (B,).

    Notes
    -----
    Over 4 million chances (2 000 pieces in 2 000 replicates) are not computed: how far a
    replicate lies from the fit is then averaged over evenly spaced pieces and added to the
    fit's change, which is averaged over all. So only the distance carries an error, of one or
    two in a hundred of itself.
    """
    most = count_averaged(len(parameters), len(moved.columns))
    if most == len(moved.columns):
        return _changes(evidence, moved, parameters)
    few = replace(moved, columns=moved.columns[spread_evenly(len(moved.columns), most)])
    fitted = evidence.fit.parameters()[None, :]
    away = _changes(evidence, few, parameters) - _changes(evidence, few, fitted)
    return _changes(evidence, moved, fitted) + away


def count_averaged(replicates: int, pieces: int) -> int:
    """Return over how many of so many pieces a replicate's distance from the fit is averaged.

    >>> count_averaged(2000, 384), count_averaged(2000, 100_000)
    (384, 1000)
    """
    if replicates * pieces <= MOST_CHANCES:
        return pieces
    return min(pieces, max(FEWEST_THINNED, THINNED_CHANCES // replicates))


def _changes(evidence: Evidence, moved: Moved, parameters: FloatArray) -> FloatArray:
    return predict_change(
        moved,
        parameters,
        n_grades=evidence.n_grades,
        grade=evidence.design.aim,
        link=evidence.link,
    )


def strength(measured: Measured) -> float:
    """Return |t|, or |change| where there is no standard error."""
    if not measured.error:
        return abs(measured.change)
    return abs(measured.change) / measured.error


def is_fragile(evidence: Evidence, measured: Measured) -> bool:
    """Return whether one firing decides.

    It does when a fit without one firing failed, when leaving one out turns the sign, or when
    one holds more than half of the jackknife's variance and the change would not be clear at
    5 % without it.

    method_in_depth.md §15 asks whether one firing moves the change by more than its standard
    error. The squared jackknife error is nearly the sum of all the squared moves, so that can
    hardly happen; a single firing holding more than half of that sum is the same idea,
    attainable. An effect that is as clear without that firing does not hang on it.
    """
    if not evidence.jackknife_ok:
        return True
    if measured.error is None:
        return False
    if (np.sign(measured.without) != np.sign(measured.change)).any():
        return True
    moves = (measured.without - measured.without.mean()) ** 2
    if not moves.max() > 0.5 * moves.sum() > 0.0:
        return False
    return not _is_clear_without(measured, int(np.argmax(moves)))


def _is_clear_without(measured: Measured, firing: int) -> bool:
    """Return whether the other firings alone tell the change from none, by their own moves."""
    error = float(jackknife_error(np.delete(measured.without, firing)))
    p = two_sided_p(float(measured.without[firing]), error, (measured.df or 1.0) - 1.0)
    return p * measured.contrast.comparisons < CLEAR
