"""Each effect at every grade boundary: with one slope for all (tied) and with its own (free).

The free numbers come from a fit in which the factor concerned has its own slopes at every
boundary and all others stay tied. Their errors are the jackknife's with one Newton step a
firing. The test of "alike at every grade" compares the K-1 binary logits of "at grade k or
above" through the joint delete-one-firing covariance of their slopes::

    F = W (G - q) / (q (G - 1))   on (q, G - q) degrees of freedom

and a trend over the boundaries (centred scores, t with G - 1). Size found by simulation at
5 %: 5-6 %, where likelihood ratio and Brant reject 8-9 % and the sandwich 11-36 %
(method_in_depth.md §12). Not tested under 24 firings or where a boundary has pieces of fewer
than three firings on one side.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from outcomes.design.design import Design, FloatArray
from outcomes.design.matrix import find_term
from outcomes.doubts.free_slopes import FreeFit, fit_free_slopes, step_without_firings
from outcomes.doubts.free_table import build_table
from outcomes.effects.averages import Moved, build_moved, predict_change
from outcomes.effects.contrasts import is_judged
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.support import find_supported
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import jackknife_covariance, jackknife_error, two_sided_p

LEAST_FIRINGS = 24
LEAST_SIDE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class CutChange:
    """One effect at one boundary.

    Parameters
    ----------
    level
        Name of the grade: "this or above".
    tied, free
        Change of P(grade at it or above), one slope for all boundaries or its own.
    tied_error, free_error
        Their jackknife standard errors.
    """

    level: str
    tied: float
    free: float
    tied_error: float
    free_error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeEffect:
    """One factor's effect at every boundary, lowest first.

    ``f_value``, ``f_df`` and ``p_value`` are of the joint test, ``trend_p`` of the trend over
    boundaries; None where the log is too small to test. ``on_border`` is True when the free
    fit gives some grade no chance for some piece; its errors are then rough.
    """

    outcome: str
    contrast: Contrast
    cuts: tuple[CutChange, ...]
    on_border: bool
    f_value: float | None = None
    f_df: tuple[int, int] | None = None
    p_value: float | None = None
    trend_p: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutLogits:
    """Slopes of the K-1 binary logits (K-1, p) and without each firing (G, K-1, p)."""

    slopes: FloatArray
    without: FloatArray


def measure_grade_effects(evidence: Evidence, effects: Iterable[Effect]) -> tuple[GradeEffect, ...]:
    """Return the effect of each judged setting at every grade boundary.

    Returns
    -------
    tuple of GradeEffect
        Empty for a yes/no outcome, and where the jackknife failed.
    """
    if evidence.n_grades < 3 or not evidence.jackknife_ok:
        return ()
    judged = [
        effect
        for effect in effects
        if is_judged(effect.contrast, evidence.codebook) and effect.standard_error is not None
    ]
    logits = fit_cut_logits(evidence) if judged and is_testable(evidence.design) else None
    return tuple(_grade_effect(evidence, effect.contrast, logits) for effect in judged)


def is_testable(design: Design) -> bool:
    """Return whether there are firings enough on both sides of every boundary."""
    if len(design.firing_names) < LEAST_FIRINGS:
        return False
    for k in range(1, len(design.grades)):
        above = design.y >= k
        sides = (design.firing[above], design.firing[~above])
        if min(len(np.unique(side)) for side in sides) < LEAST_SIDE:
            return False
    return True


def fit_cut_logits(evidence: Evidence) -> CutLogits:
    """Return the K-1 binary fits and their refits without each firing."""
    design, options = evidence.design, evidence.fit.options
    weights = leave_one_out_weights(evidence.n_firings)
    slopes, without = [], []
    for k in range(1, evidence.n_grades):
        above = (design.y >= k).astype(np.int64)
        fit = fit_cumulative(design.X, above, 2, options=options)
        many = fit_many(design.X, above, 2, firing=design.firing, firing_weights=weights, start=fit)
        slopes.append(fit.slopes)
        without.append(many.values[:, 1:])
    return CutLogits(slopes=np.array(slopes), without=np.stack(without, axis=1))


def f_test(values: FloatArray, without: FloatArray) -> tuple[float, tuple[int, int], float]:
    """Return F, its degrees of freedom and p of "all these are 0", by the firing jackknife.

    Parameters
    ----------
    values, without : array, shape (q,) and (G, q)
        The quantities, and without each firing.
    """
    n_firings, q = without.shape
    wald = float(values @ np.linalg.pinv(jackknife_covariance(without), hermitian=True) @ values)
    statistic = wald * (n_firings - q) / (q * (n_firings - 1))
    df = (q, n_firings - q)
    return statistic, df, float(special.fdtrc(*df, statistic))


def _grade_effect(evidence: Evidence, contrast: Contrast, logits: CutLogits | None) -> GradeEffect:
    """Return one factor's effect at every boundary."""
    design = evidence.design
    term = find_term(design.spec, contrast.factor)
    table = build_table(
        design.X,
        design.y,
        n_grades=evidence.n_grades,
        free=term.slots,
        options=evidence.fit.options,
    )
    fit = fit_free_slopes(table, evidence.fit)
    without = step_without_firings(table, fit, design.firing)
    moved = build_moved(design, contrast, find_supported(design, contrast, evidence.codebook))
    made = GradeEffect(
        outcome=design.spec.outcome,
        contrast=contrast,
        cuts=_cuts(evidence, moved, fit, without),
        on_border=fit.on_border,
    )
    return made if logits is None else _with_test(made, logits, term.slots, moved.shift)


