"""Analyse many simulated trials as one trial is analysed: the fit, its change, its error.

Pieces of one trial differ in side and grade alone, so a trial is a table of 2K counts: all its
trials are one design of 2K rows under B different weights, and its firings' scores and
information are sums of 2K terms. What is done with them is `resampling.leverage`'s, as for a
log. Notation as in `model.likelihood`; R = 2K rows, of the K grades that occur.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import special

from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FloatArray, IntArray, Link, Penalty
from outcomes.model.links import interval_terms
from outcomes.model.penalty import penalty_information
from outcomes.resampling.leverage import Pull, build_pull, corrected_errors

_PLAIN: Final = FitOptions(penalty=Penalty.NONE)
_PULLED: Final = FitOptions()
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
    The grades are cut in two at the aim, as in `trial_effect`. A trial in which nobody, or
    everybody, reached it says nothing about how the setting moves that: it gives no interval. A
    trial gets the plain fit where that stands, else the penalised one.
    """
    cut = np.stack([counts[..., :aim].sum(axis=-1), counts[..., aim:].sum(axis=-1)], axis=-1)
    change, error, df = np.full((3, len(cut)), np.nan)
    both = np.all(cut.sum(axis=(1, 2)) > 0, axis=1)
    rows = _build_rows(2, 1)
    stands = stand_plain(cut)
    for chosen, options in ((both & stands, _PLAIN), (both & ~stands, _PULLED)):
        if chosen.any():
            found = _analyse(cut[chosen], rows, options)
            change[chosen], error[chosen], df[chosen] = found.change, found.error, found.df
    return Answers(change=change, error=error, df=df)


def stand_plain(counts: IntArray) -> NDArray[np.bool_]:
    """Return in which trials the plain fit stands, whole and without each firing, shape (B,).

    Parameters
    ----------
    counts : array, shape (B, G, 2, K)
        Every grade occurs in every trial.

    Notes
    -----
    It does while both sides and all grades are left, and neither side lies wholly at or above
    the other: then the slope would run away (Albert & Anderson 1984,
    doi:10.1093/biomet/71.1.1).
    """
    whole = counts.sum(axis=1, keepdims=True)
    seen = np.concatenate([whole, whole - counts], axis=1) > 0
    complete = np.all(np.any(seen, axis=3), axis=2) & np.all(np.any(seen, axis=2), axis=2)
    lowest = seen.argmax(axis=3)
    highest = counts.shape[3] - 1 - seen[..., ::-1].argmax(axis=3)
    mixed = np.all(highest > lowest[..., ::-1], axis=2)
    return np.asarray(np.all(complete & mixed, axis=1))


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


def _analyse(counts: IntArray, rows: _Rows, options: FitOptions) -> Answers:
    """Analyse trials in which the same grades occur."""
    by_firing = counts.reshape(*counts.shape[:2], -1).astype(np.float64)
    weights = by_firing.sum(axis=1)
    values = _fit(weights, rows, options)
    scores, information = _row_terms(values, rows)
    slope = values[:, -1]
    covariance = _covariance(weights, information, slope, options=options)
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


def _fit(weights: FloatArray, rows: _Rows, options: FitOptions) -> FloatArray:
    """Return thresholds and slope of every trial, (B, q)."""
    start = fit_cumulative(
        rows.columns, rows.grades, rows.n_grades, weights=weights.mean(axis=0), options=options
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


def _covariance(
    weights: FloatArray, information: FloatArray, slope: FloatArray, *, options: FitOptions
) -> FloatArray:
    """Return the inverse information of every trial, penalty included, (B, q, q)."""
    whole = np.einsum("br,brij->bij", weights, information)
    whole[:, -1, -1] += penalty_information(slope, options)
    return np.linalg.inv(whole)


def _density(x: FloatArray) -> FloatArray:
    """Return the logistic density."""
    return np.asarray(special.expit(x) * special.expit(-x))
