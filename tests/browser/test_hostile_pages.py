"""Every page the commands write, from a log in which every name is hostile."""

import importlib.util
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

PAGES = ("report/report.html", "report/research.html", "report/handout.html", "report/leader.html",
         "next/plan.html", "sheets/log_sheet.html", "sheets/grading_card.html",
         "sheets/phone.html", "agree/agreement.html", "regrade/regrade.html", "run/run_sheet.html",
         "test/test.html", "power/power.html")  # fmt: skip
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"


def load_workshop():
    path = Path(__file__).parents[1] / "hostile_workshop.py"
    spec = importlib.util.spec_from_file_location("hostile_workshop", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules["hostile_workshop"] = module
    spec.loader.exec_module(module)
    return module


workshop = load_workshop()


@pytest.fixture(scope="module")
def written(tmp_path_factory) -> Path:
    inputs, out = tmp_path_factory.mktemp("inputs"), tmp_path_factory.mktemp("out")
    workshop.prepare(inputs)
    workshop.write_everything(inputs, out)
    return out


def test_every_page_written_is_on_the_list(written):
    found = {path.relative_to(written).as_posix() for path in written.rglob("*.html")}
    assert found == set(PAGES)


@pytest.mark.parametrize("page", PAGES)
def test_hostile_names_run_nothing_load_nothing_and_break_nothing(open_page, written, page):
    opened = open_page(1280, file=written / page)
    opened.evaluate(OPEN_ALL)
    opened.emulate_media(media="print")
    assert opened.requested == [opened.url]
    assert opened.complaints == []
    assert opened.evaluate("window.hurt") is None
    assert opened.locator("img[src^=http], [onerror], [onload]").count() == 0


@pytest.mark.parametrize(
    "page", ["report/report.html", "report/research.html", "run/run_sheet.html"]
)
def test_hostile_names_are_shown_as_they_were_typed(open_page, written, page):
    text = open_page(1280, file=written / page).evaluate("document.body.textContent")
    assert workshop.FORMULA in text


def test_no_table_holds_a_cell_that_a_spreadsheet_would_execute(written):
    tables = [path for end in ("csv", "xlsx") for path in written.rglob(f"*.{end}")]
    assert len(tables) > 30
    assert {str(p): workshop.find_formulas(p) for p in tables if workshop.find_formulas(p)} == {}
