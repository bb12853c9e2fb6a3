"""Quantities computed from a log, and what is said of them."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.log.checks import check_log
from outcomes.log.cleaned import build_cleaned_table
from outcomes.log.codebook import Direction, Role
from outcomes.log.computed import AIR_G_PER_L, PAPER_NEEDS_AIR, QUANTITIES, fill_ratio
from outcomes.log.cooling import cool
from outcomes.log.cooling_error import estimate_cooling_error
from outcomes.log.derived import COMPUTED, compute_quantities, derive_quantities, drop_computed

NAMES = ["skin_at_can_c", "mean_at_can_c", "combustible_per_litre", "combustible_to_air"]
FULL = {
    "firing_id": ["1", "1", "2", "2"],
    "pull_temp_c": [980, 980, 900, None],
    "seconds_to_can": [5, 10, 10, 10],
    "wall_thickness_mm": [6, None, 6, 6],
    "combustible_g": [60, 90, None, 30],
    "can_volume_l": [30, 30, 30, 20],
    "luster": [4, 3, 2, 1],
}


@pytest.fixture
def full_log(make_log):
    return make_log(FULL)


@pytest.fixture
def derived_log(full_log):
    return derive_quantities(full_log)


def test_every_quantity_is_added_when_all_its_ingredients_are_logged(full_log, derived_log):
    assert NAMES == [f.name for f in derived_log.codebook.factors[-4:]]
    assert [*full_log.values, *NAMES] == list(derived_log.values)


def test_temperatures_are_those_of_the_solver(derived_log):
    # Check values of the trade notes, section 5: 821/933 and 732/830, within 2.
    assert [821, 732] == pytest.approx(derived_log.values["skin_at_can_c"].iloc[[0, 2]], abs=2)
    assert [933, 830] == pytest.approx(derived_log.values["mean_at_can_c"].iloc[[0, 2]], abs=2)


def test_a_blank_wall_is_assumed_for_the_skin_and_not_for_the_mean(derived_log):
    skin = float(cool(980, 10, 6).skin_c)
    assert skin == pytest.approx(derived_log.values["skin_at_can_c"].iloc[1])
    assert np.isnan(derived_log.values["mean_at_can_c"].iloc[1])


def test_an_assumed_wall_leaves_the_skin_more_open(full_log):
    skin = compute_quantities(full_log)[0].column
    assert [False, True, False, False] == skin.assumed.tolist()
    assert skin.sd[1] > float(estimate_cooling_error(980, 10, 6).skin_sd_c)


def test_combustible_is_counted_per_litre_and_against_the_air(derived_log):
    # 60 g in 30 L; the air in a 30 L can burns about 7 g of paper (trade notes, section 3).
    assert [2, 3, 1.5] == derived_log.values["combustible_per_litre"].dropna().tolist()
    assert 60 / 7 == pytest.approx(derived_log.values["combustible_to_air"].iloc[0], rel=0.02)
    assert 1 == pytest.approx(fill_ratio(np.array([7.06]), np.array([30.0]))[0], abs=0.002)


def test_paper_needs_the_air_that_its_chemistry_says():
    # C6H10O5 + 6 O2 -> 6 CO2 + 5 H2O with standard atomic weights; air is 23.2 % oxygen by mass.
    cellulose = 6 * 12.011 + 10 * 1.008 + 5 * 15.999
    needed = 6 * 2 * 15.999 / cellulose / 0.232
    assert needed == pytest.approx(PAPER_NEEDS_AIR, abs=0.05)


def test_a_litre_of_air_weighs_what_the_gas_law_says():
    # Ideal gas at 101 325 Pa and 20 C, 28.96 g/mol, R 8.314 J/(mol K).
    assert 101325 * 28.96 / (8.314 * 293.15) / 1000 == pytest.approx(AIR_G_PER_L, abs=0.01)


def test_computed_cells_are_marked_and_nothing_was_written_there(derived_log):
    assert [COMPUTED, COMPUTED, COMPUTED, "blank"] == derived_log.how["skin_at_can_c"].tolist()
    assert {""} == set(derived_log.written["skin_at_can_c"])


def test_computed_factors_are_conditions_that_say_so_and_carry_their_caution():
    for quantity in QUANTITIES:
        assert Role.CONDITION is quantity.factor.role
        assert quantity.factor.label.endswith("(computed)")
        assert Direction.HIGHER is quantity.factor.hot
        assert quantity.factor.safety_note.endswith(".")


def test_the_finding_says_from_what_how_open_and_for_what(derived_log):
    skin = next(f for f in derived_log.findings if f.column == "skin_at_can_c")
    assert (
        "Skin temperature at the can (computed) was worked out for 3 of 4 pieces from pull "
        "temperature, seconds to the can and wall thickness; computed, for ordering pieces only."
    ) in skin.message
    assert "about 3 °C open (one standard deviation), the unknown clay 20 to 50 °C" in skin.message
    assert "On 1 piece no wall thickness is written and 6 mm was assumed." in skin.message
    assert "no target, and no reason to hurry" in skin.advice


def test_the_finding_on_combustible_claims_no_error_it_does_not_know(derived_log):
    ratio = next(f for f in derived_log.findings if f.column == "combustible_to_air")
    assert ratio.message.endswith(
        "from combustible and can volume; computed, for ordering pieces only."
    )


@pytest.mark.parametrize(
    ("missing", "left"),
    [
        ("pull_temp_c", NAMES[2:]),
        ("seconds_to_can", NAMES[2:]),
        ("wall_thickness_mm", [NAMES[0], *NAMES[2:]]),
        ("combustible_g", NAMES[:2]),
        ("can_volume_l", NAMES[:2]),
    ],
)
def test_what_is_not_logged_is_not_computed_with(make_log, missing, left):
    log = derive_quantities(make_log({k: v for k, v in FULL.items() if k != missing}))
    assert left == [name for name in NAMES if name in log.values]


def test_a_log_without_ingredients_comes_back_as_it_was(make_log):
    log = make_log({"firing_id": ["1", "2"], "luster": [1, 2]})
    assert log is derive_quantities(log)


def test_a_column_without_one_usable_value_is_not_added(make_log):
    log = make_log(FULL | {"pull_temp_c": [None] * 4})
    assert "skin_at_can_c" not in derive_quantities(log).values


def test_impossible_values_are_not_computed_with(make_log):
    # A pull of 9800 is a slip of the pen whether or not it was set aside before.
    log = derive_quantities(make_log(FULL | {"pull_temp_c": [9800, 980, 900, 980]}))
    assert [True, False, False, False] == log.values["skin_at_can_c"].isna().tolist()


def test_a_column_that_means_something_else_is_left_alone(make_log, codebook):
    other = tuple(replace(f, unit="F") if f.name == "pull_temp_c" else f for f in codebook.factors)
    log = derive_quantities(make_log(FULL, codebook=replace(codebook, factors=other)))
    assert NAMES[2:] == [name for name in NAMES if name in log.values]


def test_deriving_twice_adds_nothing(derived_log):
    assert derived_log is derive_quantities(derived_log)


def test_dropping_gives_the_log_back(full_log, derived_log):
    dropped = drop_computed(derived_log)
    assert full_log.codebook == dropped.codebook
    assert full_log.values.equals(dropped.values)
    assert full_log.findings == dropped.findings


def test_the_log_given_is_not_changed(full_log):
    before = full_log.values.copy()
    derive_quantities(full_log)
    assert before.equals(full_log.values)
    assert not set(NAMES) & set(full_log.how)


def test_a_derived_log_can_be_checked_and_exported(derived_log):
    assert [] == [f.code for f in check_log(derived_log) if f.column in NAMES]
    table = build_cleaned_table(derived_log)
    assert "2" == table["combustible_per_litre"].iloc[0]


def test_the_plain_log_knows_nothing_of_computed_columns(tiny_log):
    derive_quantities(tiny_log)
    design = build_design(tiny_log, tiny_log.codebook.outcome("luster"))
    assert not set(NAMES) & {term.factor for term in design.spec.terms}
