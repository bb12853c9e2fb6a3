"""The plan of a tangled log: what it asks, what it keeps to, what it expects."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.effects.effect import Verdict, Word
from outcomes.errors import LogError, RequestError
from outcomes.planning.next_exchange import measure_arrangement
from outcomes.planning.next_layout import build_start, name_firings
from outcomes.planning.next_plan import Logged, count_searches, plan_firings
from outcomes.planning.next_questions import Open
from outcomes.planning.next_request import PlanRequest, parse_allow, parse_keep, parse_never
from outcomes.study.next_firings import plan_next_firings

QUICK = {"starts": 6, "pieces": 6}


@pytest.fixture(scope="module")
def plan(tangled_study):
    return plan_next_firings(tangled_study, PlanRequest(firings=5, **QUICK))


@pytest.fixture(scope="module")
def replan(tangled_study):
    return lambda **asked: plan_next_firings(tangled_study, PlanRequest(**QUICK, **asked))


def setting(plan, name):
    return [dict(piece.settings)[name] for piece in plan.pieces]


def told_of(plan, factor):
    return next(one for one in plan.foretold if one.question.factor == factor)


def test_tangles_come_first_and_are_pulled_apart(plan):
    assert {"seconds_to_can", "combustible_g"} == {c.factor for c in plan.varied[1:3]}
    one = told_of(plan, "seconds_to_can")
    assert one.question.open is Open.TANGLED
    assert one.explained_now > 0.8
    assert one.pulls_apart


def test_a_planned_piece_of_a_tangle_tells_more_than_a_habitual_one(plan):
    one = told_of(plan, "combustible_g")
    assert one.times > 3.0
    assert one.width_as_before is None
    assert one.firings_as_before is None


def test_every_glaze_is_in_every_firing_as_evenly_as_can_be(plan):
    for name in plan.firings:
        glazes = [dict(p.settings)["glaze"] for p in plan.pieces if p.firing == name]
        assert 3 == glazes.count("Hob Lane") == glazes.count("Sallow Pit")


def test_a_firing_temperature_is_the_same_on_every_piece_of_a_firing(replan):
    plan = replan(firings=4, factors=("pull_temp_c",))
    by_firing = {}
    for piece in plan.pieces:
        by_firing.setdefault(piece.firing, set()).add(dict(piece.settings)["pull_temp_c"])
    assert all(len(values) == 1 for values in by_firing.values())
    assert len(set().union(*by_firing.values())) > 1


def test_the_usual_firing_holds_the_usual_settings(plan):
    (usual,) = plan.usual
    held = {name: value for p in plan.pieces if p.firing == usual for name, value in p.settings}
    for choice in (*plan.varied[1:], *plan.settled):
        assert held[choice.factor] == choice.usual


def test_no_planned_piece_is_hotter_and_faster_than_a_logged_one(plan, tangled_study):
    logged = tangled_study.log.values
    for piece in plan.pieces:
        row = dict(piece.settings)
        for hot, sign in (("combustible_g", 1), ("pull_temp_c", 1)):
            done = (logged[hot] * sign >= row[hot] * sign) & (
                logged["seconds_to_can"] <= row["seconds_to_can"]
            )
            assert done.any()


def test_the_same_request_gives_the_same_plan_and_another_seed_another_order(replan):
    first, second, other = replan(firings=3), replan(firings=3), replan(firings=3, seed=2)
    assert first.pieces == second.pieces
    assert first.foretold == second.foretold
    assert first.pieces != other.pieces


def test_what_never_varied_is_left_open_until_other_values_are_allowed(plan, replan):
    left = {one.factor: one.code for one in plan.unplanned}
    assert left["can_volume_l"] == "one_value"
    allowed = replan(firings=4, allow=parse_allow(["can_volume_l=40:80:20"]))
    one = told_of(allowed, "can_volume_l")
    assert one.question.open is Open.NEW
    assert one.width_now is None
    assert one.width_as_before is None
    assert one.firings_as_before is None
    assert 0.0 < one.width_then < 2.0
    assert set(setting(allowed, "can_volume_l")) <= {40.0, 60.0, 80.0}
    assert len(set(setting(allowed, "can_volume_l"))) > 1


def test_what_is_kept_is_kept_and_said_to_be_left_open(replan):
    plan = replan(firings=3, keep=parse_keep(["combustible_g=80"]))
    assert {80.0} == set(setting(plan, "combustible_g"))
    assert "kept" in {one.code for one in plan.unplanned if one.factor == "combustible_g"}


def test_pairs_that_must_not_meet_do_not(replan):
    never = parse_never(["quench=dunk & seconds_to_can=0:9"])
    plan = replan(firings=4, factors=("quench", "seconds_to_can"), never=never)
    met = [(dict(p.settings)["quench"], dict(p.settings)["seconds_to_can"]) for p in plan.pieces]
    assert not [pair for pair in met if pair[0] == "dunk" and pair[1] <= 9]
    assert "dunk" in {quench for quench, _ in met}


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"factors": ("glow",)}, "'glow' is no setting of this codebook"),
        ({"factors": ("glaze",)}, "Glaze is in every plan already"),
        ({"factors": ("can_volume_l",)}, r"Can volume \(can_volume_l\) may only be 40"),
        ({"factors": ("lid_delay_s",)}, "is not written in this log"),
        ({"outcomes": ("gloss",)}, "'gloss' is no outcome this log teaches.*it has luster"),
    ],
)
def test_requests_that_do_not_fit_the_log_are_refused_in_words(replan, asked, said):
    with pytest.raises(RequestError, match=said):
        replan(firings=3, **asked)


def test_more_glazes_than_pieces_are_refused_with_both_ways_out(tangled_study):
    log = tangled_study.log
    glazes = [f"Glaze {k % 5}" for k in range(len(log.values))]
    study = replace(tangled_study, log=replace(log, values=log.values.assign(glaze=glazes)))
    with pytest.raises(RequestError, match=r"4 pieces a firing.*5 glazes.*--pieces.*--only"):
        plan_next_firings(study, PlanRequest(firings=3, pieces=4, starts=4))


def test_a_log_that_teaches_nothing_is_refused_with_each_outcomes_reason(tangled_study):
    part = replace(tangled_study.outcomes[0], usable=False, why_not="Luster: nothing varied.")
    with pytest.raises(LogError, match=r"No firings can be planned.*Luster: nothing varied"):
        plan_next_firings(replace(tangled_study, outcomes=(part,)), PlanRequest())


def test_where_nothing_is_open_the_largest_changes_are_asked_again(known, tangled_study):
    log = tangled_study.log
    sure = Verdict(word=Word.CHANGES, reason="")
    design = replace(known[0].design, excluded=())
    effects = tuple(replace(e, verdict=sure) for e in known[0].effects)
    one = replace(known[0], effects=effects, tangles=(), design=design)
    plan = plan_firings(
        [one],
        Logged(values=log.values, codebook=log.codebook),
        PlanRequest(firings=3, **QUICK),
    )
    assert plan.confirms
    assert {Open.CONFIRM} == {told.question.open for told in plan.foretold}
    assert len(plan.foretold) <= 3


def test_more_firings_are_never_expected_to_tell_less(plan):
    widths = [other.width for other in plan.alternatives]
    assert [2, 4, 5, 6, 8] == [other.firings for other in plan.alternatives]
    assert widths[0] >= widths[-1]


def test_a_plan_beats_firing_the_usual_settings_over_and_over(plan, known, tangled_study):
    one = told_of(plan, "seconds_to_can")
    only_usual = plan_firings(
        known,
        Logged(values=tangled_study.log.values, codebook=tangled_study.log.codebook),
        PlanRequest(firings=5, repeats=4, **QUICK),
    )
    assert one.width_then < told_of(only_usual, "seconds_to_can").width_then


def test_new_firings_get_names_the_log_does_not_hold():
    assert ("N1", "N2") == name_firings(2, {"F1", "7"})
    assert ("NN1", "NN2") == name_firings(2, {"n2"})


def test_leftover_places_fall_on_each_glaze_in_turn(plan):
    start = build_start(plan.varied, glaze="glaze", firings=2, pieces=5)
    assert [5, 5] == np.bincount(start[..., 0].ravel()).tolist()


def test_the_criterion_never_grows_when_a_firing_is_added(known, tangled_study):
    """Adding runs never makes a contrast less sure: held on the model of a real log."""
    from outcomes.planning.next_choices import build_choices
    from outcomes.planning.next_exchange import Problem
    from outcomes.planning.next_questions import choose_settings, find_questions
    from outcomes.planning.next_task import build_task

    log, request = tangled_study.log, PlanRequest()
    choices = build_choices(log.values, log.codebook, request)
    questions = find_questions(known, choices, log.codebook)
    names = choose_settings(questions, choices, log.codebook, request)
    task = build_task(known, questions, names, choices, values=log.values, codebook=log.codebook)
    sizes = np.array([len(choice.values) for choice in task.varied])
    index = np.random.default_rng(3).integers(sizes, size=(30, 6, 4, len(sizes)))
    problem = Problem(
        models=task.models,
        sizes=sizes,
        hard=np.zeros(len(sizes), dtype=bool),
        fixed=np.zeros(len(sizes), dtype=bool),
        start=index[0],
        repeats=np.zeros(6, dtype=bool),
        pairs={},
    )
    values = [measure_arrangement(problem, index[:, :n]) for n in range(1, 7)]
    assert (np.diff(values, axis=0) <= 1e-12).all()


def test_the_bar_is_told_of_every_search(tangled_study):
    told, request = [], PlanRequest(firings=3, alternatives=(2, 3), **QUICK)
    plan_next_firings(tangled_study, request, progress=told.append)
    assert count_searches(request) == sum(told) == 3
