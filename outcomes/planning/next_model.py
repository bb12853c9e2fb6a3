"""One outcome's planning model: what the log has told, what a new piece would tell.

The cumulative model's expected information of a piece about its cut points is averaged over the
log. With the average T for every piece, sum D'TD with D = [I, -1x'] and thresholds taken out is
*exactly* w (sum xx' - n mean mean'), w = 1'T1: a straight-line model with an intercept and one
precision w. So designs are compared by Z'(I + tau 11')^-1 Z, Z = [1, x], times w; the log's own
pieces add theirs, and a ridge of 1/4 a column, the curvature of the fit's log-F(1,1) penalty at
no effect, keeps what is aliased finite.

The average, and not each piece's own weight at the fit, is deliberate. A weight is largest where
the fit expects an even chance: a plan that chased it would lean on the very estimates that are
in doubt, and for losses would ask for pieces of which half break.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outcomes.design.design import Term
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Contrast
from outcomes.effects.support import value_columns
from outcomes.log.codebook import Codebook
from outcomes.model.likelihood import information_by_firing
from outcomes.planning.next_choices import Choice
from outcomes.planning.next_information import (
    FloatArray,
    contrast_variance,
    log_information,
    take_out,
)
from outcomes.planning.next_known import Known
from outcomes.planning.next_questions import Open, Question
from outcomes.planning.next_terms import (
    find_plan_term,
    new_columns,
    old_columns,
    settled_columns,
)

RIDGE = 0.25
_FLAT = 1e-9  # an intercept needs no pull, only a number that can be divided by
# A tangle counts this many undecided questions: until it is broken nothing is learnt of either.
TANGLE_WEIGHT = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanModel:
    """What one outcome's questions need, planned columns first.

    Parameters
    ----------
    outcome
        Canonical name.
    base : array, shape (q,)
        Columns of a new piece before any choice: the intercept.
    tables : tuple of arrays, each (values of choice j, q)
        What each value of each choice adds.
    graded : tuple of bool arrays, each (values of choice j,)
        Whether a piece with that value is graded on this outcome (False for other glazes).
    full : array, shape (Q, Q)
        Information of the log, all columns, planned ones first; without the ridge.
    precision, luck
        w and tau.
    rows : array, shape (n, Q)
        Columns of the log's pieces.
    places
        (factor, columns of it among Q), all factors.
    contrasts : array, shape (T, q)
        Of `questions`, in their order.
    weights : array, shape (q, q)
        C of the criterion.
    pieces
        n, graded pieces of the log.
    """

    outcome: str
    base: FloatArray
    tables: tuple[FloatArray, ...]
    graded: tuple[NDArray[np.bool_], ...]
    full: FloatArray
    precision: float
    luck: float
    rows: FloatArray
    places: tuple[tuple[str, tuple[int, ...]], ...]
    contrasts: FloatArray
    weights: FloatArray
    pieces: int

    def known(self, times: float = 1.0) -> FloatArray:
        """Return what the log tells of the planned columns, (q, q), fired so many times over."""
        return take_out(times * self.full + self._ridge(), len(self.base))

    def sampling_variance(
        self, contrast: FloatArray, *, times: float = 1.0, news: FloatArray | None = None
    ) -> float:
        """Return how much a contrast's estimate would vary from log to log.

        Parameters
        ----------
        contrast : array, shape (q,)
        times
            The log fired so many times over.
        news : array, shape (q, q)
            What planned firings add; None for nothing.

        Notes
        -----
        The estimate is pulled toward no effect, so its variance is c' M^-1 F M^-1 c, F the
        information without the ridge and M with it; c' M^-1 c, which the search makes small,
        also counts what the pull hides. The two part where settings are tangled.
        """
        told = times * self.full
        kept = len(self.base)
        if news is not None:
            told[:kept, :kept] += news
        padded = np.zeros(len(told))
        padded[:kept] = contrast
        solved = np.linalg.solve(told + self._ridge(), padded)
        return float(solved @ told @ solved)

    def _ridge(self) -> FloatArray:
        ridge = np.full(len(self.full), RIDGE)
        ridge[0] = _FLAT
        return np.diag(ridge)

    def piece_columns(self, index: NDArray[np.int64]) -> FloatArray:
        """Return the columns of pieces given by the index of each choice, (..., q).

        A piece that is not graded on this outcome has zeros.
        """
        total = self.base + sum(table[index[..., j]] for j, table in enumerate(self.tables))
        is_graded = np.ones(index.shape[:-1], dtype=bool)
        for j, graded in enumerate(self.graded):
            is_graded &= graded[index[..., j]]
        return np.asarray(np.where(is_graded[..., None], total, 0.0))


def build_plan_model(
    one: Known,
    questions: Sequence[Question],
    *,
    planned: Sequence[Choice],
    settled: Mapping[str, Choice],
    codebook: Codebook,
) -> PlanModel:
    """Return an outcome's planning model.

    Parameters
    ----------
    one
        The outcome as known.
    questions
        Those of this outcome about planned settings.
    planned
        The choices that vary, the glaze among them.
    settled
        Every other setting, by name, at its usual value.
    codebook
        For the glaze and the contrasts of a window.
    """
    design = one.design
    terms = [find_plan_term(design, choice) for choice in planned]
    inner = [old_columns(design, t, c) for t, c in zip(terms, planned, strict=True)]
    slots, standing = settled_columns(design, [c.factor for c in planned], dict(settled))
    outer = design.X[:, slots] - standing
    rows = np.column_stack([np.ones(len(design.y)), *inner, outer])
    starts = 1 + np.cumsum([0, *(part.shape[1] for part in inner)])
    kept = int(starts[-1])
    placed = [slice(int(a), int(b)) for a, b in zip(starts[:-1], starts[1:], strict=True)]
    precision = _mean_precision(one)
    full = precision * log_information(rows, design.firing, one.luck)
    contrasts = np.zeros((len(questions), kept))
    by_name = {c.factor: (t, s) for c, t, s in zip(planned, terms, placed, strict=True)}
    for t, question in enumerate(questions):
        contrasts[t] = _place(question.contrast, by_name, kept)
    model = PlanModel(
        outcome=one.outcome.name,
        base=np.eye(kept)[0],
        tables=tuple(
            _table(new_columns(t, c), s, kept)
            for t, c, s in zip(terms, planned, placed, strict=True)
        ),
        graded=tuple(_graded(one, choice, codebook) for choice in planned),
        full=full,
        precision=precision,
        luck=one.luck,
        rows=rows,
        places=_places(one, planned, placed, kept),
        contrasts=contrasts,
        weights=np.zeros((kept, kept)),
        pieces=len(design.y),
    )
    return _weighted(model, questions, by_name, list(choose_contrasts(design, codebook)))


def _weighted(
    model: PlanModel,
    questions: Sequence[Question],
    by_name: Mapping[str, tuple[Term, slice]],
    candidates: Sequence[Contrast],
) -> PlanModel:
    """Return the model with C: each question counts by the share of its variance that stays.

    Dividing by today's variance makes questions on different scales comparable, and no
    question that is out of reach rules the plan. A window's comparisons share its weight.
    """
    kept = len(model.base)
    total = np.zeros((kept, kept))
    for question in questions:
        same = [c for c in candidates if c.factor == question.factor]
        looked_at = same if question.effect is not None and len(same) > 1 else [question.contrast]
        weight = TANGLE_WEIGHT if question.open is Open.TANGLED else 1.0
        for contrast in looked_at:
            c = _place(contrast, by_name, kept)
            today = float(contrast_variance(model.known(), c[None])[0])
            if today > 0.0:
                total += weight / len(looked_at) / today * np.outer(c, c)
    return replace(model, weights=total)


def _place(contrast: Contrast, by_name: Mapping[str, tuple[Term, slice]], kept: int) -> FloatArray:
    """Return a comparison as a vector over the planned columns."""
    vector = np.zeros(kept)
    term, place = by_name[contrast.factor]
    vector[place] = value_columns(term, contrast.to_value) - value_columns(
        term, contrast.from_value
    )
    return vector


def _table(columns: FloatArray, place: slice, kept: int) -> FloatArray:
    table = np.zeros((len(columns), kept))
    table[:, place] = columns
    return table


def _graded(one: Known, choice: Choice, codebook: Codebook) -> NDArray[np.bool_]:
    """Return for which values a piece is graded on this outcome."""
    names = {name.casefold() for name in one.outcome.applies_to}
    if choice.factor != codebook.glaze or not names:
        return np.ones(len(choice.values), dtype=bool)
    return np.array([str(value).casefold() in names for value in choice.values])


def _places(
    one: Known, planned: Sequence[Choice], placed: Sequence[slice], kept: int
) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """Return where every factor's columns stand in the full rows."""
    found = [
        (choice.factor, tuple(range(place.start, place.stop)))
        for choice, place in zip(planned, placed, strict=True)
    ]
    names = {choice.factor for choice in planned}
    start = kept
    for term in one.design.spec.terms:
        if term.factor not in names:
            found.append((term.factor, tuple(range(start, start + len(term.slots)))))
            start += len(term.slots)
    return tuple(found)


def _mean_precision(one: Known) -> float:
    """Return w: information about a common shift of all cut points, a piece of the log."""
    design, last = one.design, len(one.design.grades) - 1
    information = information_by_firing(
        design.X, design.y, len(design.grades), design.firing, one.fit
    ).sum(axis=0)
    return float(information[:last, :last].sum()) / len(design.y)
