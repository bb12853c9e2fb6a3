"""How well the settings foretell firings the model has not seen, against knowing nothing.

``skill = 1 - score of the model / score of a reference``, scores being ranked probability
scores averaged within each firing, then over firings. 0 is no better than the reference, 1 is
a sure forecast come true. Two references: the shares of grades in the training firings ("same
as ever"), and those of the piece's glaze. The interval is the t interval of the firing-wise
differences; training sets overlap, so it is rough (Bates, Hastie & Tibshirani 2024,
doi:10.1080/01621459.2023.2197686).
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.doubts.calibration import Calibration, build_calibration
from outcomes.doubts.left_out import LeftOut, deal_firings, fit_without, predict_left_out
from outcomes.doubts.scores import average_by_firing, rank_scores
from outcomes.effects.evidence import Evidence
from outcomes.errors import RequestError
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit, FitOptions
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import jackknife_interval


class SkillWord(StrEnum):
    """What a skill interval says (method_in_depth.md §13)."""

    PREDICTS = "predicts new firings better than the average"
    NOT_SHOWN = "not shown to predict"
    WORSE = "worse than the average"


@dataclass(frozen=True, slots=True, kw_only=True)
class SkillValue:
    """One skill with its interval and the word for it."""

    value: float
    low: float
    high: float

    @property
    def word(self) -> SkillWord:
        """Return what the interval says."""
        if self.low > 0.0:
            return SkillWord.PREDICTS
        return SkillWord.WORSE if self.high < 0.0 else SkillWord.NOT_SHOWN


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skill:
    """Left-out skill of one outcome's model.

    Parameters
    ----------
    outcome
        Canonical name.
    overall, beyond_glaze
        Against the same shares of grades as ever, and against those of the piece's glaze.
    scores, usual, usual_of_glaze : array, shape (G,)
        Average ranked probability score of each firing: model and the two references.
    calibration
        Whether left-out pieces come out as foretold.
    strangers
        Pieces with a level no other firing has, foretold at the average of the others.
    one_by_one
        True when each firing was left out in turn, False for twenty deals into ten heaps.
    confidence
        Of the intervals.
    """

    outcome: str
    overall: SkillValue
    beyond_glaze: SkillValue
    scores: FloatArray
    usual: FloatArray
    usual_of_glaze: FloatArray
    calibration: Calibration
    strangers: int
    one_by_one: bool
    confidence: float


def learn_skill(evidence: Evidence, *, rng: np.random.Generator, confidence: float = 0.95) -> Skill:
    """Return the left-out skill of an outcome's model, from the jackknife where it serves.

    Parameters
    ----------
    evidence
        The outcome's.
    rng
        Deals the firings into heaps when there are more than 40.
    confidence
        Of the intervals.
    """
    design, fit = evidence.design, evidence.fit
    deal = deal_firings(evidence.n_firings, rng)
    one_by_one = len(deal) == 1
    without = evidence.without if one_by_one else fit_without(design, fit, deal)
    left_out = predict_left_out(
        design, fit, deal=deal, without=without, glaze=evidence.codebook.glaze
    )
    return build_skill(design, fit, left_out, one_by_one=one_by_one, confidence=confidence)


def leave_firings_out_skill(
    design: Design,
    *,
    rng: np.random.Generator,
    options: FitOptions | None = None,
    glaze: str = "",
    confidence: float = 0.95,
) -> Skill:
    """Return the left-out skill of any design; every training set is fitted anew.

    Parameters
    ----------
    design
        What is to be foretold, from what.
    rng
        As in `learn_skill`; give two designs to be compared equal generators.
    options
        Of the fits.
    glaze
        Name of the glaze factor for the second reference; "" for none.
    confidence
        Of the intervals.
    """
    fit = fit_cumulative(design.X, design.y, len(design.grades), options=options)
    deal = deal_firings(len(design.firing_names), rng)
    left_out = predict_left_out(
        design, fit, deal=deal, without=fit_without(design, fit, deal), glaze=glaze
    )
    return build_skill(design, fit, left_out, one_by_one=len(deal) == 1, confidence=confidence)


def build_skill(
    design: Design,
    fit: CumulativeFit,
    left_out: LeftOut,
    *,
    one_by_one: bool,
    confidence: float = 0.95,
) -> Skill:
    """Return the skill of left-out forecasts."""
    model, usual, of_glaze = (
        average_by_firing(rank_scores(reach, design.y).mean(axis=0), design.firing)
        for reach in (left_out.reach, left_out.usual, left_out.usual_of_glaze)
    )
    return Skill(
        outcome=design.spec.outcome,
        overall=compare_scores(model, usual, confidence=confidence),
        beyond_glaze=compare_scores(model, of_glaze, confidence=confidence),
        scores=model,
        usual=usual,
        usual_of_glaze=of_glaze,
        calibration=build_calibration(design, fit, left_out, confidence=confidence),
        strangers=left_out.strangers,
        one_by_one=one_by_one,
        confidence=confidence,
    )


def compare_scores(
    model: FloatArray, reference: FloatArray, *, confidence: float = 0.95
) -> SkillValue:
    """Return the skill of one set of firing-wise scores against another.

    Parameters
    ----------
    model, reference : array, shape (G,)
        Average score of each firing, lower is better.

    Notes
    -----
    The interval is that of the mean difference (t, G-1) over the mean reference score.
    """
    gain = reference - model
    per = max(float(reference.mean()), np.finfo(float).tiny)
    n_firings = len(gain)
    if n_firings < 2:
        return SkillValue(value=float(gain.mean()) / per, low=-np.inf, high=1.0)
    interval = _mean_interval(gain, confidence)
    return SkillValue(
        value=float(gain.mean()) / per, low=interval.low / per, high=min(1.0, interval.high / per)
    )


def compare_skill(first: Skill, second: Skill) -> SkillValue:
    """Return how much better the second of two designs foretells the same firings.

    Returns
    -------
    SkillValue
        Share by which the score of the first is lowered; above 0 the second is better.

    Raises
    ------
    RequestError
        If the two were not learnt on the same number of firings.
    """
    if len(first.scores) != len(second.scores):
        raise RequestError(
            f"the two models of {first.outcome} were learnt on {len(first.scores)} and "
            f"{len(second.scores)} firings; compare them on the same pieces."
        )
    return compare_scores(second.scores, first.scores, confidence=first.confidence)


def difference_in_skill(first: Skill, second: Skill) -> SkillValue:
    """Return the skill of the second of two designs less that of the first, firing by firing.

    Notes
    -----
    Both skills are against the usual shares of grades, which are the same where the pieces
    and the firings left out are; so the difference is that of the two scores over them.
    """
    gain = first.scores - second.scores
    per = max(float(first.usual.mean()), np.finfo(float).tiny)
    interval = _mean_interval(gain, first.confidence)
    return SkillValue(
        value=float(gain.mean()) / per, low=interval.low / per, high=interval.high / per
    )


def _mean_interval(values: FloatArray, confidence: float) -> Interval:
    error = float(values.std(ddof=1)) / len(values) ** 0.5
    return jackknife_interval(float(values.mean()), error, len(values) - 1, confidence)
