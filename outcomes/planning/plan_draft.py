"""What a plan must hold to be declared at all; one that was sealed before is still tested."""

import tomllib
from collections.abc import Iterator

from outcomes.planning.plan import Claim, Direction, Hypothesis, Plan, show_value
from outcomes.planning.plan_entries import parse_entries
from outcomes.planning.plan_problems import PlanProblem
from outcomes.planning.plan_text import render_plan

# No trial of a studio tells such differences apart: 0.1 piece in 100 is one piece in a thousand.
LEAST_MARGIN = 0.1
LEAST_MARGIN_GRADE = 0.001

_OPPOSITE = {
    Direction.EITHER: Direction.EITHER,
    Direction.MORE: Direction.FEWER,
    Direction.FEWER: Direction.MORE,
}


def check_draft(plan: Plan) -> tuple[PlanProblem, ...]:
    """Return what no plan file may hold, margins too small to mean anything, and repeats."""
    entries = parse_entries(tomllib.loads(render_plan(plan)))
    if isinstance(entries, tuple):
        return entries
    return (*_check_margins(plan), *_check_asked_once(plan))


def _check_margins(plan: Plan) -> Iterator[PlanProblem]:
    for at, hypothesis in enumerate(plan.hypotheses):
        for key, margin, least, unit in (
            ("margin", hypothesis.margin, LEAST_MARGIN, "pieces per 100"),
            ("margin_grade", hypothesis.margin_grade, LEAST_MARGIN_GRADE, "of a grade"),
        ):
            if margin is not None and margin < least:
                yield PlanProblem(
                    place=("hypotheses", at, key),
                    found=f"{margin:g} {unit}",
                    expected=f"{least:g} or more: no trial can tell less",
                    remedy="Give the smallest difference that would be worth having.",
                )


def _check_asked_once(plan: Plan) -> Iterator[PlanProblem]:
    """Find questions asked twice, also the other way round: Holm's level would be shared."""
    first: dict[tuple[str, ...], Hypothesis] = {}
    for at, hypothesis in enumerate(plan.hypotheses):
        key = _question(hypothesis)
        if key in first:
            yield PlanProblem(
                place=("hypotheses", at),
                found=f"{_pair(hypothesis)} on {hypothesis.outcome}, which {first[key].name!r} "
                "asks already",
                expected="every question once: the hypotheses share one level",
                remedy="Remove one of the two.",
            )
        first.setdefault(key, hypothesis)


def _question(hypothesis: Hypothesis) -> tuple[str, ...]:
    """Return what a hypothesis asks, the same text whichever value is named first."""
    one, other = show_value(hypothesis.from_value), show_value(hypothesis.to_value)
    direction = hypothesis.direction
    if one > other:
        one, other, direction = other, one, _OPPOSITE[direction]
    asked = direction if hypothesis.claim is Claim.DIFFERENCE else ""
    margins = (
        (str(hypothesis.margin), str(hypothesis.margin_grade))
        if hypothesis.claim is Claim.EQUIVALENCE
        else ()
    )
    return (hypothesis.outcome, hypothesis.factor, hypothesis.claim, one, other, asked, *margins)


def _pair(hypothesis: Hypothesis) -> str:
    return f"{show_value(hypothesis.from_value)} with {show_value(hypothesis.to_value)}"
