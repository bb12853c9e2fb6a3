"""What a trial's claims come to: with the package's own test, and with one that forgets firings."""

from dataclasses import replace

import numpy as np
import pandas as pd
from scipy import stats
from trial_cells import MARGIN, Asked, Cell, Lot
from trial_logs import AIM, Drawn

from outcomes.design.matrix import build_design
from outcomes.effects.contrasts import build_contrast
from outcomes.effects.evidence import build_evidence
from outcomes.effects.measured import measure_contrast
from outcomes.log.codebook import Codebook, Direction, Factor, Kind, Level, Outcome, Role, Shape
from outcomes.model.batched import fit_many
from outcomes.planning.equivalence import Estimate, p_inside
from outcomes.planning.plan import Claim, Hypothesis, Unit
from outcomes.planning.trial_effect import cut_at_aim, fit_trial
from outcomes.planning.trial_estimate import TrialModel, grade_ranks, score_residuals
from outcomes.planning.trial_pieces import TrialPieces, build_units
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.permutation import Permutation, permutation_test
from outcomes.simulate.as_log import build_log

LEVEL = 0.05
DRAWN = 199  # (b + 1) / 200 <= 0.05 is then exactly one in twenty


def judge(
    cell: Cell, drawn: Drawn, rng: np.random.Generator, *, like: TrialModel | None = None
) -> dict[str, float]:
    """Return each claim that was made (1) or not (0)."""
    if cell.asked is Asked.EQUIVALENCE:
        return {"equivalence": claims_equivalence(drawn, like=like)}
    pieces = build_pieces(cell, drawn)
    residuals = score_residuals(drawn.columns, drawn.grade, int(drawn.grade.max()) + 1)
    ranks = grade_ranks(drawn.grade)
    plain = _permute(pieces, ranks, rng)
    adjusted = _permute(pieces, ranks if residuals is None else residuals, rng)
    treated = drawn.arm == 1
    return {
        "ranks": float(plain.p_either <= LEVEL),
        "adjusted": float(adjusted.p_either <= LEVEL),
        "adjusted, one-sided": float(adjusted.p_more <= LEVEL),
        "forgets firings": float(
            stats.ttest_ind(drawn.grade[treated], drawn.grade[~treated]).pvalue <= LEVEL
        ),
    }


def build_pieces(cell: Cell, drawn: Drawn) -> TrialPieces:
    """Return a drawn trial as the package sees it."""
    n = len(drawn.arm)
    pairs = {"pair": drawn.stratum} if cell.lot is Lot.PAIR else {}
    return TrialPieces(
        positions=np.arange(n),
        arm=drawn.arm,
        grade=drawn.grade,
        firing=drawn.firing.astype(object),
        blocks=pd.DataFrame(pairs, index=range(n)),
        unit=Unit.PIECE if cell.lot is Lot.PIECE else Unit.FIRING,
        left_out=(),
    )


def _permute(pieces: TrialPieces, values: np.ndarray, rng: np.random.Generator) -> Permutation:
    units = build_units(pieces, values)
    return permutation_test(units.arm, units.value, units.layout, rng=rng, drawn=DRAWN)


def claims_equivalence(drawn: Drawn, *, like: TrialModel | None = None) -> float:
    """Return whether the change, truly at the margin, is called smaller than it.

    ``like`` is the model of another trial of the same cell: `swap_grades` then saves the table.
    """
    model = build_trial_model(drawn) if like is None else swap_grades(like, drawn)
    return float(equivalence_p(model) <= LEVEL)


def equivalence_p(model: TrialModel) -> float:
    """Return the p value of both one-sided tests, without what only a page needs.

    No redraws, no distances: the error and its degrees of freedom are all the tests take from an
    effect (a test holds that this is `find_equivalence` of `estimate_effect`).
    """
    design = cut_at_aim(model.design)
    fit = fit_trial(design)
    without = fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=leave_one_out_weights(len(design.firing_names)),
        start=fit,
    )
    evidence = build_evidence(design, model.codebook, fit=fit, redraws=without, jackknife=without)
    contrast = build_contrast(
        design, model.codebook, factor="treatment", from_value="a", to_value="b"
    )
    found = measure_contrast(evidence, contrast)
    if found.error is None or found.df is None:
        return 1.0
    estimate = Estimate(value=found.change, error=found.error, df=max(1.0, found.df))
    return p_inside(estimate, MARGIN)


def swap_grades(like: TrialModel, drawn: Drawn) -> TrialModel:
    """Return the model of a trial from the table of another of its cell, at a tenth of the cost."""
    if len(np.unique(drawn.grade)) < len(like.design.grades):
        return build_trial_model(drawn)
    arms = np.where(drawn.arm == 1, "b", "a")
    (term,) = like.design.spec.terms
    design = replace(
        like.design,
        X=(arms == term.levels[1]).astype(float)[:, None],
        y=drawn.grade,
        frame=like.design.frame.assign(treatment=pd.Series(arms, dtype=object)),
    )
    return replace(like, design=design)


def build_trial_model(drawn: Drawn) -> TrialModel:
    """Return the model of a trial without anything to allow for."""
    codebook = _codebook()
    frame = pd.DataFrame(
        {
            "firing_id": pd.Series([f"F{g}" for g in drawn.firing], dtype=object),
            "treatment": pd.Series(np.where(drawn.arm == 1, "b", "a"), dtype=object),
            "grade": drawn.grade.astype(float),
        }
    )
    design = build_design(build_log(frame, codebook), codebook.outcomes[0])
    assert not isinstance(design, str)
    hypothesis = Hypothesis(
        name="at the margin",
        outcome="grade",
        factor="treatment",
        from_value="a",
        to_value="b",
        claim=Claim.EQUIVALENCE,
        margin=100 * MARGIN,
    )
    return TrialModel(design=design, codebook=codebook, hypothesis=hypothesis)


def _codebook() -> Codebook:
    return Codebook(
        title="A trial",
        factors=(
            Factor(
                name="treatment",
                label="Treatment",
                role=Role.SETTING,
                kind=Kind.LEVELS,
                shape=Shape.LEVELS,
                levels=("a", "b"),
            ),
        ),
        outcomes=(
            Outcome(
                name="grade",
                label="Grade",
                levels=tuple(Level(name=str(k), wording=str(k)) for k in range(5)),
                aim=AIM,
                wanted=Direction.HIGHER,
                phrase="are good",
            ),
        ),
        date="",
        glaze="",
    )
