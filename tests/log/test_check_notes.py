"""Notes that tell of a crack, and notes that deny one."""

import pytest

from outcomes.finding import Severity
from outcomes.log.check_notes import check_notes, defect_pattern, tells_defect


@pytest.fixture(scope="module")
def cracks(codebook):
    return defect_pattern(codebook.outcome("cracked"))


@pytest.mark.parametrize(
    "note",
    [
        "cracked",
        "Crack at foot",
        "hairline crack under the rim",
        "broke when dunked",
        "broken, thrown away",
        "it shivered",
        "shattered in the can",
        "good luster, cracked later",
        "no luster but cracked",
        "not shiny. cracked",
        "came out in two",
        "CRACKS!",
        "split along the seam",
        "blew up",
    ],
)
def test_a_note_tells_of_a_crack(cracks, note):
    assert tells_defect(note, cracks)


@pytest.mark.parametrize(
    "note",
    [
        "",
        "no cracks",
        "not cracked",
        "no hairline cracks",
        "didn't crack",
        "did not crack this time",
        "without a single crack",
        "never cracks",
        "free of cracks",
        "crack free",
        "crack-free",
        "cracks: none",
        "cracked? no",
        "nearly cracked",
        "uncracked",
        "bold crackle, open",
        "crackled nicely",
        "craquelure",
        "window broker visited",
    ],
)
def test_a_note_tells_of_no_crack(cracks, note):
    assert not tells_defect(note, cracks)


def test_a_note_that_knows_more_than_its_column_is_quoted(twelve):
    notes = [None] * 24
    notes[2], notes[3], notes[4] = "hairline crack at foot", "cracked badly", "crack in rim"
    cracked = ["no", "no", "no", "yes", None, "no"] * 4
    log = twelve({"notes": notes, "cracked": cracked}, headers={"cracked": "Cracked?"})
    (finding,) = check_notes(log)
    assert (finding.code, finding.severity) == ("notes_hint_missed_defect", Severity.WARNING)
    assert finding.rows == (4, 6)
    assert finding.message == (
        "log.csv, column notes: 2 notes tell of a defect that Cracked? does not: row 4 "
        "'hairline crack at foot' beside 'no' and row 6 'crack in rim' beside a blank."
    )
    assert finding.advice == "Write 'yes' where it is meant; the column was left as it is."


def test_notes_are_not_searched_where_no_column_of_losses_exists(twelve):
    assert check_notes(twelve({"notes": ["cracked"] * 24}, drop=["cracked"])) == ()


def test_a_log_without_notes_needs_no_word(twelve):
    assert check_notes(twelve()) == ()


def test_a_graded_outcome_has_no_words_of_defect(codebook):
    assert defect_pattern(codebook.outcome("luster")) is None


def test_control_characters_in_a_note_are_spelled_out(twelve):
    (finding,) = check_notes(twelve({"notes": ["cracked \x1b[31mred"] + [None] * 23}))
    assert "'cracked \\x1b[31mred'" in finding.message
    assert "\x1b" not in finding.message
