"""Does the model foretell firings it has not seen? See method_in_depth.md §13.

Fires when the skill interval does not lie above 0, and, where it does, when forecasts are
clearly bolder than left-out firings bear out: the interval of the calibration slope ends below
0.8. (A slope below 1 alone is the rule with fifteen settings and thirty firings: with "slope
under 0.8, interval below 1" every planted year would be called over-confident.) A model that
is not shown to foretell anything needs no second finding that it is over-confident.
"""

from outcomes.doubts.skill import Skill, SkillWord
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook

OVER_CONFIDENT = 0.8


def check_skill(skill: Skill, codebook: Codebook) -> tuple[Finding, ...]:
    """Return what a reader must know about how well new firings are foretold."""
    if skill.overall.word is not SkillWord.PREDICTS:
        return (_does_not_predict(skill, codebook),)
    calibration = skill.calibration
    if (
        calibration.slope is not None
        and calibration.slope_interval is not None
        and calibration.slope_interval.high < OVER_CONFIDENT
    ):
        return (_over_confident(skill, calibration.slope, codebook),)
    return ()


def describe_skill(skill: Skill, codebook: Codebook) -> str:
    """Return one sentence on how well the settings foretell new firings."""
    firing = codebook.cluster_word
    value = skill.overall
    label = codebook.outcome(skill.outcome).label
    numbers = (
        f"forecast error {_less(value.value)} than guessing the same grade shares as ever "
        f"(from {_less(value.low)} to {_less(value.high)})"
    )
    return f"{label}, {firing}s left out one after another: {numbers}."


def _less(share: float) -> str:
    """Return a share of error in words.

    >>> _less(0.234), _less(-0.05), _less(-0.001)
    ('23 % smaller', '5 % larger', 'no smaller')
    """
    percent = round(100.0 * abs(share))
    if percent == 0:
        return "no smaller"
    return f"{percent} % {'smaller' if share >= 0.0 else 'larger'}"


def _does_not_predict(skill: Skill, codebook: Codebook) -> Finding:
    firing = codebook.cluster_word
    label = codebook.outcome(skill.outcome).label
    worse = skill.overall.word is SkillWord.WORSE
    case = (
        f"foretells a {firing} it has not seen worse than simply expecting the same grades as ever"
        if worse
        else f"is not shown to foretell a {firing} it has not seen better than simply expecting "
        "the same grades as ever"
    )
    return Finding(
        code="does_not_predict",
        severity=_weigh(skill),
        message=(
            f"{label}: what this log says {case}. With each {firing} left out in turn, the "
            f"forecast error is {_less(skill.overall.value)} (from {_less(skill.overall.low)} to "
            f"{_less(skill.overall.high)})."
        ),
        advice=(
            "Do not plan by these effects: the log holds too few "
            f"{firing}s for the number of things that varied, or what matters was not written "
            f"down. Vary fewer things at a time over more {firing}s."
            if worse
            else f"Read the effects as leads to try, not as settled; more {firing}s will tell."
        ),
        column=skill.outcome,
    )


def _weigh(skill: Skill) -> Severity:
    """Return how much it matters: an estimate above 0 is open, not bad."""
    if skill.overall.word is SkillWord.WORSE:
        return Severity.PROBLEM
    return Severity.WARNING if skill.overall.value <= 0.0 else Severity.NOTE


def _over_confident(skill: Skill, slope: float, codebook: Codebook) -> Finding:
    firing = codebook.cluster_word
    label = codebook.outcome(skill.outcome).label
    return Finding(
        code="over_confident",
        severity=Severity.WARNING,
        message=(
            f"{label}: in {firing}s left out of the learning, differences came out about "
            f"{100.0 * max(0.0, slope):.0f} % as large as foretold: the effects are probably "
            "smaller than shown."
        ),
        advice=(
            "Trust the order of the settings more than the size of their effects; more "
            f"{firing}s, or fewer things varied at once, would bring the two together."
        ),
        column=skill.outcome,
    )