def _cuts(
    evidence: Evidence, moved: Moved, fit: FreeFit, without: FloatArray
) -> tuple[CutChange, ...]:
    """Return the tied and the free change at every boundary."""
    design = evidence.design
    levels = evidence.codebook.outcome(design.spec.outcome).levels
    left_thresholds, left_slopes = fit.layout.thresholds_slopes(without)
    slopes_at = evidence.n_grades - 1
    tied = np.vstack([evidence.fit.parameters(), evidence.without])
    cuts = []
    for k in range(slopes_at):
        free = np.vstack(
            [
                np.concatenate([fit.thresholds[k : k + 1], fit.slopes[k]]),
                np.hstack([left_thresholds[:, k : k + 1], left_slopes[:, k]]),
            ]
        )
        free_change, free_error = _at_cut(evidence, moved, free)
        tied_change, tied_error = _at_cut(
            evidence, moved, np.hstack([tied[:, k : k + 1], tied[:, slopes_at:]])
        )
        cuts.append(
            CutChange(
                level=levels[design.grades[k + 1]].name,
                tied=tied_change,
                free=free_change,
                tied_error=tied_error,
                free_error=free_error,
            )
        )
    return tuple(cuts)


def _at_cut(evidence: Evidence, moved: Moved, parameters: FloatArray) -> tuple[float, float]:
    """Return change and error at one boundary; the first row is the fit, the rest without one."""
    changes = predict_change(moved, parameters, n_grades=2, grade=1, link=evidence.link)
    return float(changes[0]), float(jackknife_error(changes[1:]))


def _with_test(
    made: GradeEffect, logits: CutLogits, slots: tuple[int, ...], shift: FloatArray
) -> GradeEffect:
    """Return the record with its joint test and its trend over boundaries."""
    mine, left = logits.slopes[:, slots], logits.without[:, :, slots]
    n_firings, cuts = left.shape[:2]
    gaps, left_gaps = (mine[1:] - mine[0]).ravel(), (left[:, 1:] - left[:, :1])
    q = len(gaps)
    tested = f_test(gaps, left_gaps.reshape(n_firings, q)) if q < n_firings // 2 else None
    scores = np.arange(cuts) - (cuts - 1) / 2.0
    along, left_along = mine @ shift[list(slots)] @ scores, left @ shift[list(slots)] @ scores
    trend = two_sided_p(float(along), float(jackknife_error(left_along)), n_firings - 1)
    return replace(
        made,
        f_value=tested[0] if tested else None,
        f_df=tested[1] if tested else None,
        p_value=tested[2] if tested else None,
        trend_p=trend,
    )
