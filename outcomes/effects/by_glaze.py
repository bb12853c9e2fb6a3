"""Whether a setting acts differently on different glazes, and what it does on each.

One effect for all glazes is the start, and stays unless the firings' own scores tell deviations
from luck at 5 %. (Left-out forecasts alone find a difference in a quarter to a half of the logs
in which there is none; each setting would then have a fair chance of a story about glazes.)
The word for a difference that was not declared beforehand is never above "leans".

Past that gate the slope of a glaze is the common slope plus a deviation, pulled toward 0 as if
deviations had standard deviation omega; a glaze with few pieces borrows the common slope, one
with many speaks for itself. Omega is 0, a quarter, a half, one or two times
max(|common slope|, 0.25), whichever foretells left-out firings best by the ranked probability
score; ties go to the smaller (method_in_depth.md §9).

The pull has the shape of the fit's own weak penalty (log-F: like a normal of standard deviation
omega near 0, lighter far out, so that a glaze which really stands apart is not dragged back).
Intervals are firing-score t, like every effect's, with omega held fixed.

A glaze's own change is given when it was fired in at least 6 firings and the log supports both
values on it; other glazes carry the common effect, marked so.
"""

from dataclasses import dataclass, replace

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.design.deviations import Deviations, build_deviations, fold_deviations
from outcomes.effects.averages import Moved, build_moved, change_gradient, predict_change
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence, firing_scores
from outcomes.effects.firing_scores import efficient_scores, largest_t_p
from outcomes.effects.glaze_effects import GlazeEffect, GlazeEffects, GlazeModel
from outcomes.effects.glaze_words import describe_glazes
from outcomes.effects.refit import refit_columns, step_without_firings
from outcomes.effects.support import find_supported
from outcomes.model.fit import CumulativeFit, FitOptions, Penalty
from outcomes.model.likelihood import information_by_firing
from outcomes.model.links import survival
from outcomes.model.penalty import penalty_information
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.resampling.leverage import build_pull, corrected_error, map_pull, score_interval

__all__ = ["GlazeEffect", "GlazeEffects", "find_glaze_effects"]

MULTIPLES = (0.0, 0.25, 0.5, 1.0, 2.0)
LEAST_SLOPE = 0.25
GLAZE_FIRINGS = 6
DIFFERS_P = 0.05
LEFT_OUT = "left-out firings foretold best (ranked probability score)"
NO_SIGN = "the firings' own scores show no sign of a difference at 5 %"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Wide:
    """A design with deviation columns at one omega, and its fit."""

    X: FloatArray
    widths: FloatArray
    fit: CumulativeFit


def find_glaze_effects(
    evidence: Evidence, effect: Effect, *, rng: np.random.Generator, confidence: float = 0.95
) -> GlazeEffects | None:
    """Return what a setting's contrast does on each glaze.

    Parameters
    ----------
    evidence
        One outcome's fit and replicates.
    effect
        The effect whose contrast is asked of every glaze.
    rng
        For the sign changes of firings; seed it from the study's seed.
    confidence
        Of the intervals.

    Returns
    -------
    GlazeEffects or None
        None for the glaze itself, with fewer than two glazes, or fewer than 6 firings.
    """
    factor = effect.contrast.factor
    deviations = build_deviations(evidence.design, factor, glaze=evidence.codebook.glaze)
    if deviations is None or evidence.n_firings < FEWEST_FIRINGS:
        return None
    own = efficient_scores(evidence.design, evidence.fit, deviations.columns)
    p_value = largest_t_p(own, rng=rng)
    base = np.maximum(np.abs(evidence.fit.slopes[deviations.slots]), LEAST_SLOPE)
    multiples = MULTIPLES if p_value < DIFFERS_P else MULTIPLES[:1]
    tried = [_widen(evidence, deviations, base * multiple) for multiple in multiples]
    scores = [_score_left_out(evidence, one) for one in tried]
    chosen = int(np.argmin(scores))  # the first of equals: the smaller
    models = _models(evidence, deviations, tried[chosen]) if chosen else ()
    found = GlazeEffects(
        outcome=effect.outcome,
        factor=factor,
        omega=float(MULTIPLES[chosen] * base[0]),
        multiple=MULTIPLES[chosen],
        chosen_by=LEFT_OUT if len(multiples) > 1 else NO_SIGN,
        scores=tuple(zip(multiples, scores, strict=True)),
        p_value=p_value,
        effects=_effects(evidence, effect, deviations, models=dict(models), confidence=confidence),
        differs=chosen > 0,
        models=models,
        sentence="",
    )
    return replace(found, sentence=describe_glazes(found, evidence.codebook))


