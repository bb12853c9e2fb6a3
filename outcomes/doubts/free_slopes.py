"""The cumulative model with some slopes free to differ from grade to grade.

Notation: X (n, p), y (n,) grades 0..K-1, cut k = 1..K-1; of the columns, some are *free* (own
slope at every cut), the others *tied* (one slope)::

    P(y < k) = F(a_k),   a_k = theta_k - x_tied'beta - x_free'gamma_k

psi = (theta, beta, gamma_1, ..., gamma_{K-1}), q numbers. D (n, K-1, q) are the derivatives of
the cut points by psi. The cut points of every piece must increase, or some chance would be
negative: a Newton step that crosses them is halved. The penalty of a free column is shared
out over its K-1 slopes, so that equal slopes cost what one tied slope does.

References
----------
Peterson & Harrell (1990), Applied Statistics 39, 205-217, doi:10.2307/2347760.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.design.design import FloatArray, IntArray
from outcomes.model.fit import CumulativeFit, FitOptions
from outcomes.model.links import interval_terms
from outcomes.model.penalty import penalty_gradient, penalty_information, penalty_value

_SMALLEST_STEP: Final = 2.0**-20
_LEAST_EIGENVALUE: Final = 1e-12  # relative; smaller directions are not told by the data
_STILL: Final = 1e-10  # of the log-likelihood, relative: below it nothing more is gained


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
    settled
        False when the last step could not be taken: cut points of some piece would cross.
    parameters : array, shape (q,)
    layout
        Where the parameters stand, see `Layout`.
    information : array, shape (q, q)
        Penalised, at the fit.
    """

    thresholds: FloatArray
    slopes: FloatArray
    log_likelihood: float
    settled: bool
    parameters: FloatArray
    layout: "Layout"
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """Which number of psi is which: cuts K-1, columns p, positions of tied and free columns."""

    cuts: int
    columns: int
    tied: IntArray
    free: IntArray

    @property
    def size(self) -> int:
        """Return q."""
        return self.cuts * (1 + len(self.free)) + len(self.tied)

    def thresholds_slopes(self, parameters: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return thresholds (..., K-1) and slopes (..., K-1, p) of one or many psi."""
        start = self.cuts + len(self.tied)
        slopes = np.zeros((*parameters.shape[:-1], self.cuts, self.columns))
        slopes[..., self.tied] = parameters[..., None, self.cuts : start]
        own = parameters[..., start:].reshape((*parameters.shape[:-1], self.cuts, len(self.free)))
        slopes[..., self.free] = own
        return parameters[..., : self.cuts], slopes

    def penalty_share(self) -> FloatArray:
        """Return how much of a full penalty each number of psi bears, shape (q,)."""
        each = np.full(self.cuts * len(self.free), 1.0 / self.cuts)
        return np.concatenate([np.zeros(self.cuts), np.ones(len(self.tied)), each])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _At:
    """The model at one psi: value with and without penalty, gradient, information."""

    log_likelihood: float
    penalised: float
    gradient: FloatArray
    information: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Table:
    """The pieces as the fit sees them: cut-point derivatives, grades, weights."""

    D: FloatArray
    y: IntArray
    weights: FloatArray
    options: FitOptions
    layout: Layout


def build_table(
    X: FloatArray,
    y: IntArray,
    *,
    n_grades: int,
    free: Sequence[int],
    options: FitOptions,
    weights: FloatArray | None = None,
) -> Table:
    """Return the cut-point derivatives of every piece for a choice of free columns."""
    n, p = X.shape
    cuts = n_grades - 1
    own = np.array(sorted(free), dtype=np.int64)
    layout = Layout(cuts=cuts, columns=p, tied=np.setdiff1d(np.arange(p), own), free=own)
    D = np.zeros((n, cuts, layout.size))
    D[:, np.arange(cuts), np.arange(cuts)] = 1.0
    D[:, :, cuts : cuts + len(layout.tied)] = -X[:, None, layout.tied]
    for k in range(cuts):
        start = cuts + len(layout.tied) + k * len(own)
        D[:, k, start : start + len(own)] = -X[:, own]
    held = np.ones(n) if weights is None else weights
    return Table(D=D, y=y, weights=held, options=options, layout=layout)


def tied_parameters(fit: CumulativeFit, layout: Layout) -> FloatArray:
    """Return psi with every free slope at its tied value: where a free fit starts."""
    own = np.tile(fit.slopes[layout.free], layout.cuts)
    return np.concatenate([fit.thresholds, fit.slopes[layout.tied], own])


def fit_free_slopes(table: Table, start: CumulativeFit) -> FreeFit:
    """Return the fit with free slopes.

    Parameters
    ----------
    table
        From `build_table`.
    start
        The fit with every slope tied, same options.
    """
    parameters = tied_parameters(start, table.layout)
    at = _evaluate(table, parameters)
    settled = False
    for _ in range(table.options.max_iterations):
        step = _newton_step(at)
        there, next_at = _halve(table, parameters, step, at)
        if next_at is None:
            settled = float(at.gradient @ step) < 1e-6
            break
        gain = next_at.penalised - at.penalised
        parameters, at = there, next_at
        if gain <= _STILL * (1.0 + abs(at.penalised)):
            settled = True
            break
    thresholds, slopes = table.layout.thresholds_slopes(parameters)
    return FreeFit(
        thresholds=thresholds,
        slopes=slopes,
        log_likelihood=at.log_likelihood,
        settled=settled,
        parameters=parameters,
        layout=table.layout,
        information=at.information,
    )


def step_without_firings(table: Table, fit: FreeFit, firing: IntArray) -> FloatArray:
    """Return psi without each firing by one Newton step from the fit, shape (G, q).

    Notes
    -----
    Without firing g the gradient at the fit is minus the firing's score and the information
    what the others hold, so one step needs no new pass over the pieces. Against exact refits
    the standard errors of contrasts agree to a few per cent (tests/doubts).
    """
    scores, information = piece_parts(table, fit.parameters)
    n_firings = int(firing.max()) + 1
    by_firing = np.zeros((n_firings, scores.shape[1]))
    np.add.at(by_firing, firing, scores)
    held = np.stack([information.of(np.flatnonzero(firing == g)) for g in range(n_firings)])
    # What is left may not tell some direction; a trace of the whole's scale keeps it solvable.
    trace = _LEAST_EIGENVALUE * float(np.trace(fit.information)) * np.eye(len(fit.parameters))
    left = fit.information - held + trace
    return np.asarray(fit.parameters - np.linalg.solve(left, by_firing[..., None])[..., 0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceInformation:
    """The observed information of every piece, kept as its three parts."""

    curves: FloatArray  # (3, n)
    directions: FloatArray  # (3, n, q)

    def of(self, rows: IntArray | slice) -> FloatArray:
        """Return the information of some pieces, shape (q, q)."""
        parts = zip(self.curves, self.directions, strict=True)
        return np.asarray(sum(d[rows].T @ (c[rows, None] * d[rows]) for c, d in parts))


def piece_parts(table: Table, parameters: FloatArray) -> tuple[FloatArray, PieceInformation]:
    """Return every piece's score (n, q) and information, penalty left out."""
    at = np.pad(table.D @ parameters, ((0, 0), (1, 1)), constant_values=((0, 0), (-np.inf, np.inf)))
    rows = np.arange(len(table.y))
    lower, upper = at[rows, table.y], at[rows, table.y + 1]
    terms = interval_terms(lower, upper, upper - lower, table.options.link)
    none = np.zeros((len(rows), 1, table.D.shape[2]))
    D = np.concatenate([none, table.D, none], axis=1)
    down, up = D[rows, table.y], D[rows, table.y + 1]
    w = table.weights
    scores = (w * terms.upper_pull)[:, None] * up - (w * terms.lower_pull)[:, None] * down
    curves = np.stack([w * terms.upper_curve, w * terms.lower_curve, w * terms.coupling])
    return scores, PieceInformation(curves=curves, directions=np.stack([up, down, up - down]))


def _log_likelihood(table: Table, parameters: FloatArray) -> float:
    """Return the log-likelihood; -inf where the cut points of a piece do not increase."""
    at = table.D @ parameters
    if at.shape[1] > 1 and np.diff(at, axis=1)[table.weights > 0.0].min() <= 0.0:
        return -np.inf
    ends = np.pad(at, ((0, 0), (1, 1)), constant_values=((0, 0), (-np.inf, np.inf)))
    rows = np.arange(len(table.y))
    lower, upper = ends[rows, table.y], ends[rows, table.y + 1]
    terms = interval_terms(lower, upper, upper - lower, table.options.link)
    return float(table.weights @ np.where(table.weights > 0.0, terms.log_probability, 0.0))


def _penalty(table: Table, parameters: FloatArray) -> float:
    share = table.layout.penalty_share()
    return float(share @ penalty_value(parameters[None, :], table.options))


def _evaluate(table: Table, parameters: FloatArray) -> _At:
    scores, parts = piece_parts(table, parameters)
    share = table.layout.penalty_share()
    value = _log_likelihood(table, parameters)
    pull = share * penalty_gradient(parameters, table.options)
    curve = share * penalty_information(parameters, table.options)
    return _At(
        log_likelihood=value,
        penalised=value + _penalty(table, parameters),
        gradient=scores.sum(axis=0) + pull,
        information=parts.of(slice(None)) + np.diag(curve),
    )


def _newton_step(at: _At) -> FloatArray:
    return _solve(at.information, at.gradient)


def _solve(information: FloatArray, gradient: FloatArray) -> FloatArray:
    """Return information^-1 gradient, directions the data do not tell left alone."""
    values, vectors = np.linalg.eigh(information)
    told = values > _LEAST_EIGENVALUE * max(float(values[-1]), 0.0)
    along = np.where(told, vectors.T @ gradient, 0.0) / np.where(told, values, 1.0)
    return np.asarray(vectors @ along)


def _halve(
    table: Table, parameters: FloatArray, step: FloatArray, at: _At
) -> tuple[FloatArray, _At | None]:
    """Return the first of step, step/2, ... that gains, and the model there; None if none."""
    share = 1.0
    while share > _SMALLEST_STEP:
        there = parameters + share * step
        value = _log_likelihood(table, there)
        if np.isfinite(value) and value + _penalty(table, there) >= at.penalised:
            return there, _evaluate(table, there)
        share *= 0.5
    return parameters, None
