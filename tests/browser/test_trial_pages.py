"""The page of a tested plan and its run sheet, in a browser: on a phone and on paper."""

from pathlib import Path

import pytest

from outcomes.log.codebook_file import read_codebook
from outcomes.log.demo import demo_folder
from outcomes.planning.plan_file import read_plan
from outcomes.report.run_sheet import build_run_sheet
from outcomes.report.samples import REPORTS

pytestmark = pytest.mark.browser

PHONE, LAPTOP = 320, 1280


@pytest.fixture(scope="module")
def sheet_file(tmp_path_factory) -> Path:
    folder = demo_folder()
    codebook = read_codebook(folder / "kestrel_codebook.toml")
    sheet = build_run_sheet(read_plan(folder / "kestrel_plan.toml"), codebook)
    file = tmp_path_factory.mktemp("sheet") / "run_sheet.html"
    file.write_bytes(sheet["run_sheet.html"])
    return file


@pytest.fixture
def page_of(open_page, sheet_file):
    """A function that opens one of the two pages at a width."""
    files = {"test": REPORTS / "kestrel_bench" / "test.html", "sheet": sheet_file}
    return lambda name, width: open_page(width, file=files[name])


@pytest.mark.parametrize("name", ["test", "sheet"])
@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_it_asks_for_nothing_and_never_scrolls_sideways(page_of, name, width) -> None:
    page = page_of(name, width)
    assert ([page.url], []) == (page.requested, page.complaints)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_every_tile_has_its_row_on_paper_and_none_is_cut_in_two(page_of) -> None:
    page = page_of("sheet", LAPTOP)
    page.emulate_media(media="print")
    assert 48 * 2 == page.locator("section.firing").count()
    rule = "[...document.querySelectorAll('.firing')].map(f => getComputedStyle(f).breakInside)"
    assert {"avoid"} == set(page.evaluate(rule))


def test_every_table_is_named_for_who_cannot_see_it(page_of) -> None:
    for name in ("test", "sheet"):
        page = page_of(name, LAPTOP)
        bare = "[...document.querySelectorAll('table')].filter(t => !t.caption?.textContent).length"
        assert 0 == page.evaluate(bare)
