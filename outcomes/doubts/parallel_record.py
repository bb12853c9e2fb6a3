"""The published tests of proportional odds on one outcome's model, for the researcher.

They take pieces as independent and fit by plain maximum likelihood; beside them belongs the
test of `grade_effects`, which does not. Where a fit without the penalty has no finite maximum
(separated data) there is no statistic, and that is said instead.
"""

from dataclasses import dataclass, replace

import numpy as np

from outcomes.design.design import Design
from outcomes.doubts.parallel_tests import (
    BrantTest,
    ChiSquare,
    brant_of,
    brant_test,
    free_likelihood_ratio,
    score_test,
)
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Penalty


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorTest:
    """One factor's slopes alike at every grade? None where a fit has no finite maximum."""

    factor: str
    likelihood_ratio: ChiSquare | None
    brant: ChiSquare | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ParallelTests:
    """Tests that all slopes, or one factor's, are alike at every grade boundary.

    ``score`` and ``brant`` set every slope free; None where they cannot be had. ``separated``
    is True when already the fit with one slope each has no finite maximum.
    """

    outcome: str
    score: ChiSquare | None
    brant: ChiSquare | None
    factors: tuple[FactorTest, ...]
    separated: bool = False


def measure_parallel(design: Design) -> ParallelTests | None:
    """Return the tests for an outcome's design; None for a yes/no outcome or without columns."""
    n_grades = len(design.grades)
    if n_grades < 3 or not design.spec.terms:
        return None
    bare = ParallelTests(outcome=design.spec.outcome, score=None, brant=None, factors=())
    tied = fit_cumulative(design.X, design.y, n_grades, options=FitOptions(penalty=Penalty.NONE))
    if tied.status is not FitStatus.CONVERGED:
        return replace(bare, separated=True)
    brant = _try_brant(design)
    return replace(
        bare,
        score=score_test(design.X, design.y, n_grades=n_grades),
        brant=None if brant is None else brant.omnibus,
        factors=tuple(
            FactorTest(
                factor=term.factor,
                likelihood_ratio=free_likelihood_ratio(
                    design.X, design.y, tied=tied, free=term.slots
                ),
                brant=None if brant is None else brant_of(brant, term.slots),
            )
            for term in design.spec.terms
        ),
    )


def _try_brant(design: Design) -> BrantTest | None:
    """Return Brant's test; None where a binary logit has no finite fit or its errors do not."""
    try:
        return brant_test(design.X, design.y, n_grades=len(design.grades))
    except np.linalg.LinAlgError:
        return None
