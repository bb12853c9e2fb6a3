"""A question asked twice is refused where it is declared; two that differ are not."""

from dataclasses import replace

import pytest

from outcomes.planning.plan import Claim, Direction
from outcomes.planning.plan_draft import LEAST_MARGIN, LEAST_MARGIN_GRADE, check_draft


def asked_with(plan, **changed):
    """The plan with its first hypothesis and a changed one."""
    first = replace(plan.hypotheses[0], direction=Direction.MORE)
    return replace(plan, hypotheses=(first, replace(first, name="other", **changed)))


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"margin": 20.0},
        {"from_value": 16.0, "to_value": 4.0, "direction": Direction.FEWER},
    ],
)
def test_the_same_question_under_another_name_is_refused(plan, changed) -> None:
    (problem,) = check_draft(asked_with(plan, **changed))
    assert ("hypotheses", 1) == problem.place
    assert "'early' asks already" in problem.found


@pytest.mark.parametrize(
    "changed",
    [
        {"direction": Direction.FEWER},
        {"direction": Direction.EITHER},
        {"from_value": 16.0, "to_value": 4.0},
        {"from_value": 16.0, "to_value": 64.0},
        {"outcome": "crackle_density"},
        {"claim": Claim.EQUIVALENCE, "direction": Direction.EITHER, "margin": 20.0},
    ],
)
def test_a_question_that_differs_is_another_one(plan, changed) -> None:
    assert () == check_draft(asked_with(plan, **changed))


def test_the_smallest_margins_that_mean_something_stay(plan) -> None:
    late = replace(plan.hypotheses[1], margin=LEAST_MARGIN, margin_grade=LEAST_MARGIN_GRADE)
    assert () == check_draft(replace(plan, hypotheses=(late,)))
