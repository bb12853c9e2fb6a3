"""One invented log, extended by plan and by habit: how short the intervals become.

The log is analysed, the plan is made from what the analysis says (never from the truth), grades
are drawn for the planned and for the habitual firings from the same truth, and the longer logs
are analysed again. Compared are the printed t intervals of the same comparison of values.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from outcomes.design.design import Design
from outcomes.design.matrix import build_design
from outcomes.doubts.check_tangled import find_tangles
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Contrast
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.effects.measured import measure_contrast
from outcomes.effects.support import find_supported
from outcomes.effects.verdicts import judge_effects
from outcomes.log.codebook import Codebook, Shape
from outcomes.log.codebook_file import read_default_codebook
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.planning.next_known import Known
from outcomes.planning.next_plan import Logged, NextFirings, plan_firings
from outcomes.planning.next_questions import Open
from outcomes.planning.next_request import PlanRequest
from outcomes.resampling.firings import leave_one_out_weights
from outcomes.resampling.intervals import jackknife_interval
from outcomes.simulate.as_log import build_log
from outcomes.simulate.chance import true_change
from outcomes.simulate.draw import draw_outcomes, draw_settings
from outcomes.simulate.habits import Amount, Choice, Habits, Together
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Saturating, Straight, Truth

OUTCOME = "luster"
PIECES = 6
THRESHOLDS = (-1.6, -0.4, 0.7, 2.0)
LUCK = 0.7  # sd of the firing luck, log-odds
TANGLED = ("seconds_to_can", "combustible_g")


@dataclass(frozen=True, slots=True, kw_only=True)
class Studio:
    """A kind of log: its size, and how closely seconds and combustible moved together."""

    name: str
    firings: int
    correlation: float


STUDIOS = (
    Studio(name="habits apart", firings=16, correlation=0.0),
    Studio(name="seconds and combustible tangled", firings=16, correlation=0.97),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Width:
    """One comparison on one longer log; ``arm`` is "plan" or "habit", ``firings`` added."""

    factor: str
    open: str
    arm: str
    firings: int
    width: float
    held: bool
    tangled: bool


def studio_habits(studio: Studio) -> Habits:
    """Return how this studio works: a firing temperature, the rest from piece to piece."""
    return Habits(
        choices=(
            Choice(name="glaze", levels=("Hob Lane", "Sallow Pit"), shares=(0.5, 0.5)),
            Choice(name="seal", levels=("no", "yes"), shares=(0.7, 0.3), between=0.5),
        ),
        amounts=(
            Amount(name="pull_temp_c", centre=975, spread=22, low=900, high=1050, grid=5,
                   between=1.0),
            Amount(name="seconds_to_can", centre=11, spread=3, low=3, high=30, grid=1,
                   between=0.3),
            Amount(name="combustible_g", centre=80, spread=20, low=20, high=160, grid=5,
                   between=0.3),
            Amount(name="lid_delay_s", centre=10, spread=4, low=0, high=30, grid=1, between=0.3),
            Amount(name="wall_thickness_mm", centre=6.5, spread=1.0, low=4, high=10, grid=0.5),
        ),
        together=(
            Together(first=TANGLED[0], second=TANGLED[1], correlation=studio.correlation),
        ),
        days=50,
        start="2024-03-02",
    )  # fmt: skip


def plain_codebook() -> Codebook:
    """Return the default codebook with straight settings only.

    A window is straightened in a short log and bent in a longer one: then the two arms would
    be compared under two models.
    """
    codebook = read_default_codebook()
    factors = tuple(
        replace(factor, shape=Shape.STRAIGHT) if factor.shape is Shape.WINDOW else factor
        for factor in codebook.factors
    )
    return replace(codebook, factors=factors)


def studio_truth() -> Truth:
    """Return small true effects: what an honest short log leaves open."""
    effects = (
        FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.06, centre=11.0)),
        FactorEffect(factor="combustible_g", shape=Saturating(gain=1.0, scale=60.0)),
        FactorEffect(factor="lid_delay_s", shape=Straight(per_step=0.04, centre=10.0)),
    )
    return Truth(
        outcomes=(
            OutcomeTruth(
                name=OUTCOME, thresholds=THRESHOLDS, aim=3, effects=effects, firing_sd=LUCK
            ),
        )
    )


def learn(frame: pd.DataFrame, codebook: Codebook) -> Evidence | None:
    """Return what the plain analysis has of a clean table, None when it cannot be fitted."""
    design = build_design(build_log(frame, codebook), codebook.outcome(OUTCOME))
    if isinstance(design, str):
        return None
    fit = fit_cumulative(design.X, design.y, len(design.grades))
    jackknife = fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=leave_one_out_weights(len(design.firing_names)),
        start=fit,
        workers=1,
    )
    return build_evidence(design, codebook, fit=fit, redraws=jackknife, jackknife=jackknife)


def make_plan(
    frame: pd.DataFrame, evidence: Evidence, *, firings: int, seed: int, starts: int = 50
) -> NextFirings:
    """Return the plan this log leads to, with everything but its size left to the program."""
    design, codebook = evidence.design, evidence.codebook
    effects = estimate_contrasts(evidence, choose_contrasts(design, codebook))
    tangles = find_tangles(design, codebook, fit=evidence.fit, effects=effects)
    known = Known(
        outcome=codebook.outcome(OUTCOME),
        design=design,
        fit=evidence.fit,
        effects=judge_effects(effects, codebook, tangles=tangles),
        tangles=tangles,
    )
    log = build_log(frame, codebook)
    request = PlanRequest(firings=firings, pieces=PIECES, seed=seed, starts=starts, alternatives=())
    return plan_firings([known], Logged(values=log.values, codebook=codebook), request)


def planned_frame(plan: NextFirings) -> pd.DataFrame:
    """Return a plan as the settings part of a log."""
    rows = [
        {"firing_id": piece.firing, "piece_id": f"{piece.firing}-{piece.place}"}
        | dict(piece.settings)
        for piece in plan.pieces
    ]
    return pd.DataFrame(rows)


def compare_log(
    studio: Studio,
    codebook: Codebook,
    *,
    planned: int,
    habitual: Sequence[int],
    seed: int,
) -> list[Width]:
    """Return the widths of one log extended by plan and by habit.

    Parameters
    ----------
    studio, codebook
        The kind of log, and what its columns mean.
    planned
        Firings added by plan.
    habitual
        Numbers of firings added by habit, ascending; each holds the one before.
    seed
        Of everything.
    """
    rng = np.random.default_rng(np.random.SeedSequence(seed))
    old = draw_log(studio, rng)
    evidence = learn(old, codebook)
    if evidence is None:
        return []
    plan = make_plan(old, evidence, firings=planned, seed=seed, starts=10)
    asked = {f.question.factor: f.question for f in plan.foretold}
    contrasts = {name: question.contrast for name, question in asked.items()}
    kinds = {name: str(question.open) for name, question in asked.items()}
    longer = grade(planned_frame(plan), old, rng)
    found = measure_longer(
        old, longer, contrasts, codebook, kinds=kinds, arm="plan", firings=planned
    )
    habits = studio_habits(studio)
    more = draw_settings(habits, firings=max(habitual), pieces=PIECES, rng=rng)
    more = grade(more.assign(firing_id="M" + more["firing_id"]), old, rng)
    for count in (0, *habitual):
        some = more.iloc[: count * PIECES]
        found += measure_longer(
            old, some, contrasts, codebook, kinds=kinds, arm="habit", firings=count
        )
    return found


def draw_log(studio: Studio, rng: np.random.Generator) -> pd.DataFrame:
    """Return the log a plan starts from."""
    settings = draw_settings(studio_habits(studio), firings=studio.firings, pieces=PIECES, rng=rng)
    return draw_outcomes(studio_truth(), settings, rng=rng)


def grade(new: pd.DataFrame, old: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """Return new firings with their grades, dated the last day of the log.

    A trend over the year is not what is measured here.
    """
    return draw_outcomes(studio_truth(), new.assign(fired_on=old["fired_on"].max()), rng=rng)


def measure_longer(
    old: pd.DataFrame,
    new: pd.DataFrame,
    contrasts: Mapping[str, Contrast],
    codebook: Codebook,
    *,
    kinds: Mapping[str, str],
    arm: str,
    firings: int,
) -> list[Width]:
    """Return the width of every comparison on the longer log, old and new together."""
    frame = pd.concat([old, new], ignore_index=True)
    evidence = learn(frame, codebook)
    if evidence is None:
        return []
    design = evidence.design
    tangled = {
        t.factor
        for t in find_tangles(design, codebook, fit=evidence.fit)
        if kinds.get(t.factor) == str(Open.TANGLED)
    }
    held = {term.factor for term in design.spec.terms}
    made = []
    for name, contrast in contrasts.items():
        measured = measure_contrast(evidence, contrast) if name in held else None
        if measured is None or measured.error is None or measured.df is None:
            continue
        interval = jackknife_interval(measured.change, measured.error, measured.df, 0.95)
        truth = _true(evidence, frame, contrast)
        made.append(
            Width(
                factor=name,
                open=kinds[name],
                arm=arm,
                firings=firings,
                width=interval.high - interval.low,
                held=interval.low <= truth <= interval.high,
                tangled=name in tangled,
            )
        )
    return made


def _true(evidence: Evidence, frame: pd.DataFrame, contrast: Contrast) -> float:
    """Return the true change over the pieces the comparison is averaged over."""
    design: Design = evidence.design
    supported = find_supported(design, contrast, evidence.codebook)
    rows = frame.iloc[design.rows[supported if supported.any() else slice(None)]]
    return true_change(
        studio_truth(),
        rows,
        outcome=OUTCOME,
        factor=contrast.factor,
        from_value=contrast.from_value,
        to_value=contrast.to_value,
    )
