"""Whose eyes the grades rest on."""

import numpy as np
import pytest

import outcomes
from outcomes.doubts.check_graders import FEWEST_PIECES, check_graders
from outcomes.doubts.check_groups import find_shared_habits
from outcomes.finding import Severity
from outcomes.study.record import StudyOptions


def graded_by(*names):
    """Return columns of one piece a name, three pieces a firing."""
    n = len(names)
    return {
        "firing_id": [f"F{i // 3:02d}" for i in range(n)],
        "grader": list(names),
        "luster": [i % 5 for i in range(n)],
    }


def test_a_log_without_a_grader_is_told_what_hope_can_do(make_log):
    columns = graded_by(*["W"] * 20)
    del columns["grader"]
    (finding,) = check_graders(make_log(columns))
    assert finding.code == "grader_unnamed"
    assert finding.severity is Severity.NOTE
    assert finding.message.startswith("The log does not say who graded.")
    assert "blind" in finding.advice


def test_an_empty_grader_column_names_nobody(make_log):
    (finding,) = check_graders(make_log(graded_by(*[None] * 20)))
    assert finding.code == "grader_unnamed"


def test_one_grader_is_named(make_log):
    (finding,) = check_graders(make_log(graded_by(*["W"] * 20)))
    assert finding.code == "one_grader"
    assert "was graded by 'W'" in finding.message


def test_a_second_grader_of_few_pieces_is_no_second_opinion(make_log):
    few = FEWEST_PIECES - 1
    (finding,) = check_graders(make_log(graded_by(*["W"] * 30, *["K"] * few)))
    assert finding.message.startswith(f"Nearly all grades are by 'W' (30 of {30 + few} pieces).")


def test_two_graders_of_ten_pieces_each_are_allowed_for_in_silence(make_log):
    assert check_graders(make_log(graded_by(*["W"] * 10, *["K"] * FEWEST_PIECES))) == ()


def test_names_beside_ungraded_pieces_do_not_count(make_log):
    columns = graded_by(*["W"] * 20, *["K"] * 20)
    columns["luster"] = [*columns["luster"][:20], *[None] * 20]
    (finding,) = check_graders(make_log(columns))
    assert "Every piece that names a grader was graded by 'W'" in finding.message


def test_nothing_graded_leaves_nothing_to_doubt(make_log):
    columns = graded_by(*["W"] * 20)
    del columns["luster"]
    assert check_graders(make_log(columns)) == ()


@pytest.mark.parametrize("lenient", [0.0, 2.0])
def test_two_graders_strictness_is_taken_out_of_a_setting_they_share_unevenly(make_log, lenient):
    """A lenient grader who saw mostly sealed cans must not make sealing look good."""
    rng = np.random.default_rng(5)
    firing = np.repeat(np.arange(40), 6)
    sealed = rng.random(240) < 0.5
    kind = rng.random(240) < np.where(sealed, 0.8, 0.2)
    score = 2.0 + lenient * kind + rng.logistic(0.0, 0.6, 240)
    log = make_log(
        {
            "firing_id": [f"F{g:02d}" for g in firing],
            "grader": np.where(kind, "K", "W").tolist(),
            "seal": np.where(sealed, "yes", "no").tolist(),
            "luster": np.clip(score.round(), 0, 4).astype(float).tolist(),
        }
    )
    study = outcomes.analyse(log, options=StudyOptions(resamples=200))
    table = outcomes.effects_table(study)
    row = table[table["factor"] == "seal"].iloc[0]
    assert row["low"] < 0.0 < row["high"]


def test_a_grader_of_other_settings_is_named_as_an_eye_not_as_hands(make_log):
    columns = graded_by(*["W"] * 30, *["K"] * 30)
    columns["combustible_kind"] = ["straw"] * 30 + ["newspaper"] * 30
    (finding,) = find_shared_habits(make_log(columns))
    assert "graded what was made with other settings than the rest" in finding.message
    assert "the eye of" in finding.message
    assert "hands" not in finding.message
