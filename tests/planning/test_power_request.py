from dataclasses import replace
from datetime import date

import pytest

from outcomes.errors import LogError, PlanError, RequestError
from outcomes.planning.plan import Claim, Direction, Hypothesis, Plan, PlannedFactor, Unit
from outcomes.planning.power_layout import smallest_p
from outcomes.planning.power_question import (
    Background,
    Kind,
    Luck,
    Question,
    Wish,
    build_grid,
    build_scenarios,
)
from outcomes.planning.power_request import (
    PowerRequest,
    parse_shares,
    parse_whole,
    prepare_power,
)

SHARES = (0.1, 0.2, 0.3, 0.25, 0.15)
PLAN = Plan(
    title="Slower to the can",
    declared_on=date(2026, 4, 1),
    counts_from=date(2026, 4, 1),
    level=0.05,
    firings=12,
    pieces=6,
    factors=(PlannedFactor(name="seconds_to_can", values=(6.0, 18.0), assigned_to=Unit.FIRING),),
    hypotheses=(
        Hypothesis(
            name="slow",
            outcome="luster",
            factor="seconds_to_can",
            from_value=6.0,
            to_value=18.0,
            direction=Direction.FEWER,
            margin=15.0,
        ),
    ),
    stopping="After twelve firings.",
)
TWO = replace(
    PLAN,
    hypotheses=(
        *PLAN.hypotheses,
        replace(
            PLAN.hypotheses[0],
            name="same",
            claim=Claim.EQUIVALENCE,
            direction=Direction.EITHER,
            margin=None,
            margin_grade=0.3,
        ),
    ),
)


@pytest.fixture
def ask(codebook):
    def prepare(**given):
        return prepare_power(PowerRequest(codebook=codebook, **given))

    return prepare


@pytest.fixture(scope="module")
def year(make_log):
    """Twelve firings of four to six pieces, the odd ones kinder than the even."""
    rows = [(f, p) for f in range(12) for p in range(4 + f % 3)]
    return make_log(
        {
            "firing_id": [f"F{f}" for f, _ in rows],
            "seconds_to_can": [6 + (f * 7) % 12 for f, _ in rows],
            "luster": [(p + 2 * (f % 2) + (f * p) % 2) % 5 for f, p in rows],
        }
    )


def test_a_guess_needs_nothing_but_shares(ask):
    prepared = ask(shares=SHARES)
    (question, background), *rest = prepared.asked
    assert [] == rest
    assert (0.10, Direction.MORE, 3) == (question.smallest, question.direction, background.aim)
    assert ((0.8, Luck.ASSUMED),) == background.lucks


def test_a_negative_difference_looks_for_fewer(ask):
    ((question, background),) = ask(shares=SHARES, effect=-15.0).asked
    scenarios = build_scenarios(question, background)
    assert [-0.15, 0.0] == [scenario.truth.change for scenario in scenarios]


def test_a_plan_brings_its_factor_margin_level_and_direction(ask):
    prepared = ask(plan=PLAN, shares=SHARES, luck=0.5)
    ((question, _),) = prepared.asked
    assert (Unit.FIRING, 0.15, 0.05, True) == (
        question.assigned,
        question.smallest,
        question.level,
        question.tested,
    )
    assert ("Luster", "Seconds to the can", "6", "18") == question.compared
    assert ((6, 12, 18, 24), (6,)) == (prepared.wish.firings, prepared.wish.pieces)


def test_blocks_of_a_plan_leave_fewer_ways_to_draw_the_lot(ask, firing_plan):
    prepared = ask(plan=firing_plan, shares=SHARES, firings=(6,))
    ((question, known),) = prepared.asked
    assert 2 == question.blocks
    grid = build_grid(question, known, build_scenarios(question, known), prepared.wish)
    assert 1 / 9 == pytest.approx(smallest_p(grid.layouts[0]))  # 3 ways in each of two blocks


def test_several_hypotheses_share_the_level_and_a_missing_margin_is_the_codebooks(ask):
    (first, _), (second, _) = ask(plan=TWO, shares=SHARES).asked
    assert [0.025, 0.025] == [first.level, second.level]
    assert (0.10, False) == (second.smallest, second.tested)


def test_a_log_brings_shares_luck_and_its_upper_limit_and_sizes(ask, year):
    prepared = ask(plan=PLAN, log=year)
    ((question, background),) = prepared.asked
    (shown, first), (most, second) = background.lucks
    assert (Luck.ESTIMATED, Luck.UPPER) == (first, second)
    assert shown < most
    assert (60, 12) == (background.pieces, background.firings)
    assert 1.0 == pytest.approx(sum(background.shares))
    scenarios = build_scenarios(question, background)
    grid = build_grid(question, background, scenarios, prepared.wish)
    assert {(6,), (4, 4, 4, 4, 5, 5, 5, 5, 6, 6, 6, 6)} == {one.sizes for one in grid.layouts}
    assert [Kind.MATTERS, Kind.NOTHING] * 2 == [scenario.kind for scenario in scenarios]


