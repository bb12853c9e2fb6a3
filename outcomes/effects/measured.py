"""One contrast measured: its estimate, its standard error, what it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

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
from outcomes.effects.support import find_supported
from outcomes.resampling.firings import effective_firings
from outcomes.resampling.intervals import FEWEST_FIRINGS, effective_df, jackknife_error


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """One candidate contrast before its intervals.

    ``without`` holds the change without each firing, shape (G,); ``error`` and ``df`` are
    None under the floors.
    """

    contrast: Contrast
    moved: Moved
    pieces: int
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
    without = predict_changes(evidence, moved, evidence.without)
    effective = _effective(evidence, moved)
    allowed = evidence.n_firings >= FEWEST_FIRINGS and evidence.jackknife_ok
    return Measured(
        contrast=contrast,
        moved=moved,
        pieces=int(supported.sum()),
        rate_from=float(rate_from[0]),
        rate_to=float(rate_to[0]),
        without=without,
        effective=effective,
        error=float(jackknife_error(without)) if allowed else None,
        df=effective_df(evidence.n_firings, effective) if allowed else None,
    )


def draw_changes(evidence: Evidence, contrasts: Iterable[Contrast]) -> FloatArray:
    """Return the change of each contrast in each redraw, shape (B, J)."""
    columns = []
    for contrast in contrasts:
        supported = find_supported(evidence.design, contrast, evidence.codebook)
        moved = build_moved(evidence.design, contrast, supported)
        columns.append(predict_changes(evidence, moved, evidence.redraws))
    if not columns:
        return np.empty((len(evidence.redraws), 0))
    return np.column_stack(columns)


def predict_changes(evidence: Evidence, moved: Moved, parameters: FloatArray) -> FloatArray:
    """Return the change in each replicate, shape (B,)."""
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
    """Return whether one firing decides: a failed fit, a changed sign, half the variance.

    method_in_depth.md §15 asks whether one firing moves the change by more than its standard
    error. The squared error is nearly the sum of all the squared moves, so that can hardly
    happen; a single firing holding more than half of that sum is the same idea, attainable.
    """
    if not evidence.jackknife_ok:
        return True
    if measured.error is None:
        return False
    if (np.sign(measured.without) != np.sign(measured.change)).any():
        return True
    moves = (measured.without - measured.without.mean()) ** 2
    return bool(moves.max() > 0.5 * moves.sum() > 0.0)


def _effective(evidence: Evidence, moved: Moved) -> float:
    gradient = change_gradient(
        moved,
        evidence.fit.parameters(),
        n_grades=evidence.n_grades,
        grade=evidence.design.aim,
        link=evidence.link,
    )
    return effective_firings(gradient, evidence.fit.covariance, evidence.information)
