"""The run sheet: the drawn list to fill in, which reads straight back, and a page to print."""

import csv
import io
import re

import pytest

from outcomes.errors import ReportError
from outcomes.log.checks import check_log, refusal
from outcomes.log.codebook_file import read_codebook
from outcomes.log.demo import demo_folder
from outcomes.log.reading import read_log
from outcomes.planning.assignment import draw_assignment
from outcomes.planning.plan_file import read_plan
from outcomes.report.run_sheet import build_run_sheet, write_run_sheet


@pytest.fixture(scope="module")
def book():
    return read_codebook(demo_folder() / "kestrel_codebook.toml")


@pytest.fixture(scope="module")
def plan():
    return read_plan(demo_folder() / "kestrel_plan.toml")


@pytest.fixture(scope="module")
def sheet(plan, book):
    return build_run_sheet(plan, book)


def rows_of(sheet) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(sheet["run_sheet.csv"].decode("utf-8-sig"))))


def test_every_piece_has_a_row_with_what_the_lot_gave_it(sheet, plan) -> None:
    rows = rows_of(sheet)
    given = [float(row["time_in_can_min"]) for row in rows]
    assert draw_assignment(plan)["time_in_can_min"].tolist() == given


def test_what_happens_is_empty(sheet) -> None:
    for row in rows_of(sheet):
        assert {""} == {row[name] for name in ("fired_on", "can", "luster", "notes")}


def test_a_filled_sheet_reads_straight_back(sheet, book, tmp_path) -> None:
    rows = rows_of(sheet)
    filled = tmp_path / "filled.csv"
    with filled.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        for number, row in enumerate(rows):
            writer.writerow(
                {**row, "fired_on": "2025-09-03", "can": number % 6 + 1, "luster": number % 5}
            )
    log = read_log([filled], book)
    assert (len(rows), 0) == (log.account.rows_used, len(log.unusable))
    assert refusal(log, check_log(log)) is None


def test_the_grading_tables_do_not_show_who_got_what(sheet) -> None:
    page = sheet["run_sheet.html"].decode()
    grading = page[page.index('class="apart"') :]
    assert "Time in the can" not in grading
    assert 288 == len(re.findall(r'<th scope="row">T\d\d-\d</th><td></td></tr>', grading))


def test_the_page_carries_the_cautions_and_loads_nothing(sheet) -> None:
    page = sheet["run_sheet.html"].decode()
    assert "A can opened sooner holds hotter ware" in page
    assert "rather than hurry with hot ware" in page
    assert re.search(r"<script|https?://|<link|<img", page) is None


def test_a_filled_sheet_is_never_written_over(plan, book, tmp_path) -> None:
    folder = tmp_path / "sheet"
    write_run_sheet(plan, book, folder)
    write_run_sheet(plan, book, folder)  # the empty one may be drawn again
    (folder / "run_sheet.csv").write_text("filled", encoding="utf-8")
    with pytest.raises(ReportError, match=r"run_sheet.csv: found .* not this empty run sheet"):
        write_run_sheet(plan, book, folder)
    assert "filled" == (folder / "run_sheet.csv").read_text(encoding="utf-8")


def test_text_in_a_title_cannot_become_markup(plan, book) -> None:
    from dataclasses import replace

    page = build_run_sheet(replace(plan, title="<b>x</b>"), book)["run_sheet.html"].decode()
    assert "<b>x</b>" not in page
    assert "&lt;b&gt;x&lt;/b&gt;" in page