def test_a_stated_luck_goes_before_the_logs(ask, year):
    ((_, background),) = ask(plan=PLAN, log=year, luck=0.3).asked
    assert ((0.3, Luck.STATED),) == background.lucks


def test_an_undirected_difference_without_room_above_is_looked_for_below():
    question = Question(smallest=0.15)
    background = Background(shares=(0.1, 0.9), aim=1, lucks=((0.0, Luck.STATED),))
    assert -0.15 == build_scenarios(question, background)[0].truth.change


def test_firings_too_small_to_hold_both_values_are_left_out_of_those_observed():
    question = Question(smallest=0.15, assigned=Unit.PIECE)
    known = Background(shares=(0.4, 0.6), aim=1, lucks=((0.0, Luck.STATED),), sizes=(1, 2, 3))
    wish = Wish(firings=(8,), pieces=(4,), observed=True)
    grid = build_grid(question, known, build_scenarios(question, known), wish)
    assert [(4,), (2, 3)] == [layout.sizes for layout in grid.layouts]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "Nothing says how the grades fall. .* --shares 10,20,30,25,15"),
        ({"shares": (1.0,)}, "at least two grades are needed"),
        ({"shares": SHARES, "effect": 0.0}, "0 pieces per 100; more than 0 and less than 100"),
        ({"shares": SHARES, "effect": 15.0, "odds_ratio": 2.0}, "Both --effect and --odds-ratio"),
        ({"plan": PLAN}, "Nothing says how the grades of Luster fall. Give a log after the plan"),
        ({"plan": PLAN, "shares": (0.4, 0.6)}, "2 shares were given, but Luster has 5 grades"),
        ({"plan": PLAN, "shares": SHARES, "effect": -15.0}, "the plan states the direction"),
        ({"plan": PLAN, "shares": SHARES, "assigned": Unit.PIECE}, "--by was given, but the plan"),
        ({"plan": PLAN, "shares": SHARES, "aim": 2}, "--aim was given, but the plan"),
    ],
)
def test_what_is_missing_or_said_twice_is_refused_with_what_to_give(ask, given, said):
    with pytest.raises(RequestError, match=said):
        ask(**given)


def test_a_log_without_a_plan_is_refused(ask, year):
    with pytest.raises(
        RequestError, match=r"A log was given without a plan. .* `outcomes declare`"
    ):
        ask(log=year)


def test_a_plan_that_does_not_fit_the_codebook_is_refused(ask):
    strange = replace(PLAN, hypotheses=(replace(PLAN.hypotheses[0], outcome="shine"),))
    with pytest.raises(PlanError, match="outcome: found 'shine', which the codebook does not have"):
        ask(plan=strange, shares=SHARES)


def test_a_log_without_the_outcome_says_what_to_state_instead(ask, make_log):
    log = make_log(
        {
            "firing_id": ["a", "b"] * 10,
            "seconds_to_can": [6, 9] * 10,
            "crackle_density": [0, 1, 2, 3, 4] * 4,
        }
    )
    with pytest.raises(LogError, match=r"no column for Luster. State it instead: --shares, --luck"):
        ask(plan=PLAN, log=log)


def test_a_log_of_too_few_firings_says_what_to_state_instead(ask, make_log):
    log = make_log(
        {
            "firing_id": ["a", "b", "c", "d"] * 5,
            "seconds_to_can": [6, 9, 12, 15] * 5,
            "luster": [0, 1, 2, 3, 4] * 4,
        }
    )
    with pytest.raises(LogError, match="State it instead: --shares, --luck"):
        ask(plan=PLAN, log=log)


def test_a_log_in_which_nobody_reached_the_aim_cannot_say_how_often_it_happens(ask, make_log):
    log = make_log(
        {
            "firing_id": [f"F{n}" for n in range(8)] * 5,
            "seconds_to_can": [6, 9, 12, 15] * 10,
            "luster": [0, 1, 2, 1, 0] * 8,
        }
    )
    with pytest.raises(LogError, match="No piece in the log reached the aim"):
        ask(plan=PLAN, log=log)


def test_shares_are_read_as_pieces_of_a_hundred_or_as_they_are():
    assert (0.25, 0.75) == parse_shares((25.0, 75.0)) == parse_shares((0.25, 0.75))


def test_a_number_that_is_not_whole_is_refused():
    with pytest.raises(RequestError, match="--pieces: 4.5 is no whole number"):
        parse_whole((4.0, 4.5), option="--pieces")
