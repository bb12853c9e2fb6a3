"""Each effect with the blanks filled in, beside the effect from complete pieces only."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.design.firings import find_firings, number_firings
from outcomes.design.matrix import build_columns
from outcomes.design.shapes import TREND
from outcomes.doubts.impute import Incomplete, impute
from outcomes.doubts.rubin import Pooled, pool_estimates
from outcomes.effects.averages import build_moved, predict_change
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.support import find_supported
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import is_graded
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import jackknife_error

LEAST_IMPUTATIONS = 20
FEW_LOST = 0.05  # of the graded pieces; under it complete pieces are enough (§10.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class ImputedEffect:
    """One effect twice: from complete pieces, and pooled over completed logs.

    ``complete`` and ``complete_error`` are the change and its standard error from the pieces
    that have every setting; ``pooled`` the change over all graded pieces.
    """

    outcome: str
    contrast: Contrast
    complete: float
    complete_error: float
    pooled: Pooled


@dataclass(frozen=True, slots=True, kw_only=True)
class ImputedStudy:
    """What filling in the blanks changes; ``pieces`` with them, ``complete`` without."""

    outcome: str
    pieces: int
    complete: int
    imputations: int
    effects: tuple[ImputedEffect, ...]


def impute_effects(
    log: FiringLog, evidence: Evidence, effects: Iterable[Effect], *, rng: np.random.Generator
) -> ImputedStudy | None:
    """Return the effects with blanks filled, or None where hardly a piece was lost to them.

    Parameters
    ----------
    log
        The log the design was built from.
    evidence, effects
        Of one outcome.
    rng
        The only source of chance.
    """
    design = evidence.design
    pieces = find_incomplete(log, design)
    lost = len(pieces.grade) - len(design.y)
    if lost <= FEW_LOST * len(pieces.grade):
        return None
    known = [e for e in effects if e.standard_error is not None and e.df is not None]
    m = max(LEAST_IMPUTATIONS, round(100.0 * lost / len(pieces.grade)))
    values, errors = [], []
    for frame in impute(pieces, m=m, rng=rng):
        changes, its_errors = _measure(_completed(design, pieces, frame), evidence, known)
        values.append(changes)
        errors.append(its_errors)
    return ImputedStudy(
        outcome=design.spec.outcome,
        pieces=len(pieces.grade),
        complete=len(design.y),
        imputations=m,
        effects=tuple(
            ImputedEffect(
                outcome=design.spec.outcome,
                contrast=effect.contrast,
                complete=effect.change,
                complete_error=effect.standard_error or 0.0,
                pooled=pool_estimates(
                    np.array(values)[:, j],
                    np.array(errors)[:, j] ** 2,
                    complete_df=effect.df or 1.0,
                ),
            )
            for j, effect in enumerate(known)
        ),
    )


def find_incomplete(log: FiringLog, design: Design) -> Incomplete:
    """Return all graded pieces of a design's outcome, blanks of its factors kept.

    Pieces with a grade that no complete piece has are left out.
    """
    outcome = log.codebook.outcome(design.spec.outcome)
    grade = log.values[outcome.name]
    rows = np.flatnonzero(is_graded(log, outcome) & grade.isin(design.grades))
    frame = log.values.iloc[rows].reset_index(drop=True)
    if TREND in design.frame:
        frame = frame.assign(**{TREND: _trend(frame[log.codebook.date], design, log)})
    firing, _ = number_firings(find_firings(log).labels[rows])
    return Incomplete(
        frame=frame,
        grade=np.searchsorted(design.grades, frame[outcome.name].to_numpy()).astype(np.int64),
        firing=firing,
        spec=design.spec,
    )


def _trend(dates: pd.Series, design: Design, log: FiringLog) -> FloatArray:
    """Return the days of the trend for any dates, on the design's own clock."""
    known = design.frame[log.codebook.date].notna()
    day = design.frame.loc[known, log.codebook.date].iloc[0]
    offset = float(design.frame.loc[known, TREND].iloc[0])
    return np.asarray((dates - day).dt.total_seconds() / 86400.0 + offset, dtype=float)


def _completed(design: Design, pieces: Incomplete, frame: pd.DataFrame) -> Design:
    """Return the design of one completed log; its columns keep their recipe."""
    names = tuple(str(g) for g in range(int(pieces.firing.max()) + 1))
    return replace(
        design,
        X=build_columns(frame, design.spec),
        y=pieces.grade,
        firing=pieces.firing,
        rows=np.arange(len(frame)),
        frame=frame,
        firing_names=names,
    )


def _measure(
    design: Design, evidence: Evidence, effects: Iterable[Effect]
) -> tuple[FloatArray, FloatArray]:
    """Return every effect's change and jackknife error on one completed log."""
    n_grades, n_firings = len(design.grades), len(design.firing_names)
    fit = fit_cumulative(design.X, design.y, n_grades, options=evidence.fit.options)
    without = fit_many(
        design.X,
        design.y,
        n_grades,
        firing=design.firing,
        firing_weights=leave_one_out_weights(n_firings),
        start=fit,
    ).values
    changes, errors = [], []
    for effect in effects:
        supported = find_supported(design, effect.contrast, evidence.codebook)
        all_changes = predict_change(
            build_moved(design, effect.contrast, supported),
            np.vstack([fit.parameters(), without]),
            n_grades=n_grades,
            grade=design.aim,
            link=evidence.link,
        )
        changes.append(float(all_changes[0]))
        errors.append(float(jackknife_error(all_changes[1:])))
    return np.array(changes), np.array(errors)
