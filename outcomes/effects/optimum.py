"""The best value of a setting inside the range that was tried, and how well it is known.

Under one set of slopes the top is the same for every grade boundary and every piece: it lies
where the setting's own part of the linear predictor is largest.

A parabola's value stays in the set of possible best values as long as the slope there cannot be
told from 0 by the jackknife, and no slope points away from it: one clearly rising above it, or
clearly falling below it, would carry the top off. With clear curvature this is Fieller's set,
see `fieller`.

A spline's slope is told far less surely than its height, and it can bend anywhere. There a
value stays as long as its height cannot be told from that of the estimated top, by a band that
holds for all values at once (see `bands`).

A limit that no slope gives is the edge of what was tried, and is said to be. A best range is
claimed only when both ends slope clearly toward its middle (Lind & Mehlum 2010,
doi:10.1111/j.1468-0084.2009.00569.x).
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from outcomes.design.design import FloatArray
from outcomes.effects.along import Path, build_path, columns_at
from outcomes.effects.bands import band_quantile
from outcomes.effects.best_value import BestKind, Optimum
from outcomes.effects.evidence import Evidence
from outcomes.effects.fieller import build_fieller_set
from outcomes.effects.near_best import find_near_best, goal_sign
from outcomes.effects.optimum_words import describe_optimum
from outcomes.log.codebook import Shape
from outcomes.resampling.firings import effective_firings
from outcomes.resampling.intervals import FEWEST_FIRINGS, effective_df, jackknife_covariance

__all__ = ["BestKind", "Optimum", "find_optimum"]

POINTS = 201


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Limits:
    """The kind of a set and its limits."""

    kind: BestKind
    low: float
    high: float


def find_optimum(evidence: Evidence, factor: str, *, confidence: float = 0.95) -> Optimum | None:
    """Return the best value of a numeric setting.

    Parameters
    ----------
    evidence
        One outcome's fit and replicates.
    factor
        A setting with a numeric shape; meant for windows, right for any.
    confidence
        Of the set of possible best values.

    Returns
    -------
    Optimum or None
        None when the tried range holds one value only.

    Raises
    ------
    KeyError
        If the model does not hold the factor.
    """
    path = build_path(evidence.design, factor, points=POINTS)
    near = find_near_best(evidence, factor)
    if path is None or near is None:
        return None
    slots = list(path.term.slots)
    height = goal_sign(evidence) * (path.columns @ evidence.fit.slopes[slots])
    best = _top(height, path.values)
    limits = _find_limits(evidence, path, best, confidence)
    edges = (float(path.values[0]), float(path.values[-1]))
    known = limits is not None
    kind = BestKind.OPEN if limits is None else limits.kind
    found = Optimum(
        outcome=evidence.design.spec.outcome,
        factor=factor,
        kind=kind,
        best=best,
        low=edges[0] if limits is None else limits.low,
        high=edges[1] if limits is None else limits.high,
        tried_low=edges[0],
        tried_high=edges[1],
        confidence=confidence if known else None,
        near=near,
        sentence="",
    )
    return replace(found, sentence=describe_optimum(found, evidence.codebook))


def slope_along(path: Path) -> FloatArray:
    """Return the derivative of a term's columns by the setting's value, shape (m, c)."""
    return np.asarray(np.gradient(path.columns, path.values, axis=0, edge_order=2))


def _top(height: FloatArray, values: FloatArray) -> float:
    """Return where a curve on a grid is highest, by the parabola through the three best."""
    m = int(np.argmax(height))
    if m in (0, len(height) - 1):
        return float(values[m])
    before, at, after = height[m - 1 : m + 2]
    bend = before - 2.0 * at + after
    shift = 0.5 * (before - after) / bend if bend < 0.0 else 0.0
    return float(values[m] + shift * (values[1] - values[0]))


def _find_limits(evidence: Evidence, path: Path, best: float, confidence: float) -> _Limits | None:
    """Return the set of possible best values; None under the floors."""
    if evidence.n_firings < FEWEST_FIRINGS or not evidence.jackknife_ok:
        return None
    slots = list(path.term.slots)
    if len(slots) > 2:
        return _compare_heights(evidence, path, best, confidence)
    along = goal_sign(evidence) * slope_along(path)
    covariance = _slope_covariance(evidence, slots)
    steepness = (along @ evidence.fit.slopes[slots]) / _errors(along, covariance)
    t = -float(special.stdtrit(_df(evidence, along, slots), 0.5 * (1.0 - confidence)))
    limits = _cut(_sort_out(steepness, t, path.values, best=best), path)
    if limits.kind is not BestKind.INSIDE or path.term.shape is not Shape.WINDOW:
        return limits
    # Both ends slope clearly inward, so the curvature is clear and the set bounded: the closed
    # form in place of the grid's limits.
    slope, bend = (float(b) for b in evidence.fit.slopes[slots])
    exact = build_fieller_set(slope, bend, covariance, t)
    low, high = (path.term.centre + path.term.scale * u for u in (exact.low, exact.high))
    return replace(limits, low=low, high=high)


def _compare_heights(evidence: Evidence, path: Path, best: float, confidence: float) -> _Limits:
    """Return the limits of a spline: where it is clearly lower than at its top."""
    slots = list(path.term.slots)
    top = columns_at(path.term, np.array([best]))
    apart = path.values - best
    away = np.abs(apart) > 1e-6 * (path.values[-1] - path.values[0])
    values = path.values[away]
    rise = goal_sign(evidence) * (top - path.columns[away]) / -apart[away, None]
    covariance = _slope_covariance(evidence, slots)
    c = band_quantile(rise, covariance, df=_df(evidence, rise, slots), confidence=confidence)
    steepness = (rise @ evidence.fit.slopes[slots]) / _errors(rise, covariance)
    return _cut(_sort_out(steepness, c, values, best=best), path)


def _slope_covariance(evidence: Evidence, slots: list[int]) -> FloatArray:
    return jackknife_covariance(evidence.without[:, evidence.n_grades - 1 :][:, slots])


def _errors(rows: FloatArray, covariance: FloatArray) -> FloatArray:
    return np.asarray(np.sqrt(np.maximum(np.einsum("mc,cd,md->m", rows, covariance, rows), 1e-300)))


def _df(evidence: Evidence, along: FloatArray, slots: list[int]) -> float:
    """Return the degrees of freedom of the slopes: those of the middling one of nine.

    One number for the whole curve: at its very ends few firings say anything, and the limits
    are rarely decided there.
    """
    chosen = np.linspace(0, len(along) - 1, 9).round().astype(int)
    effective = []
    for row in along[chosen]:
        gradient = np.zeros(evidence.fit.covariance.shape[0])
        gradient[evidence.n_grades - 1 + np.array(slots)] = row
        effective.append(effective_firings(gradient, evidence.fit.covariance, evidence.information))
    return effective_df(evidence.n_firings, float(np.median(effective)))


def _cut(limits: _Limits, path: Path) -> _Limits:
    """Put the open ends at the edges of what was tried."""
    no_low = limits.kind in {BestKind.AT_MOST, BestKind.FALLING, BestKind.ENDS, BestKind.OPEN}
    no_high = limits.kind in {BestKind.AT_LEAST, BestKind.RISING, BestKind.ENDS, BestKind.OPEN}
    return replace(
        limits,
        low=float(path.values[0]) if no_low else limits.low,
        high=float(path.values[-1]) if no_high else limits.high,
    )


def _sort_out(steepness: FloatArray, t: float, values: FloatArray, *, best: float) -> _Limits:
    """Return what the t of the slope at every value says; open ends are the first and last."""
    edges = float(values[0]), float(values[-1])
    rising, falling = np.flatnonzero(steepness > t), np.flatnonzero(steepness < -t)
    low = _crossing(steepness - t, int(rising[-1]), values) if rising.size else edges[0]
    high = edges[1]
    if falling.size:
        back = len(values) - 1 - int(falling[0])
        high = _crossing((-steepness - t)[::-1], back, values[::-1])
    if rising.size and falling.size:
        if low <= high:
            return _Limits(kind=BestKind.INSIDE, low=low, high=high)
        return _Limits(kind=BestKind.ENDS, low=edges[0], high=edges[1])
    if rising.size:
        kind = BestKind.RISING if best >= edges[1] else BestKind.AT_LEAST
        return _Limits(kind=kind, low=low, high=edges[1])
    if falling.size:
        kind = BestKind.FALLING if best <= edges[0] else BestKind.AT_MOST
        return _Limits(kind=kind, low=edges[0], high=high)
    return _Limits(kind=BestKind.OPEN, low=edges[0], high=edges[1])


def _crossing(excess: FloatArray, last: int, values: FloatArray) -> float:
    """Return where the excess falls to 0 after its last positive value, by a straight line."""
    if last == len(values) - 1:
        return float(values[last])
    share = excess[last] / (excess[last] - excess[last + 1])
    return float(values[last] + share * (values[last + 1] - values[last]))
