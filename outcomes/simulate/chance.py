"""What a truth implies: scores, chances and the true average contrast."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import expit, logit

from outcomes.errors import RequestError
from outcomes.simulate.truth import FloatArray, OutcomeTruth, Truth, shape_effect

# 60 Gauss-Hermite nodes: for a firing sd up to 3 the averaged chance is then within 1e-6 of
# the integral (checked against adaptive quadrature in tests/simulate/test_chance.py).
_NODES, _RAW_WEIGHTS = np.polynomial.hermite_e.hermegauss(60)
_WEIGHTS = _RAW_WEIGHTS / _RAW_WEIGHTS.sum()


def applies(truth: Truth, frame: pd.DataFrame, outcome: str) -> NDArray[np.bool_]:
    """Say of every row whether the outcome is graded on its glaze, shape (n,)."""
    glazes = truth.outcome(outcome).applies_to
    if not glazes:
        return np.ones(len(frame), dtype=bool)
    return np.asarray(frame[truth.glaze].isin(glazes), dtype=bool)


def latent_score(truth: Truth, frame: pd.DataFrame, outcome: str) -> FloatArray:
    """Return the sum of the effects of each row, log-odds, shape (n,), luck left out.

    A datetime column counts in days since its first day.

    Raises
    ------
    RequestError
        If an effect's factor is not a column of ``frame``.
    """
    score = np.zeros(len(frame))
    for effect in truth.outcome(outcome).effects:
        if effect.factor not in frame:
            raise RequestError(f"{outcome}: the log has no column {effect.factor!r}.")
        part = shape_effect(effect.shape, _column(frame[effect.factor]))
        if effect.glazes:
            part = np.where(frame[truth.glaze].isin(effect.glazes), part, 0.0)
        score += part
    return score


def _column(column: pd.Series) -> np.ndarray:
    """Return a column as an array; dates as days since the first."""
    values = column.to_numpy()
    if np.issubdtype(values.dtype, np.datetime64):
        return np.asarray((values - values.min()) / np.timedelta64(1, "D"))
    return values


def average_over_luck(score: FloatArray, firing_sd: float) -> FloatArray:
    """Return E[F(score + u)], u ~ normal(0, firing_sd), F logistic, elementwise.

    Notes
    -----
    Population-averaged chance: what a maker sees over many firings. It is not F(score),
    which would be the chance in a firing of exactly average luck (Zeger, Liang & Albert
    1988, *Biometrics* 44:1049, doi:10.2307/2531734).

    >>> average_over_luck(np.array([0.0]), 2.0).round(12).tolist()
    [0.5]
    """
    return np.asarray(expit(np.add.outer(score, firing_sd * _NODES)) @ _WEIGHTS)


def true_reach(truth: Truth, frame: pd.DataFrame, outcome: str) -> FloatArray:
    """Return the true P(grade >= aim) of each row, averaged over firing luck, shape (n,)."""
    what = truth.outcome(outcome)
    score = latent_score(truth, frame, outcome)
    return average_over_luck(score - what.thresholds[what.aim - 1], what.firing_sd)


def true_change(
    truth: Truth,
    frame: pd.DataFrame,
    *,
    factor: str,
    from_value: float | str,
    to_value: float | str,
    outcome: str,
) -> float:
    """Return the true average change of P(grade >= aim) between two values of a factor.

    Averaged over the rows of ``frame`` that the outcome applies to, all else as logged: the
    truth of the contrast the analysis estimates. Pass only the supported rows to match an
    effect that was averaged over those.

    Raises
    ------
    RequestError
        If the factor is not a column, or no row carries the outcome.
    """
    if factor not in frame:
        raise RequestError(f"{outcome}: the log has no column {factor!r}.")
    rows = frame.loc[applies(truth, frame, outcome)]
    if rows.empty:
        raise RequestError(f"{outcome}: no row of this log has a glaze it applies to.")
    reach = [
        true_reach(truth, rows.assign(**{factor: value}), outcome).mean()
        for value in (from_value, to_value)
    ]
    return float(reach[1] - reach[0])


def thresholds_for(
    shares: Sequence[float], *, score: FloatArray | None = None, firing_sd: float = 0.0
) -> tuple[float, ...]:
    """Return thresholds that give the asked grade shares.

    Parameters
    ----------
    shares
        Expected share of each grade, lowest first, all positive; scaled to sum to 1.
    score : array, shape (n,), optional
        Scores of the rows the shares shall hold for; default one row of score 0.
    firing_sd
        Standard deviation of the firing luck.

    >>> [round(value, 3) for value in thresholds_for((0.25, 0.5, 0.25))]
    [-1.099, 1.099]
    """
    parts = np.asarray(shares, dtype=np.float64)
    if len(parts) < 2 or (parts <= 0).any():
        raise RequestError(f"grade shares must be two or more positive numbers, got {shares!r}.")
    rows = np.zeros(1) if score is None else score
    targets = np.cumsum(parts / parts.sum())[:-1]
    reach = float(np.abs(rows).max()) + 8 * firing_sd + 1.0
    return tuple(
        float(
            brentq(
                lambda theta, aim=target: average_over_luck(theta - rows, firing_sd).mean() - aim,
                logit(target) - reach,
                logit(target) + reach,
                xtol=1e-12,
            )
        )
        for target in targets
    )


def settle_thresholds(
    truth: OutcomeTruth, score: FloatArray, shares: Sequence[float]
) -> OutcomeTruth:
    """Return the outcome with thresholds that give these shares on rows of these scores."""
    thresholds = thresholds_for(shares, score=score, firing_sd=truth.firing_sd)
    return replace(truth, thresholds=thresholds)
