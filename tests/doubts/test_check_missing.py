"""Blanks that go with something are named; blanks of luck are not."""

import numpy as np
import pytest

from outcomes.doubts.blanks import Candidate, find_relation
from outcomes.doubts.check_missing import check_missing, measure_blanks


def rng():
    return np.random.default_rng(7)


def blanked(columns: dict, name: str, lost: np.ndarray) -> dict:
    kept = [None if gone else v for v, gone in zip(columns[name], lost, strict=True)]
    return columns | {name: kept}


@pytest.fixture
def columns(invent) -> dict:
    return invent(np.random.default_rng(3))


def check(log, outcome: str = "luster"):
    return check_missing(log, log.codebook.outcome(outcome), rng=rng())


def test_grades_missing_on_slow_pieces_are_survivors_only(make_log, columns) -> None:
    slow = np.array(columns["seconds_to_can"]) > 12
    lost = slow & (rng().random(len(slow)) < 0.5)
    (finding,) = check(make_log(blanked(columns, "luster", lost)))
    assert finding.code == "blank_grades_follow_setting"
    assert finding.column == "seconds_to_can"
    assert "Luster is not left blank by luck alone: Seconds to the can averages" in finding.message
    assert "holds for the pieces that were graded, not for all that were fired" in finding.message
    assert "poor and broken ones too" in finding.advice


def test_grades_missing_for_a_level_of_a_setting_are_told_in_pieces_of_100(
    make_log, columns
) -> None:
    dunked = np.array(columns["quench"]) == "dunk"
    lost = dunked & (rng().random(len(dunked)) < 0.4)
    (finding,) = check(make_log(blanked(columns, "luster", lost)))
    assert "of 100 pieces without a grade" in finding.message
    assert "under Quench" in finding.message


def test_grades_missing_on_cracked_pieces_are_found(make_log, columns) -> None:
    cracked = rng().random(len(columns["luster"])) < 0.25
    lost = cracked & (np.random.default_rng(8).random(len(cracked)) < 0.7)
    columns = columns | {"cracked": np.where(cracked, "yes", "no").tolist()}
    found = check(make_log(blanked(columns, "luster", lost)))
    assert [f.code for f in found] == ["blank_grades_follow_outcome"]
    assert "of 100 pieces without a grade 100 have 'yes' under Cracked" in found[0].message


def test_settings_left_blank_on_poor_pieces_are_found(make_log, columns) -> None:
    poor = np.array(columns["luster"]) <= 1
    lost = poor & (rng().random(len(poor)) < 0.4)
    (finding,) = check(make_log(blanked(columns, "quench", lost)))
    assert finding.code == "blank_settings_follow_grade"
    assert finding.column == "luster"
    assert "Pieces with a blank setting have lower grades of luster" in finding.message
    assert "looks better than the whole" in finding.message


def test_blanks_of_luck_raise_no_doubt(make_log, columns) -> None:
    lost = rng().random(len(columns["luster"])) < 0.08
    holed = blanked(columns, "luster", lost)
    holed = blanked(holed, "quench", np.roll(lost, 11))
    assert check(make_log(holed)) == ()


def test_a_glaze_the_outcome_is_never_graded_on_is_no_blank(make_log, columns) -> None:
    other = np.array(columns["glaze"]) == "Brackwater Nine"
    log = make_log(blanked(columns, "luster", other))
    assert check(log) == ()
    assert measure_blanks(log, log.codebook.outcome("luster")) == ()


def test_a_handful_of_blanks_is_not_judged(make_log, columns) -> None:
    lost = np.zeros(len(columns["luster"]), dtype=bool)
    lost[:4] = True
    assert check(make_log(blanked(columns, "luster", lost))) == ()


def test_whole_firings_left_ungraded_for_a_setting_are_found() -> None:
    firing = np.repeat(np.arange(24), 6)
    sealed = (firing % 3 == 0).astype(float)
    marked = np.isin(firing, [0, 3, 6, 9, 12, 15])
    relation = find_relation(
        marked, [Candidate(column="seal", level="yes", values=sealed)], firing, rng=rng()
    )
    assert relation.p_value <= 0.01
    assert (relation.marked, round(relation.others, 2)) == (1.0, 0.11)


def test_blanks_are_counted_with_their_firings(make_log, columns) -> None:
    lost = np.isin(np.arange(len(columns["luster"])), [0, 1, 9])
    log = make_log(blanked(columns, "quench", lost))
    (count,) = measure_blanks(log, log.codebook.outcome("luster"))
    assert (count.column, count.blank, count.firings) == ("quench", 3, 2)
    assert count.pieces == 240
