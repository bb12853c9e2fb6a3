"""A curve as a panel to be drawn: in the reader's unit, in order, with its safety notes."""

from dataclasses import replace

import numpy as np

from outcomes.effects.effect import Curve
from outcomes.report.cautions import find_cautions, find_curve_cautions
from outcomes.report.drawings import CurvePanel
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy

MANY_POINTS = 31


def order_levels(curve: Curve, teller: Teller) -> Curve:
    """Return a curve over levels in the codebook's order; any other curve as it is."""
    factor = teller.factor(curve.factor)
    if not isinstance(curve.at, tuple) or factor is None or not set(curve.at) <= set(factor.levels):
        return curve
    order = sorted(range(len(curve.at)), key=lambda slot: factor.levels.index(str(curve.at[slot])))
    return replace(
        curve,
        at=tuple(str(curve.at[slot]) for slot in order),
        chance=curve.chance[order],
        reach=curve.reach[order],
        reach_low=curve.reach_low[order],
        reach_high=curve.reach_high[order],
    )


def find_all_cautions(part: OutcomeStudy, curve: Curve, teller: Teller) -> tuple[str, ...]:
    """Return the safety notes of a curve: its own shape's, and those of the comparison."""
    compared = [e for e in part.effects if e.contrast.factor == curve.factor]
    notes = (
        *find_cautions(compared, part.outcome, teller),
        *find_curve_cautions(curve, part.outcome, teller),
    )
    return tuple(dict.fromkeys(notes))


def name_axis(factor: str, teller: Teller) -> str:
    """Return a factor's label with the unit shown."""
    unit = teller.unit_word(factor)
    return f"{teller.label(factor)} ({unit})" if unit else teller.label(factor)


def build_panel(curve: Curve, teller: Teller, *, title: str) -> CurvePanel:
    """Return a curve in the reader's unit and on the pieces-per-100 scale."""
    limits = np.column_stack([curve.reach_low, curve.reach_high])
    known = bool(np.isfinite(limits).all())
    curve = thin_out(curve)
    return CurvePanel(
        title=title,
        at=_shown(curve.at, curve.factor, teller),
        chance=tuple(_per_100(column) for column in curve.chance.T),
        reach=_per_100(curve.reach),
        low=_per_100(curve.reach_low) if known else (),
        high=_per_100(curve.reach_high) if known else (),
        rug=_shown(curve.logged, curve.factor, teller),
    )


def thin_out(curve: Curve) -> Curve:
    """Return a curve of numbers with every second of its many points: the eye sees no corner."""
    n = len(curve.at)
    if isinstance(curve.at, tuple) or n < MANY_POINTS:
        return curve
    kept = np.unique(np.r_[0:n:2, n - 1])
    return replace(
        curve,
        at=curve.at[kept],
        chance=curve.chance[kept],
        reach=curve.reach[kept],
        reach_low=curve.reach_low[kept],
        reach_high=curve.reach_high[kept],
    )


def _shown(
    values: np.ndarray | tuple[str, ...], factor: str, teller: Teller
) -> tuple[float, ...] | tuple[str, ...]:
    if isinstance(values, tuple):
        return values
    known = values[np.isfinite(values)]
    return tuple(round(teller.in_shown_unit(float(value), factor), 3) for value in known)


def _per_100(shares: np.ndarray) -> tuple[float, ...]:
    return tuple(round(100 * float(share), 3) for share in shares)
