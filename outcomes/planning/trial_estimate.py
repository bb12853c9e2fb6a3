"""The model of a trial, and what of it is permuted.

The log is cut down to the pieces of the two values, and the factor to two levels, so that nothing
is assumed about the values between: a curve through all of them would make the difference of one
pair depend on the others. The model holds the factor and what the plan adjusts for, nothing else.

What is permuted are the residuals of the model without the factor (Freedman & Lane 1983, Journal
of Business & Economic Statistics 1, 292-298): a piece's derivative of the log-likelihood by its
linear predictor. They do not depend on who got which value, so the permutation is exact; without
anything to adjust for they are the centred ranks of the grades.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from scipy import stats

from outcomes.design.design import Design
from outcomes.design.matrix import build_design, find_term
from outcomes.log.codebook import Codebook, Kind, Outcome, Role, Shape
from outcomes.log.firing_log import FiringLog
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitStatus, FloatArray, IntArray
from outcomes.model.likelihood import Pieces, piece_terms
from outcomes.planning.plan import Hypothesis, Plan, show_value
from outcomes.planning.trial_pieces import TrialPieces


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialModel:
    """The analysis table of one hypothesis, cut down to its two values."""

    design: Design
    codebook: Codebook
    hypothesis: Hypothesis


def build_model(
    plan: Plan, hypothesis: Hypothesis, log: FiringLog, *, pieces: TrialPieces
) -> TrialModel | str:
    """Return the model's table, or the full sentence why there is none."""
    codebook = _codebook(plan, hypothesis, log.codebook)
    design = build_design(_log(log, codebook, hypothesis, pieces=pieces), codebook.outcomes[0])
    if isinstance(design, str):
        return design
    if hypothesis.factor not in [term.factor for term in design.spec.terms]:
        reasons = [each.reason for each in design.excluded if each.factor == hypothesis.factor]
        return reasons[0] if reasons else f"{hypothesis.factor} could not enter the model."
    return TrialModel(design=design, codebook=codebook, hypothesis=hypothesis)


def null_residuals(model: TrialModel) -> FloatArray | None:
    """Return each piece's residual of the model without the factor, (n,); None if it fails."""
    design = model.design
    own = find_term(design.spec, model.hypothesis.factor).slots
    return score_residuals(np.delete(design.X, list(own), axis=1), design.y, len(design.grades))


def score_residuals(X: FloatArray, y: IntArray, n_grades: int) -> FloatArray | None:
    """Return the derivative of each piece's log-likelihood by its linear predictor, (n,).

    Parameters
    ----------
    X : array, shape (n, p)
        What is allowed for; p may be 0, and the residuals are then twice the centred ranks.
    y, n_grades
        Grades 0..K-1.

    Returns
    -------
    array or None
        None when the fit failed.
    """
    fit = fit_cumulative(X, y, n_grades)
    if fit.status is FitStatus.FAILED:
        return None
    pieces = Pieces(X=X, y=y, weights=np.ones(len(y)), n_grades=n_grades)
    return -piece_terms(fit.parameters(), pieces, fit.options).lean


def grade_ranks(grade: np.ndarray) -> FloatArray:
    """Return the ranks of the grades as shares, centred; ties get their average.

    >>> grade_ranks(np.array([0, 2, 2])).round(3).tolist()
    [-0.333, 0.167, 0.167]
    """
    ranks = stats.rankdata(grade)
    return np.asarray((ranks - ranks.mean()) / len(ranks))


def _codebook(plan: Plan, hypothesis: Hypothesis, codebook: Codebook) -> Codebook:
    """Return the codebook of the trial: the factor as two levels, and what is adjusted for."""
    factor = replace(
        codebook.factor(hypothesis.factor),
        role=Role.SETTING,
        kind=Kind.LEVELS,
        shape=Shape.LEVELS,
        levels=(show_value(hypothesis.from_value), show_value(hypothesis.to_value)),
    )
    adjusted = tuple(each for each in codebook.factors if each.name in plan.adjust_for)
    outcome: Outcome = replace(codebook.outcome(hypothesis.outcome), applies_to=())
    names = [each.name for each in (factor, *adjusted)]
    return replace(
        codebook,
        factors=(factor, *adjusted),
        outcomes=(outcome,),
        firing=codebook.firing or "firing_id",
        date="",  # no drift term that the plan did not declare
        glaze=codebook.glaze if codebook.glaze in names else "",
    )


def _log(
    log: FiringLog, codebook: Codebook, hypothesis: Hypothesis, *, pieces: TrialPieces
) -> FiringLog:
    """Return the log of the trial's pieces, the factor's values as level names."""
    levels = codebook.factors[0].levels
    arms = pd.Series([levels[int(arm)] for arm in pieces.arm], dtype=object)
    changed = {
        codebook.firing: pd.Series(pieces.firing, dtype=object),
        hypothesis.factor: arms,
    }

    def rows(frame: pd.DataFrame) -> pd.DataFrame:
        return frame.iloc[pieces.positions].reset_index(drop=True)

    return replace(
        log,
        codebook=codebook,
        values=rows(log.values).assign(**changed),
        origin=rows(log.origin),
        written=rows(log.written),
        how=rows(log.how),
        aside=rows(log.aside),
    )
