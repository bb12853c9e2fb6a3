"""Habits that were changed right after a firing that came out badly.

Bad luck does not repeat: after an unlucky firing the next one looks better whatever was
changed, and the change gets the credit (Galton 1886; Barnett, van der Pols & Dobson 2005,
doi:10.1093/ije/dyh299). What is looked at is therefore luck: each firing's average grade minus
what its settings foretold. With the raw grades a rare level that does harm would look changed
"after a bad firing" each time it was given up.

A setting counts as the firing's when at most a fifth of its variance (of its pieces, for
levels) is within firings. For each such setting, in order of date: the correlation of a
firing's luck with the size of the change from it to the next. The least correlation (bad
luck, then change) is compared with the least among all such settings with lucks shuffled.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.design.design import Design, FloatArray, IntArray, Term
from outcomes.doubts.scores import average_by_firing
from outcomes.effects.evidence import Evidence
from outcomes.log.codebook import Direction, Role, Shape
from outcomes.model.prediction import predict_grades

SHUFFLES: Final = 999
LEAST_FIRINGS: Final = 12
LEAST_CHANGES: Final = 4
MOST_WITHIN: Final = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitChange:
    """How changes of one setting went with the luck of the firing before.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    changes, after_bad
        Firings after which it was changed, and how many of these were unlucky.
    correlation
        Of a firing's luck (positive: better than its settings foretold) with the size of the
        change after it.
    p_value
        Chance of so low a correlation of any such setting, lucks shuffled.
    """

    outcome: str
    factor: str
    changes: int
    after_bad: int
    correlation: float
    p_value: float


def measure_habit_changes(
    evidence: Evidence, *, rng: np.random.Generator
) -> tuple[HabitChange, ...]:
    """Return one record a setting of the firing that was changed often enough.

    Returns
    -------
    tuple of HabitChange
        Empty without dates, under 12 firings, or when no direction of the outcome is better.
    """
    design, codebook = evidence.design, evidence.codebook
    order = _dated_order(design, codebook.date)
    wanted = codebook.outcome(design.spec.outcome).wanted
    if len(order) < LEAST_FIRINGS or wanted not in (Direction.HIGHER, Direction.LOWER):
        return ()
    luck = firing_luck(evidence)[order] * (1.0 if wanted is Direction.HIGHER else -1.0)
    terms, sizes = [], []
    for term in design.spec.terms:
        if term.role is Role.SETTING and term.factor != codebook.glaze:
            size = _change_sizes(design, term, order)
            if size is not None and np.count_nonzero(size) >= LEAST_CHANGES and size.std() > 0.0:
                terms.append(term)
                sizes.append(size)
    return _compare(design, terms, np.array(sizes), luck[:-1], rng=rng) if terms else ()


def firing_luck(evidence: Evidence) -> FloatArray:
    """Return each firing's average grade minus what its settings foretold, shape (G,)."""
    design = evidence.design
    chances = predict_grades(design.X, evidence.fit.parameters(), evidence.n_grades, evidence.link)
    foretold = chances @ np.arange(evidence.n_grades)
    return average_by_firing(design.y - foretold, design.firing)


def _dated_order(design: Design, date: str) -> IntArray:
    """Return the firings by date; empty unless all of them have one, on different days."""
    none = np.zeros(0, dtype=np.int64)
    if not date or date not in design.frame:
        return none
    days = design.frame[date].groupby(design.firing).min()
    if days.isna().any() or days.duplicated().any():
        return none
    return np.asarray(np.argsort(days.to_numpy(), kind="stable"), dtype=np.int64)


def _change_sizes(design: Design, term: Term, order: IntArray) -> FloatArray | None:
    """Return how much a setting changed to the next firing, (G-1,); None if not the firing's."""
    values = design.frame[term.factor]
    if term.shape is Shape.LEVELS:
        names = values.astype(str)
        usual = names.groupby(design.firing).agg(lambda here: here.mode().iloc[0]).to_numpy()
        if float((names.to_numpy() != usual[design.firing]).mean()) > MOST_WITHIN:
            return None
        return np.asarray(usual[order][1:] != usual[order][:-1], dtype=np.float64)
    numbers = values.to_numpy(float)
    means = average_by_firing(numbers, design.firing)
    if float(np.var(numbers - means[design.firing])) > MOST_WITHIN * float(np.var(numbers)):
        return None
    return np.asarray(np.abs(np.diff(means[order])))


def _compare(
    design: Design,
    terms: list[Term],
    sizes: FloatArray,
    luck: FloatArray,
    *,
    rng: np.random.Generator,
) -> tuple[HabitChange, ...]:
    """Return the records, with the chance of so low a correlation among all settings."""
    shuffled = np.tile(luck, (SHUFFLES + 1, 1))
    shuffled[1:] = rng.permuted(shuffled[1:], axis=1)
    correlations = _standard(shuffled) @ _standard(sizes).T / len(luck)
    least = correlations.min(axis=1)
    changed = sizes > 0.5 * sizes.max(axis=1, keepdims=True)
    return tuple(
        HabitChange(
            outcome=design.spec.outcome,
            factor=term.factor,
            changes=int(changed[j].sum()),
            after_bad=int((changed[j] & (luck < 0.0)).sum()),
            correlation=float(correlations[0, j]),
            p_value=(1.0 + float((least[1:] <= correlations[0, j] + 1e-12).sum()))
            / (SHUFFLES + 1.0),
        )
        for j, term in enumerate(terms)
    )


def _standard(values: FloatArray) -> FloatArray:
    """Return rows with mean 0 and standard deviation 1."""
    spread = values.std(axis=-1, keepdims=True)
    return np.asarray((values - values.mean(axis=-1, keepdims=True)) / spread)
