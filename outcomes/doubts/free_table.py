"""The cumulative model with some slopes free to differ from grade to grade, piece by piece.

Notation: X (n, p), y (n,) grades 0..K-1, cut k = 1..K-1; of the columns, some are *free* (own
slope at every cut), the others *tied* (one slope)::

    P(y < k) = F(a_k),   a_k = theta_k - x_tied'beta - x_free'gamma_k

psi = (theta, beta, gamma_1, ..., gamma_{K-1}), q numbers. D (n, K-1, q) are the derivatives of
the cut points by psi. The penalty of a free column is shared out over its K-1 slopes, so that
equal slopes cost what one tied slope does.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray, IntArray
from outcomes.model.fit import FitOptions
from outcomes.model.link_terms import IntervalTerms
from outcomes.model.links import interval_terms


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceInformation:
    """The observed information of every piece, kept as its three parts."""

    curves: FloatArray  # (3, n)
    directions: FloatArray  # (3, n, q)

    def of(self, rows: IntArray | slice) -> FloatArray:
        """Return the information of some pieces, shape (q, q)."""
        parts = zip(self.curves, self.directions, strict=True)
        return np.asarray(sum(d[rows].T @ (c[rows, None] * d[rows]) for c, d in parts))


def cut_points(table: Table, parameters: FloatArray) -> FloatArray:
    """Return every piece's cut points with the two infinities, shape (n, K+1)."""
    inner = table.D @ parameters
    end = np.full((len(inner), 1), np.inf)
    return np.concatenate([-end, inner, end], axis=1)


def piece_terms(table: Table, at: FloatArray) -> IntervalTerms:
    """Return every piece's log-chance of its own grade and its derivatives, arrays (n,).

    Parameters
    ----------
    table
        The pieces.
    at : array, shape (n, K+1)
        Their `cut_points`.
    """
    rows = np.arange(len(table.y))
    lower, upper = at[rows, table.y], at[rows, table.y + 1]
    return interval_terms(lower, upper, upper - lower, table.options.link)


def piece_directions(table: Table) -> FloatArray:
    """Return how each piece's upper and lower cut point and their gap follow psi, (3, n, q)."""
    rows = np.arange(len(table.y))
    none = np.zeros((len(rows), 1, table.D.shape[2]))
    D = np.concatenate([none, table.D, none], axis=1)
    down, up = D[rows, table.y], D[rows, table.y + 1]
    return np.stack([up, down, up - down])


def piece_parts(
    table: Table, terms: IntervalTerms, directions: FloatArray
) -> tuple[FloatArray, PieceInformation]:
    """Return every piece's score (n, q) and information, penalty left out.

    Parameters
    ----------
    table
        The pieces.
    terms, directions
        From `piece_terms` and `piece_directions`: these are the same at every psi.
    """
    w, (up, down, _) = table.weights, directions
    scores = (w * terms.upper_pull)[:, None] * up - (w * terms.lower_pull)[:, None] * down
    curves = np.stack([w * terms.upper_curve, w * terms.lower_curve, w * terms.coupling])
    return scores, PieceInformation(curves=curves, directions=directions)


def parts_at(table: Table, parameters: FloatArray) -> tuple[FloatArray, PieceInformation]:
    """Return the same at one psi."""
    terms = piece_terms(table, cut_points(table, parameters))
    return piece_parts(table, terms, piece_directions(table))
