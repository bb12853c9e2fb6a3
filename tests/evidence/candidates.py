"""One fit of a log, and what any interval rule may use of its contrasts."""

from dataclasses import dataclass

import numpy as np
from short_log import ShortLog

from outcomes.design.design import FloatArray
from outcomes.effects.averages import Moved, change_gradient, predict_change
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, Link
from outcomes.model.likelihood import Pieces, gradient_by_firing, information_by_firing
from outcomes.resampling.firings import (
    draw_firing_weights,
    effective_firings,
    leave_one_out_weights,
)
from outcomes.resampling.intervals import jackknife_error
from outcomes.resampling.leverage import Pull, build_pull, corrected_error


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """One contrast as the rules see it.

    Parameters
    ----------
    change
        The estimate.
    draws : array, shape (B,)
        In the whole-firing redraws; empty without any.
    error
        The leave-one-firing-out standard error.
    firings, effective
        G and G_eff.
    corrected, corrected_df
        From `resampling.leverage.corrected_error`.
    """

    change: float
    draws: FloatArray
    error: float
    firings: int
    effective: float
    corrected: float
    corrected_df: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fitted:
    """A fit, its parameters with those of every replicate below, and each firing's part."""

    fit: CumulativeFit
    parameters: FloatArray
    information: FloatArray
    pull: Pull


def measure_candidates(
    log: ShortLog, *, redraws: int, rng: np.random.Generator
) -> tuple[Candidate, ...]:
    """Return every judged contrast of a log, from one fit and its replicates.

    Parameters
    ----------
    redraws
        Whole-firing redraws; 0 leaves ``draws`` empty.
    """
    fit = fit_cumulative(log.X, log.y, log.n_grades)
    drawn = draw_firing_weights(log.n_firings, redraws, rng=rng).astype(np.float64)
    weights = np.vstack([leave_one_out_weights(log.n_firings), drawn])
    refits = fit_many(
        log.X, log.y, log.n_grades, firing=log.firing, firing_weights=weights, start=fit
    )
    information = information_by_firing(log.X, log.y, log.n_grades, log.firing, fit)
    pieces = Pieces(X=log.X, y=log.y, weights=np.ones(len(log.y)), n_grades=log.n_grades)
    scores = gradient_by_firing(pieces, firing=log.firing, fit=fit)
    fitted = _Fitted(
        fit=fit,
        parameters=np.vstack([fit.parameters(), refits.values]),
        information=information,
        pull=build_pull(fit.covariance, information, scores),
    )
    return tuple(_measure(log, fitted, slot) for slot in range(len(log.truth)))


def _measure(log: ShortLog, fitted: _Fitted, slot: int) -> Candidate:
    """Return the contrast of the setting in one column."""
    columns = log.X.copy()
    columns[:, slot] = log.ends[slot, 0]
    shift = np.zeros(log.X.shape[1])
    shift[slot] = log.ends[slot, 1] - log.ends[slot, 0]
    moved, fit = Moved(columns=columns, shift=shift), fitted.fit
    changes = predict_change(
        moved, fitted.parameters, n_grades=log.n_grades, grade=log.aim, link=Link.LOGIT
    )
    gradient = change_gradient(
        moved, fit.parameters(), n_grades=log.n_grades, grade=log.aim, link=Link.LOGIT
    )
    corrected, corrected_df = corrected_error(gradient, fitted.pull)
    return Candidate(
        change=float(changes[0]),
        draws=changes[1 + log.n_firings :],
        error=float(jackknife_error(changes[1 : 1 + log.n_firings])),
        firings=log.n_firings,
        effective=effective_firings(gradient, fit.covariance, fitted.information),
        corrected=corrected,
        corrected_df=corrected_df,
    )
