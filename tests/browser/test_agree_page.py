"""The page on graders and the blind list, of the demo's gradings, in Debian's chromium."""

from pathlib import Path

import pytest

from outcomes.api import compare_graders, write_agreement, write_regrade_list

pytestmark = pytest.mark.browser
REGRADES = Path(__file__).parents[2] / "data_demo" / "hollowmere_regrades.csv"


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("agree")
    page = write_agreement(compare_graders([REGRADES]), folder / "told")
    return {"page": page, "list": write_regrade_list([REGRADES], folder / "list", number=36)}


@pytest.mark.parametrize("name", ["page", "list"])
@pytest.mark.parametrize("width", [320, 768, 1280])
def test_it_loads_nothing_complains_of_nothing_and_never_scrolls_sideways(
    open_page, pages, name, width
):
    page = open_page(width, file=pages[name])
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.requested == [page.url]
    assert page.complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", ["page", "list"])
def test_every_id_stands_once(open_page, pages, name):
    ids = open_page(1280, file=pages[name]).evaluate(
        "[...document.querySelectorAll('[id]')].map(e => e.id)"
    )
    assert sorted(set(ids)) == sorted(ids)
