"""A plan meets its log: answers, deviations, and refusals that name the plan's line."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from outcomes.errors import PlanError
from outcomes.planning.assignment import draw_assignment
from outcomes.planning.plan import SealState, Unit
from outcomes.planning.plan_file import Where
from outcomes.planning.plan_lines import find_lines
from outcomes.planning.plan_text import render_plan
from outcomes.planning.testing import run_trial
from outcomes.planning.trial import Answer, Statistic, TrialOptions
from outcomes.planning.trial_estimate import grade_ranks, score_residuals

QUICK = TrialOptions(resamples=200, drawn=499)


def run(plan, log, *, options: TrialOptions = QUICK):
    where = Where(file="plan.toml", lines=find_lines(render_plan(plan)))
    return run_trial(plan, log, options=options, where=where, progress=lambda _: None)


def codes(trial) -> set[str]:
    return {finding.code for finding in trial.deviations}


@pytest.fixture(scope="module")
def large(plan):
    """The plan with 24 firings."""
    return replace(plan, firings=24, seal="")


@pytest.fixture(scope="module")
def found(large, log_of):
    return run(large, log_of(large))


def test_a_large_difference_is_supported_and_few_pieces_cannot_tell_none_from_small(found) -> None:
    assert [Answer.SUPPORTED, Answer.UNDECIDED] == [one.answer for one in found.answers]


def test_the_difference_is_measured_in_pieces_and_in_grades(found) -> None:
    effect = found.answers[0].tested.effect
    assert effect is not None
    assert effect.interval is not None
    assert effect.interval.low < effect.change < effect.interval.high
    assert 0 < effect.change < effect.mean_grade_change
    assert (4.0, 16.0) == (effect.contrast.from_value, effect.contrast.to_value)


def test_the_opposite_of_what_was_declared_is_opposed(large, log_of) -> None:
    trial = run(large, log_of(large, gain=-2.5))
    assert Answer.OPPOSED is trial.answers[0].answer


def test_a_log_that_follows_its_sealed_plan_differs_in_nothing(plan, log_of) -> None:
    trial = run(plan, log_of(plan))
    assert ((), SealState.WHOLE) == (trial.deviations, trial.seal)


def test_whole_firings_are_permuted_within_their_blocks(firing_plan, log_of) -> None:
    tested = run(firing_plan, log_of(firing_plan)).answers[0].tested
    assert (36, True, Unit.FIRING) == (
        tested.permutation.arrangements,
        tested.permutation.is_exact,
        tested.unit,
    )
    assert 2 / 36 == pytest.approx(tested.smallest_p)


def test_without_anything_to_allow_for_residuals_are_the_centred_ranks(rng) -> None:
    grade = rng.integers(0, 5, size=60)
    residuals = score_residuals(np.empty((60, 0)), grade, 5)
    assert 2 * grade_ranks(grade) == pytest.approx(residuals, abs=1e-6)


def test_what_is_allowed_for_enters_the_residuals(large, log_of) -> None:
    glaze = pd.Series(["Moth", "Tarn"] * 72, dtype=object)
    log = log_of(large, glaze=glaze)
    plain, adjusted = run(large, log), run(replace(large, adjust_for=("glaze",)), log)
    assert plain.answers[0].tested.permutation != adjusted.answers[0].tested.permutation
    assert Statistic.RESIDUALS is adjusted.answers[0].tested.statistic


def test_the_same_files_give_the_same_answer(plan, log_of) -> None:
    one, again = (run(plan, log_of(plan)).answers[0] for _ in range(2))
    assert (one.p_value, one.tested.effect) == (again.p_value, again.tested.effect)


# ---- deviations ----------------------------------------------------------------------------


def test_a_changed_plan_is_found(plan, log_of) -> None:
    trial = run(replace(plan, stopping="When it is clear."), log_of(plan))
    assert (SealState.BROKEN, {"seal_broken"}) == (trial.seal, codes(trial))
    assert "changed after it was sealed" in trial.deviations[0].message


def test_a_plan_that_was_never_sealed_is_said(plan, log_of) -> None:
    assert {"seal_missing"} == codes(run(replace(plan, seal=""), log_of(plan)))


def test_pieces_older_than_the_plan_do_not_count(plan, log_of) -> None:
    days = pd.Series(pd.to_datetime(["2026-01-01"] * 6 + ["2026-03-09"] * 42))
    trial = run(plan, log_of(plan, fired_on=days))
    assert (42, 7) == (trial.pieces, trial.firings)
    older = next(f for f in trial.deviations if f.code == "older_left_out")
    assert "6 pieces fired before 2026-03-02 did not count" in older.message
    assert tuple(range(2, 8)) == older.rows


def test_older_pieces_that_count_by_the_plan_are_a_grave_deviation(plan, log_of) -> None:
    early = replace(plan, counts_from=date(2026, 1, 1))
    days = pd.Series(pd.to_datetime(["2026-01-01"] * 6 + ["2026-03-09"] * 42))
    trial = run(early, log_of(early, fired_on=days))
    assert "6 pieces counted although fired before the plan was declared on 2026-03-02." in [
        finding.message for finding in trial.deviations
    ]


def test_missing_firings_and_pieces_are_counted(plan, log_of) -> None:
    log = log_of(plan)
    kept = log.values.index[:44]
    frames = ("values", "origin", "written", "how", "aside")
    short = replace(log, **{name: getattr(log, name).loc[kept] for name in frames})
    longer = replace(plan, firings=9, seal="")
    messages = " ".join(finding.message for finding in run(longer, short).deviations)
    assert "8 firings of the 9 planned were fired." in messages
    assert "4 pieces missing: 1 firing (T08) with fewer than the 6 planned." in messages


def test_a_value_nobody_planned_is_named_and_enters_nothing(plan, log_of) -> None:
    given = draw_assignment(plan)["time_in_can_min"].copy()
    given.iloc[0] = 20.0
    trial = run(plan, log_of(plan, time_in_can_min=given))
    assert {"unplanned_value", "list_not_followed"} <= codes(trial)
    assert any("not planned (20)" in finding.message for finding in trial.deviations)


def test_a_value_swapped_against_the_list_is_named(plan, log_of) -> None:
    given = draw_assignment(plan)["time_in_can_min"].copy()
    given.iloc[0] = 64.0 if given.iloc[0] == 16.0 else 16.0
    trial = run(plan, log_of(plan, time_in_can_min=given))
    (finding,) = [f for f in trial.deviations if f.code == "list_not_followed"]
    assert "1 piece fired otherwise than the drawn list says (T01-1)" in finding.message


def test_ungraded_pieces_are_counted_with_a_hint(plan, log_of) -> None:
    grades = log_of(plan).values["luster"].copy()
    grades[draw_assignment(plan)["time_in_can_min"].to_numpy() == 4.0] = [np.nan] * 3 + [2.0] * 13
    trial = run(plan, log_of(plan, luster=grades))
    assert any("3 pieces without a usable grade" in f.message for f in trial.deviations)


def test_firings_that_hold_both_values_are_left_out(firing_plan, log_of) -> None:
    sealed = draw_assignment(firing_plan)["seal"].copy()
    sealed.iloc[0] = "yes" if sealed.iloc[0] == "no" else "no"
    trial = run(firing_plan, log_of(firing_plan, seal=sealed))
    assert (("in firings that hold both values", 3),) == trial.answers[0].tested.left_out


# ---- refusals ------------------------------------------------------------------------------


def refuse(plan, log, message: str) -> None:
    with pytest.raises(PlanError, match=message):
        run(plan, log)


def test_a_factor_that_is_not_in_the_log_is_named_with_its_line(plan, log_of) -> None:
    message = r"plan.toml line \d+, factors 1, name: found 'time_in_can_min', a column this log "
    refuse(plan, log_of(plan, drop=("time_in_can_min",)), message + "does not have.*Add the column")


def test_an_outcome_that_is_not_in_the_log_is_named(plan, log_of) -> None:
    refuse(plan, log_of(plan, drop=("luster",)), r"hypotheses 1, outcome: found 'luster', a column")


def test_a_block_that_is_not_in_the_log_is_named(firing_plan, log_of) -> None:
    refuse(
        firing_plan, log_of(firing_plan, drop=("kiln",)), r"blocks, kiln: found 'kiln', a column"
    )


def test_one_level_only_is_refused_naming_the_other(plan, log_of) -> None:
    log = log_of(plan, time_in_can_min=16.0)
    refuse(plan, log, r"hypotheses 1, from: found 4, which no counted piece .*in the log: 16\.")


def test_a_log_older_than_the_plan_is_refused(plan, log_of) -> None:
    refuse(
        replace(plan, counts_from=date(2027, 1, 1)),
        log_of(plan),
        r"line 7, counts_from: found 2027-01-01, and every piece of the log is older",
    )


def test_a_log_without_a_piece_is_not_told_to_be_older(plan, log_of) -> None:
    log = log_of(plan)
    frames = ("values", "origin", "written", "how", "aside")
    empty = replace(log, **{name: getattr(log, name).iloc[:0] for name in frames})
    refuse(plan, empty, r"firings: found a log without a single piece; .*of the 8 firings planned")


def test_grades_that_are_all_alike_are_refused(plan, log_of) -> None:
    refuse(plan, log_of(plan, luster=2.0), r"hypotheses 1, outcome: .*all '2'; expected pieces")


def test_values_of_whole_firings_declared_for_pieces_are_refused(plan, log_of) -> None:
    given = pd.Series(np.repeat([4.0, 16.0, 64.0, 4.0, 16.0, 64.0, 4.0, 16.0], 6))
    refuse(
        plan,
        log_of(plan, time_in_can_min=given),
        r"none of which holds both values.*whole firings, say so with assigned_to",
    )


def test_a_block_that_differs_within_a_firing_is_refused(firing_plan, log_of) -> None:
    kiln = draw_assignment(firing_plan)["kiln"].copy()
    kiln.iloc[0] = "B"
    refuse(firing_plan, log_of(firing_plan, kiln=kiln), r"blocks, kiln: .*differs within T01")


def test_a_plan_in_another_language_than_the_codebook_is_refused(plan, log_of) -> None:
    log = log_of(plan)
    hypothesis = replace(plan.hypotheses[0], outcome="lustre")
    refuse(
        replace(plan, hypotheses=(hypothesis,)),
        log,
        r"outcome: found 'lustre', which the codebook does not have.*Did you mean 'luster'\?",
    )


def test_a_value_that_is_not_possible_is_refused(plan, log_of) -> None:
    factor = replace(plan.factors[0], values=(4.0, 16.0, 64.0, 9000.0))
    refuse(replace(plan, factors=(factor,)), log_of(plan), r"found 9000; .*possible, 0 to 1440 min")
