"""What a plan may use: the log, inside the codebook, and never faster or hotter than logged."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Direction, Range
from outcomes.planning.next_choices import build_choices
from outcomes.planning.next_limits import hot_sign, limits_of
from outcomes.planning.next_pairs import build_pairs
from outcomes.planning.next_request import (
    PlanRequest,
    parse_allow,
    parse_keep,
    parse_never,
    parse_only,
)
from outcomes.planning.next_usual import settle_usual


@pytest.fixture
def values() -> pd.DataFrame:
    """Forty pieces: hotter firings were the slower ones."""
    rng = np.random.default_rng(1)
    temp = np.round(rng.uniform(900, 1000, 40))
    return pd.DataFrame(
        {
            "glaze": ["Hob Lane", "Sallow Pit"] * 20,
            "pull_temp_c": temp,
            "seconds_to_can": np.round(5 + (temp - 900) / 10),
            "combustible_g": rng.choice([60.0, 80.0, 100.0], 40),
            "quench": rng.choice(["none", "mist"], 40),
            "can_volume_l": [30.0] * 40,
            "humidity_pct": rng.uniform(40, 80, 40),
        }
    )


def choices_of(values, codebook, **asked):
    return build_choices(values, codebook, PlanRequest(**asked))


def test_settings_run_over_what_was_logged_on_whole_steps(values, codebook):
    choices = choices_of(values, codebook)
    assert set(choices) == {
        "glaze", "pull_temp_c", "seconds_to_can", "combustible_g", "quench", "can_volume_l"
    }  # fmt: skip
    assert choices["quench"].values == ("none", "mist")
    assert choices["can_volume_l"].values == (30.0,)
    assert all(value % 10 == 0 for value in choices["pull_temp_c"].values)


def test_a_plan_stays_in_the_feasible_range_of_the_codebook(values, codebook):
    factors = tuple(
        replace(f, feasible=Range(low=920, high=950)) if f.name == "pull_temp_c" else f
        for f in codebook.factors
    )
    choices = choices_of(values, replace(codebook, factors=factors))
    assert choices["pull_temp_c"].values[0] >= 920
    assert choices["pull_temp_c"].values[-1] <= 950


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"keep": parse_keep(["glow=2"])}, "'glow' is no setting of this codebook. It has glaze"),
        ({"keep": parse_keep(["humidity_pct=50"])}, "is a condition, and only what a maker"),
        ({"keep": parse_keep(["quench=dunk"])}, "'dunk' is not among none, mist"),
        ({"keep": parse_keep(["pull_temp_c=hot"])}, "'hot' was found; a number from"),
        ({"keep": parse_keep(["pull_temp_c=1040"])}, "'1040' was found; a number from"),
        ({"keep": parse_keep(["lid_delay_s=4"])}, "is not written in this log"),
        ({"only": parse_only(["glaze=Moth Ledger"])}, "'Moth Ledger' is not among"),
        ({"allow": parse_allow(["quench=none,dunk"])}, "'dunk' is not in your log yet"),
        ({"allow": parse_allow(["quench=0:2:1"])}, "it has names, not numbers"),
        ({"allow": parse_allow(["pull_temp_c=hot"])}, "Write LOW:HIGH:STEP"),
        ({"allow": parse_allow(["pull_temp_c=900:1100:50"])}, "never asks for faster, hotter"),
        ({"allow": parse_allow(["seconds_to_can=2:20:2"])}, "leaves 5 to 120"),
        ({"allow": parse_allow(["can_volume_l=10:30:5"])}, "leaves 30 to 200"),
        ({"allow": parse_allow(["pull_temp_c=700:900:50"])}, "leaves 760 to"),
    ],
)
def test_what_lies_outside_is_refused_in_words(values, codebook, asked, said):
    with pytest.raises(RequestError, match=said):
        choices_of(values, codebook, **asked)


def test_the_calmer_side_may_be_widened_as_far_as_the_codebook_goes(values, codebook):
    allow = parse_allow(["can_volume_l=30:60:15", "seconds_to_can=10:40:10"])
    choices = choices_of(values, codebook, allow=allow)
    assert choices["can_volume_l"].values == (30.0, 45.0, 60.0)
    assert choices["seconds_to_can"].values == (10.0, 20.0, 30.0, 40.0)


def test_what_is_kept_stays_and_what_is_limited_is_limited(values, codebook):
    choices = choices_of(
        values,
        codebook,
        keep=parse_keep(["Quench=mist", "pull_temp_c=940"]),
        only=parse_only(["glaze=sallow pit"]),
    )
    assert choices["quench"].values == ("mist",)
    assert choices["quench"].kept
    assert choices["pull_temp_c"].values == (940.0,)
    assert choices["glaze"].values == ("Sallow Pit",)


def test_hot_and_fast_meet_only_where_some_piece_was_both(values, codebook):
    choices = choices_of(values, codebook)
    two = [choices["pull_temp_c"], choices["seconds_to_can"]]
    ok = build_pairs(two, values, codebook, ())[0, 1]
    assert not ok[-1, 0]  # the hottest pull with the shortest carry
    assert ok[0, 0]
    assert ok[-1, -1]


def test_pairs_a_maker_rules_out_are_out_whichever_comes_first(values, codebook):
    choices = choices_of(values, codebook)
    two = [choices["quench"], choices["combustible_g"]]
    never = parse_never(["combustible_g=90:200 & quench=mist"])
    ok = build_pairs(two, values, codebook, never)[0, 1]
    numbers = np.array(choices["combustible_g"].values, dtype=float)
    np.testing.assert_array_equal(numbers < 90, ok[1])
    assert ok[0].all()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("quench=splash & glaze=Hob Lane", "'splash' is not among none, mist, dunk"),
        ("pull_temp_c=hot & quench=mist", "a number or LOW:HIGH was expected"),
        ("glow=1 & quench=mist", "'glow' is no setting"),
    ],
)
def test_pairs_that_name_nothing_are_refused_in_words(values, codebook, text, said):
    with pytest.raises(RequestError, match=said):
        build_pairs([], values, codebook, parse_never([text]))


def test_usual_values_that_never_met_give_way_to_a_piece_that_was_fired(codebook):
    slow_and_hot, fast_and_cool = (1000.0, 20.0), (900.0, 4.0)
    rows = [slow_and_hot] * 6 + [fast_and_cool] * 5 + [(990.0, 19.0)]
    values = pd.DataFrame(rows, columns=["pull_temp_c", "seconds_to_can"])
    loose = {"pull_temp_c": 990.0, "seconds_to_can": 4.0}
    choices = {
        name: replace(choice, usual=loose[name])
        for name, choice in choices_of(values, codebook).items()
    }
    usual = settle_usual(choices, values, codebook)
    temp, seconds = (float(usual[name].usual) for name in loose)
    assert ((values["pull_temp_c"] >= temp) & (values["seconds_to_can"] <= seconds)).any()


HAIR = 1e-9  # a whole step is a rounded number
numbers = st.lists(st.floats(0, 1500, allow_nan=False), min_size=2, max_size=30)


@settings(max_examples=30, deadline=None)
@given(temp=numbers, data=st.data())
def test_no_log_makes_a_plan_leave_its_limits(codebook: Codebook, temp, data):
    """Whatever was logged: inside the codebook's range, no hotter and no faster than logged."""
    count = len(temp)
    columns = {
        "pull_temp_c": temp,
        "seconds_to_can": data.draw(st.lists(st.floats(0, 600), min_size=count, max_size=count)),
        "lid_delay_s": data.draw(st.lists(st.floats(0, 300), min_size=count, max_size=count)),
    }
    values = pd.DataFrame(columns)
    choices = choices_of(values, codebook)
    for name, choice in choices.items():
        factor, logged = codebook.factor(name), values[name]
        if len(choice.values) < 2:
            continue
        low, high = limits_of(factor, logged)
        assert factor.plausible is not None
        assert low >= factor.plausible.low
        assert high <= factor.plausible.high
        assert all(low - HAIR <= float(value) <= high + HAIR for value in choice.values)
        if factor.hot in (Direction.HIGHER, Direction.EITHER):
            assert max(map(float, choice.values)) <= logged.max() + HAIR
        if factor.hot in (Direction.LOWER, Direction.EITHER):
            assert min(map(float, choice.values)) >= logged.min() - HAIR
    _assert_no_pair_is_hotter(choices, values, codebook)


def _assert_no_pair_is_hotter(choices, values, codebook):
    two = [choices["pull_temp_c"], choices["seconds_to_can"]]
    assert hot_sign(codebook.factor("pull_temp_c")) == 1.0
    ok = build_pairs(two, values, codebook, ()).get((0, 1))
    for i, temp in enumerate(two[0].values):
        for j, seconds in enumerate(two[1].values):
            done = (values["pull_temp_c"] >= temp) & (values["seconds_to_can"] <= seconds)
            assert bool(done.any()) == (True if ok is None else bool(ok[i, j]))
