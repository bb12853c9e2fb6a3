"""How many columns a log can carry, and what gives way when there are too many.

The limit is the smaller of

* n_ord / 5, with n_ord = N - sum(n_k^3) / N^2 the effective number of graded pieces
  (Whitehead 1993, doi:10.1002/sim.4780122404; Harrell 2015, §4.4): five a column; and
* G - 2 firings: with as many columns as firings the redraws say nothing any more
  (method.md §2, measured at 12 firings and 12 columns).

and never less than one. What gives way, one step at a time until the columns fit:

1. windows that are splines become parabolas, the last of the codebook first;
2. "other" levels are counted with the commonest level, where a third level is left;
3. conditions leave, the last of the codebook first, the date trend last of them;
4. windows become straight, the last of the codebook first;
5. choices named in words other than the glaze (clay body, form) leave, the last first;
6. groupings leave;
7. settings leave, the one that departs from its usual value in the fewest firings first;
   the glaze is the last of all.

Conditions go before windows are straightened: the curve is part of what a setting does, and
a straight line through a real window reads as "makes no difference", the costliest mistake
here; weather hardly moves with the maker's choices, so leaving it out biases little.
Groupings (who did it) stay longer because habits do move with people.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from outcomes.design.design import Excluded, IntArray, Term
from outcomes.design.rows import Rows, count_other_firings
from outcomes.design.shapes import OTHER, TREND, pool_level, soften, straighten
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Kind, Role, Shape

PIECES_A_COLUMN = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Budgeted:
    """What is left after the columns were made to fit, and what gave way."""

    terms: tuple[Term, ...]
    excluded: tuple[Excluded, ...]
    findings: tuple[Finding, ...]


def effective_pieces(grade: IntArray) -> float:
    """Return N - sum(n_k^3) / N^2: what N graded pieces are worth.

    >>> effective_pieces(np.array([0, 1, 2, 3]))
    3.75
    """
    counts = np.unique(grade, return_counts=True)[1].astype(float)
    n = counts.sum()
    return float(n - (counts**3).sum() / n**2)


def largest_columns(grade: IntArray, n_firings: int) -> int:
    """Return how many columns the log can carry."""
    return max(1, min(int(effective_pieces(grade) // PIECES_A_COLUMN), n_firings - 2))


def fit_budget(terms: tuple[Term, ...], rows: Rows, codebook: Codebook) -> Budgeted:
    """Return the terms that fit the log, with every sacrifice said."""
    limit = largest_columns(rows.grade, len(rows.firing_names))
    state = Budgeted(terms=terms, excluded=(), findings=())
    if count_columns(terms) <= limit:
        return state
    for step in _steps(terms, rows, codebook):
        if count_columns(state.terms) <= limit:
            break
        state = step(state)
    if state.terms == terms:
        return state
    return replace(state, findings=(_said(terms, state, limit, rows), *state.findings))


def count_columns(terms: tuple[Term, ...]) -> int:
    """Return the number of columns of some terms."""
    return sum(len(term.columns) for term in terms)


_Step = Callable[[Budgeted], Budgeted]


def _steps(terms: tuple[Term, ...], rows: Rows, codebook: Codebook) -> list[_Step]:
    """Return every possible sacrifice, in the order of the module's rule."""
    last_first = terms[::-1]
    names = {f.name for f in codebook.factors if f.kind is Kind.NAME}
    conditions = [t for t in last_first if t.role is Role.CONDITION]
    settings = [t for t in last_first if t.role is Role.SETTING and t.factor != codebook.glaze]
    choices = [t for t in settings if t.factor in names]
    others = [t for t in settings if t.factor not in names]
    others.sort(key=lambda t: count_other_firings(rows.frame[t.factor], rows.firing))
    leaving = [t for t in conditions if t.factor != TREND]
    leaving += [t for t in conditions if t.factor == TREND]
    after = choices + [t for t in last_first if t.role is Role.GROUPING] + others
    after += [t for t in terms if t.factor == codebook.glaze]
    return [
        *(_softening(t.factor) for t in last_first if t.knots),
        *(_pooling(t.factor) for t in last_first if OTHER in t.levels[1:] and len(t.levels) > 2),
        *(_leaving(t.factor, codebook) for t in leaving),
        *(_straightening(t.factor) for t in last_first if t.shape is Shape.WINDOW),
        *(_leaving(t.factor, codebook) for t in after),
    ]


def _pooling(factor: str) -> _Step:
    def step(state: Budgeted) -> Budgeted:
        return _change(state, factor, lambda term: pool_level(term, OTHER))

    return step


def _softening(factor: str) -> _Step:
    def step(state: Budgeted) -> Budgeted:
        return _change(state, factor, soften)

    return step


def _straightening(factor: str) -> _Step:
    def step(state: Budgeted) -> Budgeted:
        return _change(state, factor, straighten)

    return step


def _change(state: Budgeted, factor: str, change: Callable[[Term], Term]) -> Budgeted:
    terms = tuple(change(t) if t.factor == factor else t for t in state.terms)
    return replace(state, terms=terms)


def _leaving(factor: str, codebook: Codebook) -> _Step:
    def step(state: Budgeted) -> Budgeted:
        if len(state.terms) == 1:
            return state
        gone = next(t for t in state.terms if t.factor == factor)
        reason = (
            "The log is too small to hold this beside everything else that was written down. "
            "What was recorded but not chosen gives way first, then choices named in words and "
            f"groups, then the settings that were changed in the fewest {codebook.cluster_word}s."
        )
        excluded = Excluded(factor=factor, role=gone.role, code="too_many_columns", reason=reason)
        return replace(
            state,
            terms=tuple(t for t in state.terms if t.factor != factor),
            excluded=(*state.excluded, excluded),
        )

    return step


def _said(before: tuple[Term, ...], state: Budgeted, limit: int, rows: Rows) -> Finding:
    """Return the finding that names everything that gave way."""
    after = {term.factor: term for term in state.terms}
    pooled = [t.factor for t in before if OTHER in t.levels and OTHER not in _levels(after, t)]
    bent = [t.factor for t in before if t.shape is Shape.WINDOW and _shape(after, t) != t.shape]
    softened = [t.factor for t in before if t.knots and _is_parabola(after, t)]
    gone = [e.factor for e in state.excluded]
    labels = {factor.name: _lower_first(factor.label) for factor in rows.factors}
    parts = [
        (pooled, "rare levels counted with the commonest: "),
        (softened, "entered as parabolas: "),
        (bent, "entered as straight lines: "),
        (gone, "left out: "),
    ]
    changed = "; ".join(
        words + ", ".join(labels.get(name, name) for name in names)
        for names, words in parts
        if names
    )
    return Finding(
        code="too_many_columns",
        severity=Severity.WARNING,
        message=(
            f"{len(rows.grade)} graded pieces from {len(rows.firing_names)} firings can carry "
            f"{limit} column{'' if limit == 1 else 's'}; what was written down needs "
            f"{count_columns(before)}. {changed[:1].upper()}{changed[1:]}."
        ),
        advice="More firings let more be looked at together.",
    )


def _lower_first(label: str) -> str:
    """Return a label for the middle of a sentence; a shortened word keeps its capitals."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def _levels(after: dict[str, Term], term: Term) -> tuple[str, ...]:
    return after[term.factor].levels if term.factor in after else term.levels


def _is_parabola(after: dict[str, Term], term: Term) -> bool:
    return _shape(after, term) is Shape.WINDOW and not after.get(term.factor, term).knots


def _shape(after: dict[str, Term], term: Term) -> Shape:
    return after[term.factor].shape if term.factor in after else term.shape
