"""A plan file is read as it is written, and every mistake is named with its line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.errors import PlanError
from outcomes.planning.plan_file import LARGEST_FILE_BYTES, parse_plan, read_plan
from outcomes.planning.plan_text import render_plan


def test_what_is_written_is_read_back(plan, firing_plan) -> None:
    for written in (plan, firing_plan):
        assert written == parse_plan(render_plan(written), file="plan.toml")


WRONG = [
    ("margin = 30", "margn = 30", r"line 39, hypotheses 2, margn: .*Did you mean 'margin'\?"),
    ("level = 0.05", "level = 0.5", r"line 8, level: found 0.5; expected a number of 0.2 or less"),
    ("level = 0.05", "level = true", r"line 8, level: found true; expected a number\."),
    ("firings = 8", "firings = 8.5", r"line 9, firings: found 8.5; expected a whole number"),
    ("firings = 8\n", "", r"plan.toml, firings: found no such key; .*Add firings = … at the top"),
    ("2026-03-02\n", "'soon'\n", r"line 6, declared_on: .*expected a date such as 2026-05-31"),
    ('= "piece"', '= "pot"', r"assigned_to: found 'pot'; expected one of 'piece' or 'firing'"),
    ("[4, 16", "[true, 16", r"values 1: found true; expected a number, or text in quotes"),
    (
        "from = 4\n",
        "from = 5\n",
        r"hypotheses 1, from: found 5; expected one of the values .*4, 16",
    ),
    ("to = 64", "to = 16", r"hypotheses 2, to: found 16, the same as from"),
    ("[4, 16", "[4, 4, 16", r"factors 1, values: found 4, 4, 16, 64; expected every value once"),
    ('"late"', '"early"', r"hypotheses 2, name: found 'early' a second time"),
    ("margin = 30", "", r"hypotheses 2, claim: found \"equivalence\" without a margin"),
    ("blocks = []", 'blocks = ["kiln"]', r"factors 1, blocks: found 'kiln', which is not descr"),
    ("adjust_for = []", 'adjust_for = ["time_in_can_min"]', r"adjust_for: .*the plan assigns"),
    ("[seal]", "[seal", r"line \d+: found '\[seal', which is not TOML .*Correct this line"),
    ('format = "outcomes-plan/1"', "", r"format: found no such key; expected format = "),
]


@pytest.mark.parametrize(
    ("was", "now", "message"), WRONG, ids=[now or was for was, now, _ in WRONG]
)
def test_a_mistake_is_named_with_its_line(plan, was: str, now: str, message: str) -> None:
    text = render_plan(plan)
    assert was in text
    with pytest.raises(PlanError, match=message):
        parse_plan(text.replace(was, now, 1), file="plan.toml")


def test_an_unknown_factor_of_a_hypothesis_is_named(plan) -> None:
    text = render_plan(plan).replace('factor = "time_in_can_min"', 'factor = "time"', 1)
    with pytest.raises(PlanError, match="hypotheses 1, factor: found 'time'; expected one of the"):
        parse_plan(text, file="plan.toml")


def test_fewer_firings_than_twice_the_blocks_are_refused(firing_plan) -> None:
    text = render_plan(firing_plan).replace("firings = 8", "firings = 3")
    with pytest.raises(
        PlanError, match=r"line 9, firings: found 3 firings for 2 blocks; .*least 4"
    ):
        parse_plan(text, file="plan.toml")


def test_more_than_five_mistakes_are_counted(plan) -> None:
    with pytest.raises(PlanError, match=r"and \d+ more\.$"):
        parse_plan('format = "outcomes-plan/1"', file="plan.toml")


def test_a_log_given_as_a_plan_is_refused_in_words(tmp_path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(b"firing,luster\n1,\xff\n")
    with pytest.raises(PlanError, match=r"line 2: found the byte 0xff.*log was not given"):
        read_plan(log)


def test_a_huge_file_and_no_file_are_refused_in_words(tmp_path) -> None:
    huge = tmp_path / "huge.toml"
    huge.write_bytes(b"#" * (LARGEST_FILE_BYTES + 1))
    with pytest.raises(PlanError, match="more than 200,000 bytes"):
        read_plan(huge)
    with pytest.raises(PlanError, match="could not be opened"):
        read_plan(tmp_path / "none.toml")


@given(st.text(max_size=300))
def test_any_text_is_a_plan_or_is_refused_in_words(text: str) -> None:
    with pytest.raises(PlanError):
        parse_plan(text, file="plan.toml")
