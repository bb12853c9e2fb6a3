"""The analyst who knows the true model, to measure the analysis against.

She knows which settings act on an outcome, and the exact shape of each effect; she does not
know how strong they are, nor the luck of the firings. She works with the same firing-score
standard error, the same t and the same degrees of freedom. What the analysis loses
against her is the price of not knowing: of idle columns, of shapes that fit only roughly, of
three looks at a window.
"""

from dataclasses import dataclass

import numpy as np
from whole_log import WholeLog

from outcomes.design.design import Design, FloatArray
from outcomes.effects.averages import Moved, change_gradient, predict_change
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import firing_scores
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import Link
from outcomes.model.likelihood import information_by_firing
from outcomes.resampling.intervals import two_sided_p
from outcomes.resampling.leverage import build_pull, corrected_error
from outcomes.simulate.truth import FactorEffect, Truth, shape_effect


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the analyst who knows the model says of one contrast."""

    change: float
    p_value: float


def ask_knower(whole: WholeLog, effect: Effect, truth: Truth) -> Known:
    """Return what she says of the contrast that the analysis reported.

    Parameters
    ----------
    whole
        The log; her rows are the same.
    effect
        Of a factor that acts on its outcome.
    truth
        What she knows the shapes from.
    """
    design = whole.design(effect.outcome)
    effects = truth.outcome(effect.outcome).effects
    X = np.column_stack([shape_effect(e.shape, design.frame[e.factor].to_numpy()) for e in effects])
    moved = _move(X - X.mean(axis=0), effect, effects, X.mean(axis=0))
    return _measure(design, X - X.mean(axis=0), moved)


def _move(
    X: FloatArray, effect: Effect, effects: tuple[FactorEffect, ...], centre: FloatArray
) -> Moved:
    """Return all pieces at the contrast's first value, and the step to its second."""
    slot = [e.factor for e in effects].index(effect.contrast.factor)
    ends = shape_effect(effects[slot].shape, [effect.contrast.from_value, effect.contrast.to_value])
    columns = X.copy()
    columns[:, slot] = ends[0] - centre[slot]
    shift = np.zeros(X.shape[1])
    shift[slot] = ends[1] - ends[0]
    return Moved(columns=columns, shift=shift)


def _measure(design: Design, X: FloatArray, moved: Moved) -> Known:
    """Return the change with its p value from her model's firing scores."""
    n_grades = len(design.grades)
    fit = fit_cumulative(X, design.y, n_grades)
    parameters, at = fit.parameters(), {"n_grades": n_grades, "grade": design.aim}
    change = float(predict_change(moved, parameters[None, :], link=Link.LOGIT, **at)[0])
    gradient = change_gradient(moved, parameters, link=Link.LOGIT, **at)
    information = information_by_firing(X, design.y, n_grades, design.firing, fit)
    pull = build_pull(fit.covariance, information, firing_scores(design, X, fit))
    return Known(change=change, p_value=two_sided_p(change, *corrected_error(gradient, pull)))