def _widen(evidence: Evidence, deviations: Deviations, omega: FloatArray) -> _Wide:
    """Return the fit with deviations of standard deviation ``omega`` (c,)."""
    design, options = evidence.design, _pulling(evidence.fit.options)
    if not omega.any():
        return _Wide(X=design.X, widths=np.zeros_like(omega), fit=evidence.fit)
    # A slope g on a column of width w has the penalty of g/w: curvature p0 / w^2 = 1 / omega^2.
    widths = omega * np.sqrt(penalty_information(np.zeros(1), options)[0])
    n_glazes = len(deviations.glazes)
    X = np.concatenate([design.X, deviations.columns * np.tile(widths, n_glazes)], axis=1)
    start = np.concatenate([evidence.fit.slopes, np.zeros(deviations.columns.shape[1])])
    pulled = replace(evidence, fit=replace(evidence.fit, options=options))
    return _Wide(X=X, widths=widths, fit=refit_columns(pulled, X, start=start))


def _pulling(options: FitOptions) -> FitOptions:
    """Return options that pull: deviations without a pull would be a model of their own."""
    if options.penalty is Penalty.NONE:
        return replace(options, penalty=Penalty.LOG_F, strength=1.0)
    return options


def _score_left_out(evidence: Evidence, wide: _Wide) -> float:
    """Return the mean ranked probability score of pieces whose firing was left out."""
    design, cuts = evidence.design, evidence.n_grades - 1
    without = step_without_firings(evidence, wide.X, wide.fit)[design.firing]
    lean = np.einsum("np,np->n", wide.X, without[:, cuts:])
    reach = survival(np.sort(without[:, :cuts], axis=1) - lean[:, None], evidence.link)
    came = design.y[:, None] >= np.arange(1, cuts + 1)
    by_piece = np.sum((reach - came) ** 2, axis=1)
    return float(np.mean(np.bincount(design.firing, by_piece) / np.bincount(design.firing)))


def _models(
    evidence: Evidence, deviations: Deviations, wide: _Wide
) -> tuple[tuple[str, GlazeModel], ...]:
    """Return the fit as it holds for every glaze, in the plain design's columns."""
    design, parameters = evidence.design, wide.fit.parameters()
    information = information_by_firing(
        wide.X, design.y, evidence.n_grades, design.firing, wide.fit
    )
    pull = build_pull(wide.fit.covariance, information, firing_scores(design, wide.X, wide.fit))
    models = []
    for k, name in enumerate(deviations.glazes):
        folded = fold_deviations(
            np.vstack([parameters, np.eye(len(parameters))]),
            deviations,
            widths=wide.widths,
            glaze=k,
            cuts=evidence.n_grades - 1,
        )
        models.append((name, GlazeModel(parameters=folded[0], pull=map_pull(pull, folded[1:].T))))
    return tuple(models)


def _effects(
    evidence: Evidence,
    effect: Effect,
    deviations: Deviations,
    *,
    models: dict[str, GlazeModel],
    confidence: float,
) -> tuple[GlazeEffect, ...]:
    """Return every glaze's effect of one contrast."""
    common = GlazeModel(parameters=evidence.fit.parameters(), pull=evidence.pull)
    supported = find_supported(evidence.design, effect.contrast, evidence.codebook)
    found = []
    for k, name in enumerate(deviations.glazes):
        rows = deviations.of == k
        firings = len(set(evidence.design.firing[rows].tolist()))
        is_own = firings >= GLAZE_FIRINGS and bool(supported[rows].any())
        model = models.get(name, common) if is_own else common
        moved = build_moved(evidence.design, effect.contrast, rows & supported if is_own else rows)
        # No more degrees of freedom than the glaze's own firings give.
        interval = _interval(evidence, moved, model, most_df=firings - 1.0, confidence=confidence)
        found.append(
            GlazeEffect(
                glaze=name,
                change=_change(evidence, moved, model),
                interval=interval if is_own else None,
                firings=firings,
                pieces=int(rows.sum()),
                is_own=is_own,
            )
        )
    return tuple(found)


def _change(evidence: Evidence, moved: Moved, model: GlazeModel) -> float:
    change = predict_change(
        moved,
        model.parameters[None, :],
        n_grades=evidence.n_grades,
        grade=evidence.design.aim,
        link=evidence.link,
    )
    return float(change[0])


def _interval(
    evidence: Evidence, moved: Moved, model: GlazeModel, *, most_df: float, confidence: float
) -> Interval | None:
    """Return the interval of a change; None under the floors."""
    if not evidence.jackknife_ok:
        return None
    gradient = change_gradient(
        moved,
        model.parameters,
        n_grades=evidence.n_grades,
        grade=evidence.design.aim,
        link=evidence.link,
    )
    error, df = corrected_error(gradient, model.pull)
    change = _change(evidence, moved, model)
    return score_interval(change, error, min(df, most_df), confidence).cut(-1.0, 1.0)
