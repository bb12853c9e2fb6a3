"""Fit the cumulative model with some slopes free; what it is without each firing.

Notation as in `free_table`. The cut points of every piece must increase, or some chance would
be negative; a Newton step that crosses them is halved. Where the best fit lies on that border
(a setting under which a middle grade is never seen), halving would stop short of it, so the
climb goes on with a barrier that is lowered in steps: ``m / n sum log(a_{k+1} - a_k)`` over
pieces and neighbouring cuts, m from 1 to 0.01.

References
----------
Peterson & Harrell (1990), Applied Statistics 39, 205-217, doi:10.2307/2347760; barrier: Boyd &
Vandenberghe (2004), Convex Optimization, chapter 11.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.design.design import FloatArray, IntArray
from outcomes.doubts.free_table import (
    Layout,
    Table,
    cut_points,
    parts_at,
    piece_directions,
    piece_parts,
    piece_terms,
)
from outcomes.errors import RequestError
from outcomes.model.fit import CumulativeFit
from outcomes.model.link_terms import IntervalTerms
from outcomes.model.penalty import penalty_gradient, penalty_information, penalty_value

_BARRIERS: Final = (1.0, 0.1, 0.01)  # pieces' worth
_SMALLEST_STEP: Final = 2.0**-20
_LEAST_EIGENVALUE: Final = 1e-12  # relative; smaller directions are not told by the data
_STILL: Final = 1e-10  # of the log-likelihood, relative: below it nothing more is gained
_FLAT: Final = 1e-6  # what a full step would still gain, log-likelihood


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreeFit:
    """A fit with some slopes free.

    Parameters
    ----------
    thresholds : array, shape (K-1,)
    slopes : array, shape (K-1, p)
        Of every column at every cut; the rows of a tied column are equal.
    log_likelihood
        Without the penalty.
    on_border
        True when the best fit gives some grade no chance for some piece: held just inside.
    parameters : array, shape (q,)
    layout
        Where the parameters stand, see `Layout`.
    information : array, shape (q, q)
        Penalised, at the fit; with the barrier on a border.
    """

    thresholds: FloatArray
    slopes: FloatArray
    log_likelihood: float
    on_border: bool
    parameters: FloatArray
    layout: Layout
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Point:
    """A psi inside the border: gaps between its cut points (n', K-2), terms, value.

    ``penalised`` holds penalty and barrier, ``log_likelihood`` neither.
    """

    parameters: FloatArray
    gaps: FloatArray
    terms: IntervalTerms
    log_likelihood: float
    penalised: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _At:
    """The model at a point: its gradient and information, with penalty and barrier."""

    point: _Point
    gradient: FloatArray
    information: FloatArray


def tied_parameters(fit: CumulativeFit, layout: Layout) -> FloatArray:
    """Return psi with every free slope at its tied value: where a free fit starts."""
    own = np.tile(fit.slopes[layout.free], layout.cuts)
    return np.concatenate([fit.thresholds, fit.slopes[layout.tied], own])


def fit_free_slopes(table: Table, start: CumulativeFit, *, past_border: bool = True) -> FreeFit:
    """Return the fit with free slopes.

    Parameters
    ----------
    table
        From `free_table.build_table`.
    start
        The fit with every slope tied, same options.
    past_border
        False stops at the border, where the climb along it would cost more than it tells.
    """
    parameters, at, arrived = _climb(table, tied_parameters(start, table.layout), 0.0)
    if not arrived and past_border:
        for barrier in _BARRIERS:
            parameters, at, _ = _climb(table, parameters, barrier)
    thresholds, slopes = table.layout.thresholds_slopes(parameters)
    return FreeFit(
        thresholds=thresholds,
        slopes=slopes,
        log_likelihood=at.point.log_likelihood,
        on_border=not arrived,
        parameters=parameters,
        layout=table.layout,
        information=at.information,
    )


def step_without_firings(table: Table, fit: FreeFit, firing: IntArray) -> FloatArray:
    """Return psi without each firing by one Newton step from the fit, shape (G, q).

    Notes
    -----
    Without firing g the gradient at the fit is minus the firing's score and the information
    what the others hold, so one step needs no new pass over the pieces. On the demo's luster,
    ten settings at four boundaries, the standard errors are 0.93 to 1.13 times those of exact
    refits, median 1.01.
    """
    scores, information = parts_at(table, fit.parameters)
    n_firings = int(firing.max()) + 1
    by_firing = np.zeros((n_firings, scores.shape[1]))
    np.add.at(by_firing, firing, scores)
    held = np.stack([information.of(np.flatnonzero(firing == g)) for g in range(n_firings)])
    # What is left may not tell some direction; a trace of the whole's scale keeps it solvable.
    trace = _LEAST_EIGENVALUE * float(np.trace(fit.information)) * np.eye(len(fit.parameters))
    left = fit.information - held + trace
    return np.asarray(fit.parameters - np.linalg.solve(left, by_firing[..., None])[..., 0])


def _climb(table: Table, parameters: FloatArray, barrier: float) -> tuple[FloatArray, _At, bool]:
    """Return where Newton ends from a start inside, and whether nothing stopped it."""
    start = _look(table, parameters, barrier)
    if start is None:
        raise RequestError("the start of a fit with free slopes lies beyond its border")
    directions = piece_directions(table)
    at = _evaluate(table, start, directions, barrier=barrier)
    for _ in range(table.options.max_iterations):
        step = _solve(at.information, at.gradient)
        there = _halve(table, at, step, barrier=barrier)
        if there is None:
            return at.point.parameters, at, float(at.gradient @ step) < _FLAT
        gain = there.penalised - at.point.penalised
        at = _evaluate(table, there, directions, barrier=barrier)
        if gain <= _STILL * (1.0 + abs(there.penalised)):
            flat = float(at.gradient @ _solve(at.information, at.gradient)) < _FLAT
            return there.parameters, at, flat
    return at.point.parameters, at, True


def _look(table: Table, parameters: FloatArray, barrier: float) -> _Point | None:
    """Return the model's value at a psi; None where cut points cross."""
    cuts, counts = cut_points(table, parameters), table.weights > 0.0
    gaps = np.diff(cuts[counts, 1:-1], axis=1)
    if gaps.size and gaps.min() <= 0.0:
        return None
    terms = piece_terms(table, cuts)
    value = float(table.weights @ np.where(counts, terms.log_probability, 0.0))
    pull = float(table.layout.penalty_share() @ penalty_value(parameters[None, :], table.options))
    held = barrier / len(gaps) * float(np.log(gaps).sum()) if barrier else 0.0
    return _Point(
        parameters=parameters,
        gaps=gaps,
        terms=terms,
        log_likelihood=value,
        penalised=value + pull + held,
    )


def _evaluate(table: Table, point: _Point, directions: FloatArray, *, barrier: float) -> _At:
    parameters, share = point.parameters, table.layout.penalty_share()
    scores, parts = piece_parts(table, point.terms, directions)
    gradient = scores.sum(axis=0) + share * penalty_gradient(parameters, table.options)
    information = parts.of(slice(None))
    information += np.diag(share * penalty_information(parameters, table.options))
    if barrier:
        apart = np.diff(table.D[table.weights > 0.0], axis=1).reshape(-1, len(parameters))
        push = apart / point.gaps.reshape(-1, 1)
        weight = barrier / len(point.gaps)
        gradient = gradient + weight * push.sum(axis=0)
        information = information + weight * (push.T @ push)
    return _At(point=point, gradient=gradient, information=information)


def _solve(information: FloatArray, gradient: FloatArray) -> FloatArray:
    """Return information^-1 gradient, directions the data do not tell left alone."""
    values, vectors = np.linalg.eigh(information)
    told = values > _LEAST_EIGENVALUE * max(float(values[-1]), 0.0)
    along = np.where(told, vectors.T @ gradient, 0.0) / np.where(told, values, 1.0)
    return np.asarray(vectors @ along)


def _halve(table: Table, at: _At, step: FloatArray, *, barrier: float) -> _Point | None:
    """Return the first of step, step/2, ... that gains; None if none does."""
    share = 1.0
    while share > _SMALLEST_STEP:
        there = _look(table, at.point.parameters + share * step, barrier)
        if there is not None and there.penalised >= at.point.penalised:
            return there
        share *= 0.5
    return None
