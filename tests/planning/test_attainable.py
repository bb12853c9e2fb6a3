"""What a design can reach is told before anybody looks."""

from dataclasses import replace

import pytest

from outcomes.planning.attainable import find_attainable
from outcomes.planning.plan import Direction, PlannedFactor, Unit
from outcomes.report.declare_text import describe_plan


@pytest.fixture
def four_pairs(firing_plan):
    """Eight firings in four pairs: P31's design."""
    factor = PlannedFactor(
        name="seal", values=("no", "yes"), assigned_to=Unit.FIRING, blocks=("pair",)
    )
    return replace(firing_plan, factors=(factor,), blocks=(("pair", ("1", "2", "3", "4")),))


def with_direction(plan, direction: Direction):
    return replace(plan, hypotheses=(replace(plan.hypotheses[0], direction=direction),))


def test_four_pairs_reach_0_125_and_no_less(four_pairs) -> None:
    (reach,) = find_attainable(four_pairs)
    assert (16, 0.125, True) == (reach.arrangements, reach.smallest, reach.is_out_of_reach)


def test_a_declared_direction_halves_what_four_pairs_can_reach(four_pairs) -> None:
    (reach,) = find_attainable(with_direction(four_pairs, Direction.MORE))
    assert (0.0625, True) == (reach.smallest, reach.is_out_of_reach)


def test_the_warning_says_the_numbers_and_what_to_do(four_pairs, codebook) -> None:
    said = " ".join(describe_plan(four_pairs, codebook).split())
    assert "16 ways the values can fall, so the smallest p value any result can give is 0.12." in (
        said.replace("0.125", "0.12")
    )
    assert "WARNING: that is above the level of 0.05. No result whatever can support" in said
    assert "plan more firings, plan fewer blocks or claim a direction" in said


def test_one_piece_in_each_firing_is_told_what_would_help(plan, codebook) -> None:
    said = " ".join(describe_plan(replace(plan, pieces=1, firings=12), codebook).split())
    assert "There is 1 way the values can fall" in said
    assert (
        "plan more pieces in each firing (both values must meet in it) or give the values to "
        "whole firings."
    ) in said
    assert "plan more firings" not in said


def test_a_design_within_reach_carries_no_warning(plan, codebook) -> None:
    assert "WARNING" not in describe_plan(replace(plan, firings=12), codebook)


def test_with_several_hypotheses_the_first_needs_its_share_of_the_level(firing_plan) -> None:
    one = firing_plan.hypotheses[0]
    three = tuple(replace(one, name=name) for name in "abc")
    plan = replace(firing_plan, hypotheses=three, level=0.07)
    reach = find_attainable(plan)[0]
    assert 2 / 36 == pytest.approx(reach.smallest)
    assert (False, True) == (reach.is_out_of_reach, reach.is_out_of_reach_alone)


def test_too_few_firings_for_an_interval_are_said(plan, codebook) -> None:
    said = describe_plan(replace(plan, firings=4), codebook)
    assert "WARNING: 4 firings are too few for an interval" in " ".join(said.split())


def test_a_value_outside_what_is_usual_is_asked_about(plan, codebook) -> None:
    factor = replace(plan.factors[0], values=(1.0, 4.0, 16.0, 64.0))
    said = " ".join(describe_plan(replace(plan, factors=(factor,)), codebook).split())
    assert "Time in the can: 1 min lies outside what is usual, 2 to 240 min." in said
