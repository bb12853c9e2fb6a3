"""A whole firing tapped on a phone, and read back by the program."""

from pathlib import Path

import pytest

import outcomes
from outcomes.finding import Severity

pytestmark = pytest.mark.browser

CODES = [f"F260531/{n}" for n in range(1, 7)]
GLAZES = ["Tarn Lantern", "Moth Ledger", "Brackwater Nine"] * 2
# (seconds from the start, piece, step), three pieces overlapping at any time.
TAPS = [
    (0.0, 0, 0), (8.4, 0, 1), (11.4, 0, 2),
    (20.0, 1, 0), (24.0, 2, 0), (26.5, 1, 1), (27.2, 1, 2), (33.0, 2, 1), (63.0, 2, 2),
    (100.0, 3, 0), (105.0, 3, 1),
    (107.0, 4, 0), (110.0, 3, 2), (112.2, 4, 1), (119.9, 4, 2),
    (300.0, 5, 0), (421.0, 5, 1), (428.6, 5, 2),
    (908.4, 0, 3), (926.5, 1, 3), (1833.0, 2, 3), (1905.0, 3, 3), (2200.0, 4, 3), (86821.0, 5, 3),
]  # fmt: skip
# By hand: second minus first tap, in s; third minus second; fourth minus second, in min.
SECONDS = [8.4, 6.5, 9.0, 5.0, 5.2, 121.0]
LID = [3.0, 0.7, 30.0, 5.0, 7.7, 7.6]
MINUTES = [15.0, 15.0, 30.0, 30.0, 34.8, 1440.0]


@pytest.fixture(scope="module")
def tapped(browser, phone_user, phone_file):
    """The page after the whole firing, loaded anew in the middle of it."""
    context = browser.new_context(
        viewport=phone_user.PHONE, has_touch=True, is_mobile=True, timezone_id="Europe/Dublin"
    )
    user = phone_user.PhoneUser(context, phone_file, at="2026-05-31T22:45:00Z")
    user.start_firing()
    for glaze in GLAZES:
        user.add_piece(glaze)
    passed = 0.0
    for when, piece, step in TAPS:
        user.wait(when - passed)
        passed = when
        user.tap(CODES[piece], phone_user.STEPS[step])
        if (piece, step) == (3, 1):
            user.reload()
            user.page.get_by_role("article").first.wait_for()
    yield user
    context.close()


@pytest.fixture(scope="module")
def file(tapped, tmp_path_factory) -> Path:
    place = tmp_path_factory.mktemp("taken") / "log.csv"
    place.write_bytes(tapped.take_out())
    return place


def test_a_whole_firing_is_read_back_with_the_seconds_that_passed(file):
    values = outcomes.read_log([file]).values
    assert values["piece_id"].tolist() == CODES
    assert values["glaze"].tolist() == GLAZES
    assert values["seconds_to_can"].tolist() == SECONDS
    assert values["lid_delay_s"].tolist() == LID
    assert values["time_in_can_min"].tolist() == MINUTES


def test_the_date_is_the_day_of_the_studio_not_of_greenwich(file):
    # 23:45 in Ireland's summer is 22:45 in universal time; midnight passed while tapping.
    fired = outcomes.read_log([file]).values["fired_on"]
    assert set(fired.dt.strftime("%Y-%m-%d")) == {"2026-05-31"}


def test_the_file_is_taken_unchanged_and_no_row_or_cell_is_set_aside(file):
    log = outcomes.read_log([file])
    assert log.account.rows_read == log.account.rows_used == 6
    assert log.unusable.empty
    loud = [finding.code for finding in log.findings if finding.severity is not Severity.NOTE]
    assert loud == []


def test_only_the_stamps_are_no_column_of_the_codebook(file):
    headers = outcomes.read_log([file]).headers
    assert [match.written for match in headers if match.column is None] == ["phone_stamps"]


def test_the_file_is_a_plain_table_with_one_width_and_line_end(file):
    lines = file.read_bytes().decode("ascii").split("\r\n")
    assert len(lines) == 8
    assert lines[-1] == ""
    assert len({line.count(",") for line in lines[:-1]}) == 1


def test_the_firing_made_no_request_and_no_complaint(tapped, phone_file):
    assert {url.partition("#")[0] for url in tapped.requested} <= {phone_file.as_uri()} | {
        url for url in tapped.requested if url.startswith("blob:")
    }
    assert tapped.complaints == []


def test_a_file_brought_into_another_phone_comes_out_the_same(open_phone, file):
    other = open_phone()
    assert "6 pieces were added; 0 were here already" in other.bring_in(file.read_bytes())
    assert other.take_out() == file.read_bytes()


def test_bringing_the_same_file_in_twice_changes_nothing(open_phone, file):
    other = open_phone()
    other.bring_in(file.read_bytes())
    assert "0 pieces were added; 6 were here already" in other.bring_in(file.read_bytes())
    assert other.take_out() == file.read_bytes()
