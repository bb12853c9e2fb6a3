"""Invented courses with known truth, and what their log's model gives, for many seeds."""

from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.design.matrix import build_design
from outcomes.effects.replicates import Replicates, build_replicates
from outcomes.log.codebook_file import read_default_codebook
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions
from outcomes.resampling.firings import draw_firing_weights
from outcomes.simulate.as_log import build_log
from outcomes.simulate.chance import true_reach
from outcomes.simulate.draw import draw_outcomes
from outcomes.simulate.ninefold import STUDENTS, ninefold_settings, ninefold_truth
from outcomes.simulate.truth import Truth, null_truth, shape_effect

ALIKE = tuple(
    replace(student, seconds=10, lid=13, coached_lid=13, sheets=5, minutes=20, wall=6.5, dunks=0.3)
    for student in STUDENTS
)


def without_halo() -> Truth:
    """Return the truth of Ninefold Lane with every student's hands alike."""
    truth = ninefold_truth()
    outcomes = [
        replace(o, effects=tuple(e for e in o.effects if e.factor != "maker"))
        for o in truth.outcomes
    ]
    return replace(truth, outcomes=tuple(outcomes))


def nothing_matters() -> Truth:
    """Return the truth in which only luck decides."""
    return null_truth(ninefold_truth())


def draw_course(seed, *, truth, students=STUDENTS):
    """Return the clean table of one course."""
    rng = np.random.default_rng(seed)
    return draw_outcomes(truth, ninefold_settings(rng, students=students), rng=rng)


def learn_course(frame, *, outcome="luster", redraws=299, seed=1) -> Replicates:
    """Return an outcome's fit with its redraws."""
    codebook = read_default_codebook()
    design = build_design(build_log(frame, codebook), codebook.outcome(outcome))
    options = FitOptions()
    n_grades = len(design.grades)
    fit = fit_cumulative(design.X, design.y, n_grades, options=options)
    weights = draw_firing_weights(
        len(design.firing_names), redraws, rng=np.random.default_rng(seed)
    )
    many = fit_many(
        design.X,
        design.y,
        n_grades,
        start=fit,
        firing=design.firing,
        firing_weights=weights.astype(float),
    )
    return build_replicates(design, fit, many)


def true_coached_change(frame, truth, *, outcome="luster", since="2025-03-18") -> float:
    """Return what the later pieces would truly lose with each student's earlier lid delays."""
    after = (frame["fired_on"] >= since).to_numpy()
    lost = 0.0
    for person, mine in frame[after].groupby("maker"):
        own = frame.loc[~after & (frame["maker"] == person), "lid_delay_s"]
        old = (own if len(own) else frame.loc[~after, "lid_delay_s"]).to_numpy()
        now = true_reach(truth, mine, outcome)
        times = mine.loc[mine.index.repeat(len(old))].assign(lid_delay_s=np.tile(old, len(mine)))
        lost += now.sum() - true_reach(truth, times, outcome).reshape(-1, len(old)).mean(1).sum()
    return lost / after.sum()


def true_shares(frame, truth, people, *, outcome="luster") -> dict[str, float]:
    """Return the true part of each factor in what the average scores of persons differ by."""
    kept = frame[frame["maker"].isin(people)]
    sizes = kept["maker"].value_counts().loc[list(people)].to_numpy(float)
    weights = sizes / sizes.sum()
    parts = {}
    for effect in truth.outcome(outcome).effects:
        score = pd.Series(shape_effect(effect.shape, kept[effect.factor].to_numpy()))
        means = score.groupby(kept["maker"].to_numpy()).mean().loc[list(people)].to_numpy()
        parts[effect.factor] = means - weights @ means
    whole = sum(parts.values())
    total = weights @ whole**2
    return {name: float(weights @ (part * whole) / total) for name, part in parts.items()}
