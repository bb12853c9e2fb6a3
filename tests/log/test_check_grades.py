"""Outcomes that are missing, blank or always the same."""

from dataclasses import replace

from outcomes.finding import Severity
from outcomes.log.check_grades import (
    check_blank_grades,
    check_dash_grades,
    check_missing_outcomes,
    check_same_grades,
)


def test_an_outcome_the_log_does_not_grade_is_named(twelve):
    (finding,) = check_missing_outcomes(twelve(drop=["luster"]))
    assert (finding.code, finding.severity) == ("missing_outcome_column", Severity.WARNING)
    assert finding.message == "No column holds luster: it is not graded in this log."


def test_several_missing_outcomes_make_one_finding(twelve):
    (finding,) = check_missing_outcomes(twelve(drop=["luster", "cracked"]))
    assert finding.message == "No column holds luster or cracked: they are not graded in this log."


def test_a_log_with_every_outcome_or_with_none_needs_no_word(twelve):
    every = ["luster", "crackle_density", "color_shift", "cracked"]
    assert (
        check_missing_outcomes(twelve()),
        check_missing_outcomes(twelve(drop=every)),
    ) == ((), ())


def test_the_same_grade_for_everything_is_named(twelve):
    (finding,) = check_same_grades(twelve({"luster": [3] * 20 + [None] * 4}))
    assert (finding.code, finding.severity) == ("same_grade_for_everything", Severity.WARNING)
    assert "Column luster: all 20 graded pieces are '3'." in finding.message
    assert "logged too" in finding.advice


def test_a_yes_no_outcome_that_never_happened_is_named(twelve):
    (finding,) = check_same_grades(twelve({"cracked": ["no"] * 24}))
    assert "all 24 graded pieces are 'no'" in finding.message


def test_grades_that_differ_need_no_word(twelve):
    assert check_same_grades(twelve()) == ()


def test_one_firing_of_six_pieces_all_alike_is_a_note(make_log):
    grades = [0, 1, 2, 3, 4, 0] * 4 + [2] * 6
    names = [f"F{i // 6}" for i in range(30)]
    (finding,) = check_same_grades(make_log({"firing_id": names, "luster": grades}))
    assert (finding.code, finding.severity) == ("same_grade_in_a_firing", Severity.NOTE)
    assert tuple(range(26, 32)) == finding.rows
    assert "all pieces of firing 'F4' got one and the same grade" in finding.message


def test_a_firing_of_five_pieces_all_alike_is_chance(make_log):
    grades = [0, 1, 2, 3, 4] * 4 + [2] * 5
    names = [f"F{i // 5}" for i in range(25)]
    assert check_same_grades(make_log({"firing_id": names, "luster": grades})) == ()


def test_firings_without_a_crack_are_not_remarkable(make_log):
    cracked = ["no"] * 24 + ["yes"] + ["no"] * 5
    names = [f"F{i // 6}" for i in range(30)]
    assert check_same_grades(make_log({"firing_id": names, "cracked": cracked})) == ()


def test_a_few_blank_losses_are_a_note_that_blank_is_not_fine(twelve):
    (finding,) = check_blank_grades(twelve({"cracked": ["no", "yes", None] * 8}))
    assert (finding.code, finding.severity) == ("blank_defect_cells", Severity.NOTE)
    assert tuple(range(4, 26, 3)) == finding.rows
    assert "8 cells are blank." in finding.message
    assert "do not count for this outcome" in finding.message
    assert finding.advice == "Write 'no' where you looked and it was fine."


def test_only_losses_written_is_a_warning(twelve):
    (finding,) = check_blank_grades(twelve({"cracked": ["yes", None, None] * 8}))
    assert Severity.WARNING is finding.severity
    assert "16 cells are blank. Only 'yes' is ever written." in finding.message


def test_a_cell_that_could_not_be_used_is_not_called_blank(twelve):
    log = twelve(
        {"cracked": [None, *["no", "yes"] * 11, "no"]},
        written={("cracked", 0): "sort of"},
        unusable={("cracked", 0): "neither yes nor no"},
    )
    assert check_blank_grades(log) == ()


def test_a_mostly_blank_outcome_is_a_note(twelve):
    (finding,) = check_blank_grades(twelve({"luster": [1, 2, 3] + [None] * 21}))
    assert (finding.code, finding.rows) == ("outcome_mostly_blank", ())
    assert "3 pieces of 24 carry a grade" in finding.message


def test_blanks_on_glazes_it_does_not_apply_to_are_no_blanks(twelve, codebook):
    outcomes = tuple(
        replace(outcome, applies_to=("tarn lantern",)) if outcome.name == "luster" else outcome
        for outcome in codebook.outcomes
    )
    luster = [i % 5 if i % 2 == 0 else None for i in range(24)]
    log = twelve({"luster": luster}, codebook=replace(codebook, outcomes=outcomes))
    assert check_blank_grades(log) == ()


def test_a_column_of_grades_without_any_is_left_to_the_account(twelve):
    assert check_blank_grades(twelve({"luster": [None] * 24})) == ()


def log_of_signs(make_log, signs):
    """A log whose lusters are typed as signs: dashes blank, the others grades."""
    values = [None if sign == "-" else i % 5 for i, sign in enumerate(signs)]
    return make_log(
        {"luster": values}, written={("luster", i): sign for i, sign in enumerate(signs)}
    )


def test_a_dash_beside_plus_grades_is_warned_of(make_log):
    (finding,) = check_dash_grades(log_of_signs(make_log, ["+", "-", "++", "-"]))
    assert (finding.code, finding.severity) == ("dash_beside_plus_grades", Severity.WARNING)
    assert finding.rows == (3, 5)
    assert "2 cells with a dash read as blank" in finding.message
    assert "as words or numbers" in finding.advice


def test_a_dash_beside_numbers_or_pluses_without_a_dash_need_no_word(make_log):
    assert check_dash_grades(log_of_signs(make_log, ["3", "-", "1"])) == ()
    assert check_dash_grades(log_of_signs(make_log, ["+", "++", "+++"])) == ()
