"""By how much the two values of a trial differ, whatever the grades do in between.

The change at the aim is read from the grades cut in two there, and the change of the mean grade
from the grades cut in two at every boundary, all cuts in one table. A model of all grades at once
would be sharper, but only where the setting shifts every boundary alike: where it does not, its
change at the aim is another boundary's. With a true change just at a margin of 20 in 100, made by
pieces that spread to both ends, it called 60 of 100 trials equivalent (24 firings of 8 pieces).
The fits here are logistic with the arm as a column, so their averages over the pieces are right in
a trial whether or not the model is (Moore & van der Laan 2009, Statistics in Medicine 28, 39-64,
doi:10.1002/sim.3445; for a mean between 0 and 1 Papke & Wooldridge 1996, Journal of Applied
Econometrics 11, 619-632; both cited from memory). Their errors take whole firings as the unit.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
from scipy import special
from threadpoolctl import threadpool_limits

from outcomes.design.design import Design
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import build_contrast
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import build_evidence
from outcomes.errors import RequestError
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitOptions, FitStatus, FloatArray, ManyFits, Penalty
from outcomes.planning.plan import show_value
from outcomes.planning.trial_estimate import TrialModel
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.resampling.interval import Interval


def estimate_effect(
    model: TrialModel, *, resamples: int, confidence: float, rng: np.random.Generator
) -> Effect | str:
    """Return the difference of the two values, or the full sentence why there is none.

    Notes
    -----
    ``log_odds`` is that of the aim's boundary. The mean grade's interval has the degrees of
    freedom of the change, so that both margins are tested with the same.
    """
    # Small matrices: two BLAS threads are several times slower than one.
    with threadpool_limits(limits=1):
        effect = _measure(cut_at_aim(model.design), model, resamples, confidence, rng=rng)
        if isinstance(effect, str):
            return effect
        every = cut_everywhere(model.design)
        mean = _measure(every, model, resamples=0, confidence=confidence, rng=rng)
    if isinstance(mean, str):
        return mean
    steps = model.design.grades[-1] - model.design.grades[0]
    named = replace(
        effect.contrast,
        from_value=model.hypothesis.from_value,
        to_value=model.hypothesis.to_value,
        unit=model.codebook.factors[0].unit,
    )
    return replace(
        effect,
        # For a reader the two values are those of the plan again, not the names of levels.
        contrast=named,
        mean_grade_change=steps * mean.change,
        mean_grade_interval=_mean_interval(effect, mean, steps, confidence),
    )


def cut_at_aim(design: Design) -> Design:
    """Return a trial's table with its grades cut in two at the aim."""
    reached = (design.y >= design.aim).astype(np.int64)
    below, above = design.grades[design.aim - 1], design.grades[design.aim]
    return replace(design, y=reached, grades=(below, above), aim=1)


def cut_everywhere(design: Design) -> Design:
    """Return a trial's table with every piece once for each grade it could have climbed.

    Notes
    -----
    The share of climbed grades times their number is the mean grade above the lowest. A piece's
    rows stay in its firing, so errors do not take them for pieces.
    """
    scores = np.asarray(design.grades)
    cuts = np.arange(scores[0] + 1, scores[-1] + 1)
    climbed = (scores[design.y][None, :] >= cuts[:, None]).astype(np.int64)
    times = len(cuts)
    return replace(
        design,
        X=np.tile(design.X, (times, 1)),
        y=climbed.ravel(),
        firing=np.tile(design.firing, times),
        rows=np.tile(design.rows, times),
        frame=pd.concat([design.frame] * times, ignore_index=True),
        grades=(0, 1),
        aim=1,
    )


def is_pulled(model: TrialModel) -> bool:
    """Return whether the change at the aim needed the penalty toward no difference."""
    return fit_trial(cut_at_aim(model.design)).options.penalty is not Penalty.NONE


def fit_trial(design: Design) -> CumulativeFit:
    """Return the plain fit of a trial's table; the penalised one only where that does not stand.

    Notes
    -----
    A pull toward no effect is a pull toward "equivalent".
    """
    grades = len(design.grades)
    plain = fit_cumulative(design.X, design.y, grades, options=FitOptions(penalty=Penalty.NONE))
    if plain.status is FitStatus.CONVERGED:
        without = _refit(design, plain, leave_one_out_weights(len(design.firing_names)))
        if without.converged.all() and not without.unusual.any():
            return plain
    return fit_cumulative(design.X, design.y, grades, options=FitOptions())


def _measure(
    design: Design,
    model: TrialModel,
    resamples: int,
    confidence: float,
    *,
    rng: np.random.Generator,
) -> Effect | str:
    """Return the difference in the share that is above a table's one cut."""
    fit = fit_trial(design)
    if fit.status is FitStatus.FAILED:
        return "The computation of the difference did not settle, so no interval is given."
    without = _refit(design, fit, leave_one_out_weights(len(design.firing_names)))
    weights = draw_firing_weights(len(design.firing_names), resamples, rng=rng)
    redraws = _refit(design, fit, weights.astype(np.float64)) if resamples else without
    evidence = build_evidence(design, model.codebook, fit=fit, redraws=redraws, jackknife=without)
    contrast = _contrast(design, model)
    if isinstance(contrast, str):
        return contrast
    return estimate_contrasts(evidence, [contrast], confidence=confidence)[0]


def _contrast(design: Design, model: TrialModel) -> Contrast | str:
    """Return the hypothesis' contrast, or the sentence why it is none."""
    try:
        return build_contrast(
            design,
            model.codebook,
            factor=model.hypothesis.factor,
            from_value=show_value(model.hypothesis.from_value),
            to_value=show_value(model.hypothesis.to_value),
        )
    except RequestError as error:
        return str(error)


def _mean_interval(effect: Effect, mean: Effect, steps: int, confidence: float) -> Interval | None:
    """Return the mean grade's interval, in grades."""
    if effect.df is None or mean.standard_error is None:
        return None
    t = float(-special.stdtrit(max(1.0, effect.df), 0.5 * (1.0 - confidence)))
    reach = t * mean.standard_error
    return Interval(
        low=steps * (mean.change - reach),
        high=steps * (mean.change + reach),
        confidence=confidence,
        method="firing-score t",
    )


def _refit(design: Design, fit: CumulativeFit, weights: FloatArray) -> ManyFits:
    return fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=weights,
        start=fit,
    )
