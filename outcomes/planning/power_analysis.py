"""Analyse many simulated trials as one trial is analysed: the fit, its change, its error.

Pieces of one trial differ in side and grade alone, so a trial is a table of 2K counts: all its
trials are one design of 2K rows under B different weights, and its firings' scores and
information are sums of 2K terms. What is done with them is `resampling.leverage`'s, as for a
log. Notation as in `model.likelihood`; R = 2K rows, of the K grades that occur.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import special

from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FloatArray, IntArray, Link
from outcomes.model.links import interval_terms
from outcomes.model.penalty import penalty_information
from outcomes.resampling.leverage import Pull, build_pull, corrected_errors

_OPTIONS: Final = FitOptions()
_MOST_CELLS: Final = 1_000_000  # firings by firings by trials held at once: 8 MB a matrix


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answers:
    """What B trials said, each array of shape (B,).

    Parameters
    ----------
    change
        Estimated difference of the chance to reach the aim.
    error, df
        Its standard error and degrees of freedom; NaN where the trial gives no interval.
    """

    change: FloatArray
    error: FloatArray
    df: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """The R rows of one pattern of occurring grades, in the order side, grade.

    ``upper``, ``lower`` (R, q) are the derivatives of the two cut points of every row; ``aim``
    counts among the grades that occur.
    """

    columns: FloatArray
    grades: IntArray
    n_grades: int
    aim: int
    upper: FloatArray
    lower: FloatArray


def analyse_trials(counts: IntArray, aim: int) -> Answers:
    """Return what every trial says.

    Parameters
    ----------
    counts : array, shape (B, G, 2, K)
        From `power_draw.draw_trials`.
    aim
        1..K-1.

    Notes
    -----
    A trial in which nobody, or everybody, reached the aim says nothing about how the setting
    moves it: it gives no interval.
    """
    n_trials, _, _, n_grades = counts.shape
    change, error, df = np.full((3, n_trials), np.nan)
    occurs = counts.sum(axis=(1, 2)) > 0
    patterns, pattern_of = np.unique(occurs, axis=0, return_inverse=True)
    for number, present in enumerate(patterns):
        if not present[:aim].any() or not present[aim:].any():
            continue
        members = np.flatnonzero(pattern_of.ravel() == number)
        rows = _build_rows(int(present.sum()), int(present[:aim].sum()))
        found = _analyse(counts[members][..., present], rows)
        change[members], error[members], df[members] = found.change, found.error, found.df
    return Answers(change=change, error=error, df=df)


def _build_rows(n_grades: int, aim: int) -> _Rows:
    """Return the rows of two sides by the grades that occur."""
    sides = np.repeat([0.0, 1.0], n_grades)
    grades = np.tile(np.arange(n_grades), 2)
    upper = np.zeros((2 * n_grades, n_grades))
    upper[:, -1] = -sides
    lower = upper.copy()
    has_upper, has_lower = grades < n_grades - 1, grades > 0
    upper[np.flatnonzero(has_upper), grades[has_upper]] = 1.0
    lower[np.flatnonzero(has_lower), grades[has_lower] - 1] = 1.0
    # A cut point that is infinite does not move.
    upper[~has_upper] = 0.0
    lower[~has_lower] = 0.0
    return _Rows(
        columns=sides[:, None], grades=grades, n_grades=n_grades, aim=aim, upper=upper, lower=lower
    )


def _analyse(counts: IntArray, rows: _Rows) -> Answers:
    """Analyse trials in which the same grades occur."""
    by_firing = counts.reshape(*counts.shape[:2], -1).astype(np.float64)
    weights = by_firing.sum(axis=1)
    values = _fit(weights, rows)
    scores, information = _row_terms(values, rows)
    slope = values[:, -1]
    covariance = _covariance(weights, information, slope)
    gap = values[:, rows.aim - 1]
    gradient = np.zeros_like(values)
    gradient[:, -1] = _density(slope - gap)
    gradient[:, rows.aim - 1] = _density(gap) - _density(slope - gap)
    error, df = np.empty((2, len(values)))
    step = max(1, _MOST_CELLS // by_firing.shape[1] ** 2)
    for first in range(0, len(values), step):
        some = slice(first, first + step)
        pull = _build_pull(by_firing[some], covariance[some], information[some], scores[some])
        errors, dfs = corrected_errors(gradient[some, None, :], pull)
        error[some], df[some] = errors[:, 0], dfs[:, 0]
    change = special.expit(slope - gap) - special.expit(-gap)
    return Answers(change=change, error=error, df=df)


def _build_pull(
    by_firing: FloatArray, covariance: FloatArray, information: FloatArray, scores: FloatArray
) -> Pull:
    """Return the pull of every firing on every fit, summed up from its rows."""
    n_trials, n_rows = information.shape[:2]
    own = by_firing @ information.reshape(n_trials, n_rows, -1)
    own = own.reshape(*own.shape[:2], *covariance.shape[1:])
    return build_pull(covariance, own, by_firing @ scores)


def _fit(weights: FloatArray, rows: _Rows) -> FloatArray:
    """Return thresholds and slope of every trial, (B, q)."""
    start = fit_cumulative(
        rows.columns, rows.grades, rows.n_grades, weights=weights.mean(axis=0), options=_OPTIONS
    )
    return fit_many(rows.columns, rows.grades, rows.n_grades, weights=weights, start=start).values


def _row_terms(values: FloatArray, rows: _Rows) -> tuple[FloatArray, FloatArray]:
    """Return the score (B, R, q) and the information (B, R, q, q) of one piece of each row."""
    last = rows.n_grades - 1
    end = np.full((len(values), 1), np.inf)
    cuts = np.concatenate([-end, values[:, :last], end], axis=1)
    eta = values[:, last:] * rows.columns[:, 0]
    lower, upper = cuts[:, rows.grades], cuts[:, rows.grades + 1]
    terms = interval_terms(lower - eta, upper - eta, upper - lower, Link.LOGIT)
    scores = terms.upper_pull[..., None] * rows.upper - terms.lower_pull[..., None] * rows.lower
    parts = (
        (terms.upper_curve, rows.upper),
        (terms.lower_curve, rows.lower),
        (terms.coupling, rows.upper - rows.lower),
    )
    information = sum(
        curve[..., None, None] * (way[:, :, None] * way[:, None, :]) for curve, way in parts
    )
    return scores, np.asarray(information)


def _covariance(weights: FloatArray, information: FloatArray, slope: FloatArray) -> FloatArray:
    """Return the inverse penalised information of every trial, (B, q, q)."""
    whole = np.einsum("br,brij->bij", weights, information)
    whole[:, -1, -1] += penalty_information(slope, _OPTIONS)
    return np.linalg.inv(whole)


def _density(x: FloatArray) -> FloatArray:
    """Return the logistic density."""
    return np.asarray(special.expit(x) * special.expit(-x))
