"""The chance of each grade along a setting's logged range.

The grid runs from the 5th to the 95th percentile of the logged values (of that glaze):
nothing is drawn where there is next to nothing in the log. Every point is the average over
the pieces concerned with that setting moved there and all else as logged. The band is
pointwise: firing-score t on the logit scale, each point with its own degrees of freedom. Where a
setting was found to act differently on different glazes, a glaze's curve has its own slopes.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy import special

from outcomes.design.design import FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.design.shapes import OTHER
from outcomes.effects.effect import Curve, Effect, Verdict, Word
from outcomes.effects.evidence import Evidence
from outcomes.effects.glaze_effects import GlazeEffects, GlazeModel
from outcomes.effects.support import value_columns
from outcomes.effects.walk import Walk, walk_chances, walk_gradients
from outcomes.log.codebook import Shape
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.resampling.leverage import Pull, corrected_errors

GRID = 41
GLAZE_PIECES = 8
GLAZE_VALUES = 3
_NEVER_CERTAIN = 1e-9  # keeps the logit of an average chance finite


def build_curves(
    evidence: Evidence,
    effects: Iterable[Effect],
    *,
    by_glaze: Iterable[GlazeEffects] = (),
    confidence: float = 0.95,
) -> tuple[Curve, ...]:
    """Return the curves of some effects' factors: all pieces first, then each glaze.

    Parameters
    ----------
    evidence
        What the effects were read from.
    effects
        Those to draw, e.g. `worth_drawing` of all.
    by_glaze
        What is known about differences between glazes, in any order; settings that are not
        in it or do not differ have the slopes of all.
    confidence
        Of the pointwise band.

    Notes
    -----
    A glaze has a curve of its own when it has at least 8 pieces and 3 distinct values of the
    factor (2 for levels), and when the outcome was graded on at least two glazes.
    """
    curves: list[Curve] = []
    own = {(d.factor, name): model for d in by_glaze if d.differs for name, model in d.models}
    every = GlazeModel(parameters=evidence.fit.parameters(), pull=evidence.pull)
    for effect in effects:
        everything = np.arange(len(evidence.design.y))
        concerned = [("", everything), *_glazes(evidence, effect)]
        for glaze, rows in concerned:
            model = own.get((effect.contrast.factor, glaze), every)
            curve = _curve(evidence, effect, rows, model=model, confidence=confidence)
            curves.append(replace(curve, glaze=glaze))
    return tuple(curves)


def worth_drawing(effects: Iterable[Effect]) -> tuple[Effect, ...]:
    """Return the effects whose verdict says they change the surface or lean that way."""
    words = (Word.CHANGES, Word.LEANS)
    return tuple(e for e in effects if _word(e.verdict) in words)


def _word(verdict: Verdict | None) -> Word | None:
    return None if verdict is None else verdict.word


def _glazes(evidence: Evidence, effect: Effect) -> list[tuple[str, NDArray[np.int64]]]:
    """Return the glazes with enough pieces and values for a curve of their own."""
    frame, glaze = evidence.design.frame, evidence.codebook.glaze
    factor = effect.contrast.factor
    if glaze not in frame or factor == glaze or frame[glaze].nunique() < 2:
        return []
    least = 2 if isinstance(effect.contrast.from_value, str) else GLAZE_VALUES
    return [
        (str(name), np.asarray(rows))
        for name, rows in frame.groupby(glaze, sort=False).indices.items()
        if len(rows) >= GLAZE_PIECES and frame[factor].iloc[rows].nunique() >= least
    ]


def _curve(
    evidence: Evidence,
    effect: Effect,
    rows: NDArray[np.int64],
    *,
    model: GlazeModel,
    confidence: float,
) -> Curve:
    """Return one curve over some rows."""
    design = evidence.design
    term = find_term(design.spec, effect.contrast.factor)
    values = design.frame[effect.contrast.factor].iloc[rows]
    grid, logged = _grid(term, values.tolist())
    above, gradients = _walk(evidence, rows, term, grid, model.parameters)
    reach = above[:, design.aim]
    low, high = _band(evidence, reach, gradients, model.pull, confidence)
    return Curve(
        outcome=design.spec.outcome,
        factor=effect.contrast.factor,
        glaze="",
        at=np.array(grid) if not isinstance(grid[0], str) else tuple(str(g) for g in grid),
        chance=above[:, :-1] - above[:, 1:],
        reach=reach,
        reach_low=low,
        reach_high=high,
        logged=logged,
    )


def _grid(
    term: Term, values: list[float] | list[str]
) -> tuple[Sequence[float | str], FloatArray | tuple[str, ...]]:
    """Return the grid of a curve and its rug."""
    if term.shape is Shape.LEVELS:
        held = {str(value) for value in values}
        return [lv for lv in term.levels if lv in held and lv != OTHER], tuple(map(str, values))
    logged = np.array(values, dtype=float)
    low, high = np.quantile(logged, [0.05, 0.95])
    if not low < high:
        low, high = logged.min(), logged.max()
    return np.linspace(low, high, GRID).tolist(), logged


def _walk(
    evidence: Evidence,
    rows: NDArray[np.int64],
    term: Term,
    grid: Sequence[float | str],
    parameters: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return the average P(y >= k) for k = 0..K at every value, and the gradients of the aim."""
    n_grades, slots = evidence.n_grades, list(term.slots)
    places = np.array([value_columns(term, value) for value in grid])
    walk = Walk(
        X=evidence.design.X[rows], slots=slots, places=places.reshape(len(grid), len(slots))
    )
    above = np.zeros((len(grid), n_grades + 1))
    above[:, 0] = 1.0
    above[:, 1:-1] = walk_chances(walk, parameters, n_grades=n_grades, link=evidence.link)
    gradients = walk_gradients(
        walk, parameters, n_grades=n_grades, grade=evidence.design.aim, link=evidence.link
    )
    return above, gradients


def _band(
    evidence: Evidence,
    reach: FloatArray,
    gradients: FloatArray,
    pull: Pull,
    confidence: float,
) -> tuple[FloatArray, FloatArray]:
    """Return the pointwise interval of chances (m,) with gradients (m, q)."""
    if evidence.n_firings < FEWEST_FIRINGS or not evidence.jackknife_ok:
        nothing = np.full(len(reach), np.nan)
        return nothing, nothing
    certain = np.clip(reach, _NEVER_CERTAIN, 1.0 - _NEVER_CERTAIN)
    logit = special.logit(certain)
    error, df = corrected_errors(gradients, pull)
    t = -special.stdtrit(df, 0.5 * (1.0 - confidence))
    span = t * error / (certain * (1.0 - certain))
    return special.expit(logit - span), special.expit(logit + span)
