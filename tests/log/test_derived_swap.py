"""The same pieces with what was logged and with what was computed from it."""

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.errors import RequestError
from outcomes.log.codebook import Role
from outcomes.log.derived import derive_quantities
from outcomes.log.derived_swap import Swap, describe_swap, swap_for_derived

PAIR = {"pull_temp_c", "seconds_to_can"}


@pytest.fixture
def year(make_log, rng):
    """Eight firings of six pieces; three pulls and two walls blank."""
    n = 48
    pull = (960 + 10 * rng.integers(-4, 5, 8)).repeat(6).astype(float)
    pull[[3, 17, 40]] = np.nan
    wall = rng.integers(5, 9, n).astype(float)
    wall[[5, 6]] = np.nan
    return make_log(
        {
            "firing_id": np.arange(8).repeat(6).astype(str).tolist(),
            "pull_temp_c": pull,
            "seconds_to_can": rng.integers(3, 20, n),
            "wall_thickness_mm": wall,
            "combustible_g": 10 * rng.integers(3, 12, n),
            "can_volume_l": rng.choice([30, 60], n),
            "lid_delay_s": rng.integers(0, 20, n),
            "luster": rng.integers(0, 5, n),
        },
        set_aside=[(99, "no grade at all")],
    )


def factors_of(design) -> set[str]:
    return {term.factor for term in design.spec.terms}


def test_both_designs_hold_the_same_pieces_in_the_same_order(year):
    swap = swap_for_derived(year, "skin_at_can_c")
    outcome = year.codebook.outcome("luster")
    logged, computed = build_design(swap.logged, outcome), build_design(swap.computed, outcome)
    assert logged.rows.tolist() == computed.rows.tolist()
    assert logged.y.tolist() == computed.y.tolist()
    assert logged.firing.tolist() == computed.firing.tolist()
    assert 43 == len(logged.y)  # 48 less three blank pulls and two blank walls


def test_the_quantity_stands_in_for_what_it_replaces_and_for_nothing_else(year):
    swap = swap_for_derived(year, "mean_at_can_c")
    outcome = year.codebook.outcome("luster")
    logged = factors_of(build_design(swap.logged, outcome))
    computed = factors_of(build_design(swap.computed, outcome))
    assert PAIR == logged - computed == set(swap.replaced)
    assert {"mean_at_can_c"} == computed - logged
    assert "wall_thickness_mm" in computed


def test_in_the_comparison_it_has_the_place_and_role_of_what_it_replaces(year):
    before = [f.name for f in year.codebook.factors]
    swap = swap_for_derived(year, "skin_at_can_c")
    after = [f.name for f in swap.computed.codebook.factors]
    assert before.index("pull_temp_c") == after.index("skin_at_can_c")
    assert Role.SETTING is swap.computed.codebook.factor("skin_at_can_c").role


def test_pieces_that_cannot_be_computed_are_set_aside_with_the_reason_and_their_text(year):
    swap = swap_for_derived(year, "skin_at_can_c")
    account = swap.logged.account
    assert (49, 45) == (account.rows_read, account.rows_used)
    assert [99, 5, 19, 42] == [row.row for row in account.set_aside]
    assert (
        "Skin temperature at the can (computed): what it is computed from is blank"
        == account.set_aside[1].reason
    )
    assert " | ".join(year.written.iloc[3]) == account.set_aside[1].written
    assert account.rows_used == swap.computed.account.rows_used


def test_unusable_cells_stay_with_their_pieces(make_log):
    log = make_log(
        {
            "firing_id": ["1", "1", "2"],
            "pull_temp_c": [980, None, 960],
            "seconds_to_can": [5, 6, 7],
            "lid_delay_s": [None, 3, None],
            "luster": [1, 2, 3],
        },
        unusable={("pull_temp_c", 1): "no number", ("lid_delay_s", 2): "no number"},
    )
    swap = swap_for_derived(log, "skin_at_can_c")
    assert [4] == swap.logged.unusable["row"].tolist()


def test_what_was_derived_before_makes_no_difference(year):
    plain = swap_for_derived(year, "skin_at_can_c")
    derived = swap_for_derived(derive_quantities(year), "skin_at_can_c")
    assert plain.computed.codebook == derived.computed.codebook
    assert plain.computed.values.equals(derived.computed.values)
    assert plain.logged.values.equals(derived.logged.values)


def test_a_log_without_the_ingredients_gets_the_sentence_why(make_log):
    log = make_log({"firing_id": ["1", "2"], "pull_temp_c": [980, 960], "luster": [1, 2]})
    assert (
        "Skin temperature at the can (computed) needs pull temperature and seconds to the can "
        "written for the same piece, which this log does not have."
    ) == swap_for_derived(log, "skin_at_can_c")


def test_a_quantity_nobody_knows_is_refused_with_those_there_are(year):
    with pytest.raises(RequestError, match="found 'soul', expected skin_at_can_c, mean_at_can_c"):
        swap_for_derived(year, "soul")


@pytest.mark.parametrize(
    ("difference", "low", "high", "verdict"),
    [
        (0.05, 0.01, 0.09, "foretells new firings better than pull temperature and seconds"),
        (-0.05, -0.09, -0.01, "foretells new firings worse than pull temperature and seconds"),
        (0.01, -0.02, 0.04, "cannot be told apart as explanations of new firings"),
    ],
)
def test_the_sentence_follows_the_interval(year, difference, low, high, verdict):
    swap = swap_for_derived(year, "skin_at_can_c")
    assert isinstance(swap, Swap)
    sentence = describe_swap(swap, difference=difference, low=low, high=high)
    assert verdict in sentence
    assert f"(difference in skill {difference:+.2f}, from {low:+.2f} to {high:+.2f})" in sentence
    assert sentence.endswith("; computed, for ordering pieces only.")


def test_an_interval_that_does_not_hold_its_difference_is_refused(year):
    swap = swap_for_derived(year, "skin_at_can_c")
    with pytest.raises(RequestError, match="a difference of 1 outside its interval 0 to 0.5"):
        describe_swap(swap, difference=1.0, low=0.0, high=0.5)
