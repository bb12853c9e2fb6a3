"""A large log's doubts are asked of some of its firings, and that is said.

Doubts refit the model over and over: without each firing, for each subset of factors, for each
grade boundary, with blanks filled in. Their cost grows with firings times pieces, and what they
ask (does another kind of model do better, does a boundary behave differently) needs
hundreds of firings, not thousands. So past a quarter of a million of those, every k-th firing
answers. Estimates, intervals, ranks and the influence of single firings always rest on the
whole log.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from outcomes.design.design import Design
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.finding import Finding, Severity
from outcomes.log.derived_swap import Swap
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import firing_labels
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import leave_one_out_weights

MOST_FIRINGS_TIMES_PIECES: Final = 250_000
CODE: Final = "asked_of_some_firings"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sample:
    """What the doubts are asked of: a log, its evidence; ``findings`` say so where it is a part."""

    log: FiringLog
    evidence: Evidence
    findings: tuple[Finding, ...] = ()

    def thin(self, swap: Swap) -> Swap:
        """Return a swap's two logs with the sample's firings only."""
        if not self.findings:
            return swap
        names = self.evidence.design.firing_names
        logged, computed = (take_firings(log, names)[0] for log in (swap.logged, swap.computed))
        return replace(swap, logged=logged, computed=computed)

    def estimate(self, effects: Sequence[Effect], *, confidence: float) -> tuple[Effect, ...]:
        """Return the effects as the sample alone shows them, with the whole log's verdicts."""
        if not self.findings:
            return tuple(effects)
        again = estimate_contrasts(
            self.evidence, [effect.contrast for effect in effects], confidence=confidence
        )
        return tuple(
            replace(mine, verdict=whole.verdict, p_adjusted=whole.p_adjusted)
            for mine, whole in zip(again, effects, strict=True)
        )


def choose_stride(firings: int, pieces: int) -> int:
    """Return k: the doubts are asked of every k-th firing.

    >>> choose_stride(48, 384), choose_stride(2000, 100_000)
    (1, 29)
    """
    return max(1, math.ceil(math.sqrt(firings * pieces / MOST_FIRINGS_TIMES_PIECES)))


def sample_firings(log: FiringLog, evidence: Evidence) -> Sample:
    """Return every k-th firing of a large log, refitted; all of a log that is not large.

    Parameters
    ----------
    log
        As analysed.
    evidence
        One outcome's, of the whole log.
    """
    design = evidence.design
    stride = choose_stride(evidence.n_firings, len(design.y))
    part = None if stride == 1 else _every_kth(design, stride)
    if part is None:
        return Sample(log=log, evidence=evidence)
    fit = fit_cumulative(part.X, part.y, len(part.grades), options=evidence.fit.options)
    without = fit_many(
        part.X,
        part.y,
        len(part.grades),
        firing=part.firing,
        firing_weights=leave_one_out_weights(len(part.firing_names)),
        start=fit,
    )
    none = replace(without, values=without.values[:0])
    smaller, rows = take_firings(log, part.firing_names)
    part = replace(part, rows=np.searchsorted(rows, part.rows))
    return Sample(
        log=smaller,
        evidence=build_evidence(part, evidence.codebook, fit=fit, redraws=none, jackknife=without),
        findings=(_say_so(log, design, part),),
    )


def _every_kth(design: Design, stride: int) -> Design | None:
    """Return the design of every k-th firing; None when a grade does not occur in them."""
    kept = np.arange(0, len(design.firing_names), stride)
    pieces = np.flatnonzero(design.firing % stride == 0)
    if len(np.unique(design.y[pieces])) < len(design.grades):
        return None
    return replace(
        design,
        X=design.X[pieces],
        y=design.y[pieces],
        firing=design.firing[pieces] // stride,
        rows=design.rows[pieces],
        frame=design.frame.iloc[pieces].reset_index(drop=True),
        firing_names=tuple(design.firing_names[k] for k in kept),
    )


def take_firings(log: FiringLog, firings: Sequence[str]) -> tuple[FiringLog, NDArray[np.int64]]:
    """Return the log of some firings, and the positions its rows had."""
    rows = np.flatnonzero(firing_labels(log).isin(set(firings)).to_numpy())
    frames = {
        name: getattr(log, name).iloc[rows].reset_index(drop=True)
        for name in ("values", "origin", "written", "how", "aside")
    }
    return replace(log, **frames), rows.astype(np.int64)


def _say_so(log: FiringLog, whole: Design, part: Design) -> Finding:
    """Return the finding that says what was asked of how many firings."""
    codebook = log.codebook
    firing, piece = codebook.cluster_word, codebook.piece_word
    label = codebook.outcome(whole.spec.outcome).label
    return Finding(
        code=CODE,
        severity=Severity.NOTE,
        message=(
            f"{label}: the log holds {len(whole.firing_names):,} {firing}s with "
            f"{len(whole.y):,} graded {piece}s. Changes, their intervals, ranks and what single "
            f"{firing}s do rest on all of them. How well left-out {firing}s are foretold, how much "
            "is luck, how the explained part is shared out, the second opinion, each grade "
            "boundary and its tests, habits that changed, filled-in blanks and computed quantities "
            "were asked of "
            f"{len(part.firing_names):,} {firing}s ({len(part.y):,} {piece}s), one in "
            f"{-(-len(whole.firing_names) // len(part.firing_names))} in the order of the log."
        ),
        advice="Nothing: these need hundreds of firings, not thousands.",
    )
