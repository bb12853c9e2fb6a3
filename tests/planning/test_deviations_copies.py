"""Pieces that stand in a trial's log twice are named on its page; the others are not."""

import pytest

from outcomes.finding import Severity
from outcomes.log.reading import read_log
from outcomes.planning.counting import find_counted
from outcomes.planning.deviations_copies import check_copies
from outcomes.planning.deviations_size import check_size

ROWS = [f"T0{t},2026-03-0{t + 2},T0{t}-{p},{4 if p % 2 else 16},3" for t in (1, 2) for p in (1, 2)]
HEADER = "firing_id,fired_on,piece_id,time_in_can_min,luster"


@pytest.fixture
def log_from(tmp_path, codebook):
    """Write rows to a file and read it as a log."""

    def read(rows, header=HEADER):
        path = tmp_path / "log.csv"
        path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
        return read_log([path], codebook)

    return read


def copies(plan, log):
    return list(check_copies(log, counted=find_counted(plan, log)))


def test_a_piece_that_stands_in_a_firing_twice_is_named(plan, log_from) -> None:
    (finding,) = copies(plan, log_from([*ROWS, ROWS[1]]))
    assert ("pieces_repeated", Severity.PROBLEM, (6,)) == (
        finding.code,
        finding.severity,
        finding.rows,
    )
    assert "T01-2 in firing T01; 1 row too many" in finding.message
    assert finding.advice.startswith("Delete the copies; until then they count twice")


def test_a_copy_with_another_grade_is_named_too(plan, log_from) -> None:
    changed = ROWS[1].removesuffix("3") + "1"
    assert ["pieces_repeated"] == [f.code for f in copies(plan, log_from([*ROWS, changed]))]


def test_a_piece_once_in_a_firing_is_not_named(plan, log_from) -> None:
    assert [] == copies(plan, log_from(ROWS))


def test_names_that_start_anew_with_every_firing_are_no_copies(plan, log_from) -> None:
    assert [] == copies(plan, log_from([row.replace("T02-", "T01-") for row in ROWS]))


def test_pieces_without_a_name_are_no_copies(plan, log_from) -> None:
    nameless = [row.replace(row.split(",")[2], "") for row in ROWS]
    assert [] == copies(plan, log_from([*nameless, nameless[0]]))


def test_copies_that_do_not_count_are_not_named(plan, log_from) -> None:
    old = ROWS[0].replace("2026-", "2025-")
    assert [] == copies(plan, log_from([*ROWS, old, old]))


def test_without_names_rows_alike_in_every_cell_are_named(plan, log_from) -> None:
    header = "firing_id,fired_on,time_in_can_min,seconds_to_can,pull_temp_c,glaze,clay_body,luster"
    row = "T01,2026-03-03,4,12,980,Moth,Stoneware,3"
    other = "T01,2026-03-03,16,13,975,Moth,Stoneware,2"
    assert ["identical_rows"] == [f.code for f in copies(plan, log_from([row, other, row], header))]
    assert [] == copies(plan, log_from([row, other], header))


def test_more_pieces_than_planned_are_counted(plan, log_from) -> None:
    more = [f"T01,2026-03-03,T01-{p},4,3" for p in range(1, 9)]
    log = log_from([*more, *ROWS[2:]])
    found = {f.code: f for f in check_size(plan, log, counted=find_counted(plan, log))}
    assert (
        "2 pieces too many: 1 firing (T01) with more than the 6 planned."
        == found["pieces_more"].message
    )


def test_as_many_pieces_as_planned_are_not_too_many(plan, log_of) -> None:
    log = log_of(plan)
    assert [] == list(check_size(plan, log, counted=find_counted(plan, log)))
