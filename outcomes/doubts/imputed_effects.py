"""Each effect with the blanks filled in, beside the effect from complete pieces only."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import Design, FloatArray
from outcomes.design.firings import find_firings, number_firings
from outcomes.design.matrix import build_columns, find_term
from outcomes.design.shapes import TREND
from outcomes.doubts.impute import Incomplete, impute
from outcomes.doubts.rubin import Pooled, pool_estimates
from outcomes.effects.averages import Moved, build_moved
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.measured import predict_changes
from outcomes.effects.support import find_supported
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import is_graded
from outcomes.model.batched import fit_many
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import jackknife_error

LEAST_IMPUTATIONS = 20
FEW_LOST = 0.05  # of the graded pieces; under it complete pieces are enough (§10.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class ImputedEffect:
    """One effect twice: from complete pieces, and pooled over completed logs.

    ``complete`` and ``complete_error`` are the change and its standard error from the pieces
    that have every setting; ``pooled`` the change over all graded pieces; both errors, and
    ``gap_error``, leave out each firing, so that all three tell of the same firings: the last is
    the standard error of the difference of the two, with ``gap_df`` degrees of freedom
    (Hausman 1978 compares two estimates so, doi:10.2307/1913827).
    """

    outcome: str
    contrast: Contrast
    complete: float
    complete_error: float
    pooled: Pooled
    gap_error: float
    gap_df: float


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
    completed = list(impute(pieces, m=m, rng=rng))
    whole = _whole(design, pieces, completed[0].build_frame(pieces))
    arms = [_build_arm(whole, effect.contrast, evidence) for effect in known]
    measured = [_measure(replace(whole, X=one.X), evidence, arms) for one in completed]
    changes = np.array(measured)  # (m, contrasts, 1 + G)
    complete = [_complete_without(pieces, evidence, effect.contrast) for effect in known]
    return ImputedStudy(
        outcome=design.spec.outcome,
        pieces=len(pieces.grade),
        complete=len(design.y),
        imputations=m,
        effects=tuple(_pool(effect, changes[:, j], complete[j]) for j, effect in enumerate(known)),
    )


def _pool(effect: Effect, changes: FloatArray, complete: FloatArray) -> ImputedEffect:
    """Return one effect from complete pieces beside the one pooled over completed logs.

    ``changes`` (m, 1 + G) and ``complete`` (G,): each with all firings first, then without one.
    """
    errors = jackknife_error(changes[:, 1:].T)
    return ImputedEffect(
        outcome=effect.outcome,
        contrast=effect.contrast,
        complete=effect.change,
        complete_error=float(jackknife_error(complete)),
        pooled=pool_estimates(changes[:, 0], errors**2, complete_df=effect.df or 1.0),
        gap_error=float(jackknife_error(changes[:, 1:].mean(axis=0) - complete)),
        gap_df=effect.df or 1.0,
    )


def _complete_without(pieces: Incomplete, evidence: Evidence, contrast: Contrast) -> FloatArray:
    """Return a change from complete pieces without each firing of all pieces, shape (G,).

    A firing without a complete piece changes nothing by being left out.
    """
    design = evidence.design
    place = {name: g for g, name in enumerate(design.firing_names)}
    whole = evidence.fit.parameters()
    parameters = np.array(
        [evidence.without[place[name]] if name in place else whole for name in pieces.firing_names]
    )
    supported = find_supported(design, contrast, evidence.codebook)
    return predict_changes(evidence, build_moved(design, contrast, supported), parameters)


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
    firing, names = number_firings(find_firings(log).labels[rows])
    return Incomplete(
        frame=frame,
        grade=np.searchsorted(design.grades, frame[outcome.name].to_numpy()).astype(np.int64),
        firing=firing,
        firing_names=names,
        spec=design.spec,
    )


def _trend(dates: pd.Series, design: Design, log: FiringLog) -> FloatArray:
    """Return the days of the trend for any dates, on the design's own clock."""
    known = design.frame[log.codebook.date].notna()
    day = design.frame.loc[known, log.codebook.date].iloc[0]
    offset = float(design.frame.loc[known, TREND].iloc[0])
    return np.asarray((dates - day).dt.total_seconds() / 86400.0 + offset, dtype=float)


def _whole(design: Design, pieces: Incomplete, frame: pd.DataFrame) -> Design:
    """Return the design of one completed log; its columns keep their recipe."""
    return replace(
        design,
        X=build_columns(frame, design.spec),
        y=pieces.grade,
        firing=pieces.firing,
        rows=np.arange(len(frame)),
        frame=frame,
        firing_names=pieces.firing_names,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Arm:
    """What a contrast sets: pieces averaged over, columns (c,), start values (c,), shift (p,)."""

    supported: NDArray[np.bool_]
    slots: tuple[int, ...]
    start: FloatArray
    shift: FloatArray


def _build_arm(design: Design, contrast: Contrast, evidence: Evidence) -> _Arm:
    """Return a contrast made ready once for all completed logs.

    The pieces to average over hardly depend on the fills: those of the first log serve.
    """
    supported = find_supported(design, contrast, evidence.codebook)
    slots = find_term(design.spec, contrast.factor).slots
    moved = build_moved(design, contrast, supported)
    return _Arm(
        supported=supported if supported.any() else np.ones_like(supported),
        slots=slots,
        start=moved.columns[0, list(slots)],
        shift=moved.shift,
    )


def _measure(design: Design, evidence: Evidence, arms: Sequence[_Arm]) -> list[FloatArray]:
    """Return every contrast's change on one completed log: all firings, then without each."""
    without = leave_one_out_weights(len(design.firing_names))
    parameters = fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=np.vstack([np.ones_like(without[:1]), without]),
        start=evidence.fit,
    ).values
    changes = []
    for arm in arms:
        columns = design.X[arm.supported]
        columns[:, arm.slots] = arm.start
        moved = Moved(columns=columns, shift=arm.shift)
        changes.append(predict_changes(evidence, moved, parameters))
    return changes
