"""Whitehead (1993) against its worked example; the design effect against its own parts."""

import json
from pathlib import Path

import numpy as np
import pytest

from outcomes.planning.plan import Unit
from outcomes.planning.power_formula import (
    design_effect,
    guess_power,
    luck_correlation,
    whitehead_pieces,
    whitehead_power,
)
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_truth import Truth, shares_then

CASE = json.loads(
    (Path(__file__).parents[1] / "reference" / "P15_whitehead_power.json").read_text("utf-8")
)
DATA, EXPECTED, CLOSE = CASE["data"], CASE["expected"], CASE["tol"]["abs"]
AVERAGE = tuple(EXPECTED["average"])


def test_the_worked_example_needs_187_pieces():
    found = whitehead_pieces(AVERAGE, DATA["theta"], power=0.9)
    assert EXPECTED["n_total_90"] == pytest.approx(found, abs=CLOSE)


def test_the_worked_example_has_its_power():
    found = whitehead_power(AVERAGE, DATA["theta"], EXPECTED["n_rounded"])
    assert EXPECTED["power_at_187"] == pytest.approx(found, abs=CLOSE)


@pytest.mark.parametrize("ratio", ["1.5", "2.0", "2.5", "3.0"])
@pytest.mark.parametrize("power", ["0.8", "0.9"])
def test_the_table_of_sizes_is_met(ratio, power):
    wanted = EXPECTED["table_total_n_hmisc_average"][f"OR={ratio}"][f"power={power}"]
    shares = tuple(DATA["hmisc_average"])
    found = whitehead_pieces(shares, float(np.log(float(ratio))), power=float(power))
    assert wanted == pytest.approx(found, rel=1e-6)


def test_a_truth_gives_the_treated_shares_of_the_worked_example():
    """The published theta lowers the grades; ours is the same with its sign turned."""
    control = tuple(DATA["control"])
    treated = sum(EXPECTED["treated"][1:])
    truth = Truth(shares=control, aim=1, change=treated - sum(control[1:]), firing_sd=0.0)
    assert EXPECTED["treated"] == pytest.approx(shares_then(truth), abs=CLOSE)


def test_the_design_effect_of_equal_firings_is_donner_and_klars():
    layout = Layout(firings=10, sizes=(8,), assigned=Unit.FIRING)
    assert 1 + 7 * luck_correlation(0.8) == pytest.approx(design_effect(layout, 0.8))


def test_unequal_firings_stretch_it_by_their_variation():
    layout = Layout(firings=10, sizes=(4, 12), assigned=Unit.FIRING)
    assert 1 + (8 * 1.25 - 1) * luck_correlation(0.8) == pytest.approx(design_effect(layout, 0.8))


def test_pieces_assigned_within_firings_are_not_stretched():
    assert 1.0 == design_effect(Layout(firings=9, sizes=(8,), assigned=Unit.PIECE), 1.5)


def test_without_a_difference_the_formula_gives_the_level():
    truth = Truth(shares=(0.4, 0.6), aim=1, change=0.0, firing_sd=0.8)
    layout = Layout(firings=9, sizes=(8,), assigned=Unit.FIRING)
    assert 0.05 == pytest.approx(guess_power(truth, layout))


def test_only_the_pieces_of_the_two_values_compared_count():
    truth = Truth(shares=(0.4, 0.6), aim=1, change=0.2, firing_sd=0.0)
    of_three = Layout(firings=30, sizes=(6,), assigned=Unit.PIECE, values=3)
    of_two = Layout(firings=20, sizes=(6,), assigned=Unit.PIECE)
    assert guess_power(truth, of_two) == pytest.approx(guess_power(truth, of_three))
