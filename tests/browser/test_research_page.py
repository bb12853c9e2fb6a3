"""The research page in Debian's chromium."""

import re

import pytest

pytestmark = pytest.mark.browser

PHONE, LAPTOP = 390, 1280
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_the_page_asks_for_nothing_but_itself_and_complains_of_nothing(
    open_page, research_file, width
):
    page = open_page(width, file=research_file)
    page.evaluate(OPEN_ALL)
    page.emulate_media(media="print")
    page.emulate_media(media="screen", color_scheme="dark")
    assert page.requested == [page.url]
    assert page.complaints == []


@pytest.mark.parametrize("opened", [False, True])
@pytest.mark.parametrize("width", [320, PHONE, 768, LAPTOP])
def test_the_page_never_scrolls_sideways(open_page, research_file, width, opened):
    page = open_page(width, file=research_file)
    if opened:
        page.evaluate(OPEN_ALL)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_every_table_is_a_table_with_a_caption_and_scopes(open_page, research_file):
    page = open_page(LAPTOP, file=research_file)
    lacking = page.evaluate(
        """[...document.querySelectorAll('table')].filter(t => !t.caption
            || ![...t.querySelectorAll('thead th')].every(h => h.scope === 'col')
            || ![...t.querySelectorAll('tbody tr')].every(r => r.cells[0].scope === 'row'))
            .map(t => t.id)"""
    )
    assert [] == lacking
    assert page.evaluate("document.querySelectorAll('table').length") > 20


def test_commands_can_be_reached_and_are_shown_letter_by_letter(open_page, research_file):
    page = open_page(LAPTOP, file=research_file)
    shown = page.evaluate("document.querySelector('#commands').textContent")
    assert shown.startswith("outcomes report year.csv")
    assert page.evaluate("document.querySelector('#commands').parentElement.tabIndex") == 0


def test_no_wide_table_leaves_the_window_of_a_laptop(open_page, research_file):
    page = open_page(LAPTOP, file=research_file)
    page.evaluate(OPEN_ALL)
    outside = page.evaluate(
        """[...document.querySelectorAll('.scroll')].map(s => s.getBoundingClientRect())
            .filter(r => r.width && (r.left < 0 || r.right > innerWidth)).length"""
    )
    assert outside == 0


def test_it_prints_with_everything_opened(open_page, research_file):
    page = open_page(LAPTOP, file=research_file)
    page.evaluate(OPEN_ALL)
    page.emulate_media(media="print")
    pdf = page.pdf(format="A4", print_background=True)
    assert 8 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 40


def test_a_script_in_the_page_does_not_run_even_if_escaping_failed(
    open_page, research_file, tmp_path
):
    attack = "<script>document.title = 'owned'</script>"
    broken = research_file.read_text(encoding="utf-8").replace("<main>", f"<main>{attack}")
    file = tmp_path / "broken.html"
    file.write_text(broken, encoding="utf-8")
    page = open_page(LAPTOP, file=file)
    assert page.title().startswith("What this log says, with everything")
    assert any("Content Security Policy" in complaint for complaint in page.complaints)
