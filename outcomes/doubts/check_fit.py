"""Say when a fit or its redraws are not sound enough to be read as they stand.

Separation is looked for by linear programming on the data (method_in_depth §4), never read
off a library's flag; a separated factor keeps a finite estimate because of the weak penalty,
and the reader is told.
"""

import numpy as np

from outcomes.design.design import Design, Term
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.model.fit import CumulativeFit, FitStatus, ManyFits
from outcomes.model.separation import find_separation
from outcomes.resampling.proportion import wilson_interval

MANY_UNUSUAL = 0.05  # of the redraws; method_in_depth §3.2 step 6 uses the same share


def check_fit(
    design: Design, fit: CumulativeFit, redraws: ManyFits, codebook: Codebook
) -> tuple[Finding, ...]:
    """Return what a reader must know about the computation for one outcome."""
    outcome = codebook.outcome(design.spec.outcome)
    columns = _separated_columns(design)
    found = [
        _separated(design, term, codebook)
        for term in design.spec.terms
        if not columns.isdisjoint(term.columns)
    ]
    if fit.status is FitStatus.DOUBTFUL and not found:  # separation already says why
        found.append(_doubtful(outcome.label, fit))
    unusual = int(np.count_nonzero(redraws.unusual | ~redraws.converged))
    if unusual > MANY_UNUSUAL * len(redraws.values):
        found.append(_many_unusual(outcome.label, unusual, len(redraws.values)))
    return tuple(found)


def _separated_columns(design: Design) -> frozenset[str]:
    names = tuple(name for term in design.spec.terms for name in term.columns)
    return frozenset(find_separation(design.X, design.y, len(design.grades), names))


def _label(factor: str, codebook: Codebook) -> str:
    labels = {item.name: item.label for item in codebook.factors}
    return labels.get(factor, factor.replace("_", " "))


def _separated(design: Design, term: Term, codebook: Codebook) -> Finding:
    outcome = codebook.outcome(design.spec.outcome)
    label = _label(term.factor, codebook)
    counted = " ".join(_one_sided(design, term, level, codebook) for level in term.levels[1:])
    return Finding(
        code="separated",
        severity=Severity.WARNING,
        message=(
            f"{label} splits the {outcome.label.lower()} grades cleanly: on one side of it every "
            "piece came out one way. The data alone set no upper limit to such an effect, so the "
            f"number shown is held back by a weak pull toward no effect. {counted}".rstrip()
        ),
        advice=(
            f"Read the direction, not the size. A few more {codebook.piece_word}s on the side "
            "where only one grade has been seen would give a size."
        ),
        column=term.factor,
    )


def _one_sided(design: Design, term: Term, level: str, codebook: Codebook) -> str:
    """Return how little an unbroken row of pieces shows; "" where the row is broken.

    Firings are counted, not pieces, because pieces of a firing share their luck
    (method_in_depth.md §4).
    """
    slot = term.slots[term.levels.index(level) - 1]
    here = design.X[:, slot] > 0.5
    reached = design.y[here] >= design.aim
    if not here.any() or (reached.any() and not reached.all()):
        return ""
    firings = len(np.unique(design.firing[here]))
    limits = wilson_interval(firings if reached.all() else 0, firings)
    open_end = limits.low if reached.all() else limits.high
    verb = "all" if reached.all() else "none"
    phrase = codebook.outcome(design.spec.outcome).phrase
    return (
        f"Of the {int(here.sum())} {codebook.piece_word}s with '{level}', {verb} "
        f"{phrase}; that is {firings} {codebook.cluster_word}s, and so few leave room for "
        f"{'as few as' if reached.all() else 'up to'} {100 * open_end:.0f} in 100."
    )


def _doubtful(label: str, fit: CumulativeFit) -> Finding:
    return Finding(
        code="doubtful_fit",
        severity=Severity.WARNING,
        message=(
            f"The computation for {label.lower()} stands on thin legs: some columns say nearly "
            f"the same thing (condition number {fit.condition_number:.1e})."
        ),
        advice="Trust the intervals, which are wide for that reason, more than the numbers.",
    )


def _many_unusual(label: str, unusual: int, total: int) -> Finding:
    return Finding(
        code="unusual_redraws",
        severity=Severity.NOTE,
        message=(
            f"In {unusual} of {total} redraws of whole firings for {label.lower()}, a habit no "
            "longer varied or a grade no longer occurred. They are kept; a weak pull toward no "
            "effect keeps them finite."
        ),
        advice="Each such redraw shows how few firings carry the answer: more firings help.",
    )
