"""Every page we make, read by axe-core: nothing at all, on a phone, a laptop and in print.

A new page is one line in `PAGES`; every page among the committed samples is read without one.
"""

from importlib import resources
from pathlib import Path

import pytest

from outcomes.api import (
    compare_graders,
    plan_next_firings,
    write_agreement,
    write_regrade_list,
)
from outcomes.log.codebook_file import read_codebook, read_default_codebook
from outcomes.log.demo import demo_folder
from outcomes.planning.next_request import PlanRequest
from outcomes.planning.plan_file import read_plan
from outcomes.planning.power_question import Background, Luck, Question, Wish
from outcomes.planning.power_request import Prepared
from outcomes.planning.power_study import simulate_questions
from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.plan_results import PLAN_PAGE, build_plan_results
from outcomes.report.power_results import PAGE as POWER_PAGE
from outcomes.report.power_results import build_power_results
from outcomes.report.research import build_research_document
from outcomes.report.run_sheet import build_run_sheet
from outcomes.report.samples import REPORTS
from outcomes.report.sheet_card import render_card
from outcomes.report.sheet_log import render_log_sheet
from outcomes.report.sheet_phone import render_phone

pytestmark = pytest.mark.browser

SIZES = {"phone": (390, 844), "laptop": (1280, 800)}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SAMPLES = sorted(path.relative_to(REPORTS).as_posix() for path in REPORTS.rglob("*.html"))


def _make_run_sheet() -> str:
    folder = demo_folder()
    plan = read_plan(folder / "kestrel_plan.toml")
    sheet = build_run_sheet(plan, read_codebook(folder / "kestrel_codebook.toml"))
    return sheet["run_sheet.html"].decode()


def _make_panel(load_known) -> str:
    known = load_known("known_panel")
    return render_page(known.build_panel_document(known.build_panel_study()))


def _make_research(study, load_known) -> str:
    return render_page(build_research_document(load_known("known_research").add_research(study)))


def _make_agreement(folder: Path) -> str:
    gradings = demo_folder() / "hollowmere_regrades.csv"
    return write_agreement(compare_graders([gradings]), folder).read_text(encoding="utf-8")


def _make_blind_list(folder: Path) -> str:
    gradings = demo_folder() / "hollowmere_regrades.csv"
    return write_regrade_list([gradings], folder, number=12).read_text(encoding="utf-8")


def _make_plan(load_known) -> str:
    study = load_known("known_panel").build_panel_study()
    request = PlanRequest(firings=4, pieces=4, starts=1, factors=("lid_delay_s",))
    return build_plan_results(study, plan_next_firings(study, request=request))[PLAN_PAGE].decode()


def _make_power() -> str:
    known = Background(
        shares=(0.1, 0.2, 0.3, 0.25, 0.15),
        aim=3,
        lucks=((0.5, Luck.ESTIMATED),),
        sizes=(4, 9),
        firings=30,
        pieces=150,
    )
    wish = Wish(firings=(6, 12), pieces=(4, 8), observed=True, runs=100)
    question = Question(name="slow", smallest=0.2, tested=True, compared=("A", "B", "c", "d"))
    prepared = Prepared(title="A question", asked=((question, known),), wish=wish)
    return build_power_results(simulate_questions(prepared))[POWER_PAGE].decode()


# Name -> what makes the page's text, given the invented study, a folder, and `load_known`.
PAGES = {
    "maker": lambda study, folder, load: render_page(build_maker_document(study)),
    "panel": lambda study, folder, load: _make_panel(load),
    "research": lambda study, folder, load: _make_research(study, load),
    "agreement": lambda study, folder, load: _make_agreement(folder),
    "blind list": lambda study, folder, load: _make_blind_list(folder),
    "grading card": lambda study, folder, load: render_card(read_default_codebook()),
    "log sheet": lambda study, folder, load: render_log_sheet(read_default_codebook()),
    "phone": lambda study, folder, load: render_phone(read_default_codebook()),
    "plan": lambda study, folder, load: _make_plan(load),
    "power": lambda study, folder, load: _make_power(),
    "run sheet": lambda study, folder, load: _make_run_sheet(),
}


@pytest.fixture(scope="session")
def axe() -> str:
    """axe-core as its package brings it; nothing is loaded from anywhere."""
    script = resources.files("axe_playwright_python").joinpath("axe.min.js")
    return script.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def made(known_study, load_known, tmp_path_factory):
    """A function that gives a page's file, made once."""
    files: dict[str, Path] = {}

    def make(name: str) -> Path:
        if name in SAMPLES:
            return REPORTS / name
        if name not in files:
            folder = tmp_path_factory.mktemp("made")
            text = PAGES[name](known_study, folder / "out", load_known)
            files[name] = folder / "page.html"
            files[name].write_text(text, encoding="utf-8")
        return files[name]

    return make


def find_trouble(page, axe: str) -> list[str]:
    """Return whatever axe-core objects to, minor or not: rule, place and reason."""
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    page.evaluate(axe)
    found = page.evaluate(
        """async rules => { const told = await axe.run(document,
            {runOnly: rules, resultTypes: ['violations']});
        return told.violations.map(v => ({id: v.id, impact: v.impact,
            nodes: v.nodes.map(n => n.target.join(' ') + ': ' + n.failureSummary)})); }""",
        RULES,
    )
    return [
        f"{rule['id']} ({rule['impact']}): {node}" for rule in found for node in rule["nodes"][:4]
    ]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", [*PAGES, *SAMPLES])
def test_axe_finds_nothing(open_page, made, axe, name, size):
    width, height = SIZES[size]
    page = open_page(width, height, file=made(name))
    assert find_trouble(page, axe) == []


@pytest.mark.parametrize("name", [*PAGES, *SAMPLES])
def test_axe_finds_nothing_in_what_is_printed(open_page, made, axe, name):
    page = open_page(1280, file=made(name))
    page.emulate_media(media="print")
    assert find_trouble(page, axe) == []


def test_the_panel_stays_clean_while_it_is_used(open_page, made, axe):
    page = open_page(1280, file=made("panel"))
    page.locator("#panel-setting-1").press("Home")
    assert page.locator("#panel-setting-1-note").is_visible()
    assert find_trouble(page, axe) == []
    page.evaluate(
        """document.querySelectorAll('#panel input').forEach(slider => {
            slider.value = slider.max; slider.dispatchEvent(new Event('input')); })"""
    )
    assert page.get_by_text("No logged piece is near").is_visible()
    assert find_trouble(page, axe) == []


def test_the_phone_page_stays_clean_through_a_firing(open_phone, axe):
    user = open_phone(at="")
    assert find_trouble(user.page, axe) == []
    user.start_firing()
    user.add_piece("Tarn Lantern", "K1")
    user.add_piece("Moth Ledger", "K2")
    assert find_trouble(user.page, axe) == []
    user.tap("K1", "Out of the kiln")
    user.tap("K1", "In the can")
    assert find_trouble(user.page, axe) == []
    user.open_piece("K1")
    assert find_trouble(user.page, axe) == []


def test_axe_would_notice(open_page, tmp_path, axe):
    file = tmp_path / "bad.html"
    file.write_text(
        "<!DOCTYPE html><html><head><title>x</title></head><body><main><h1>x</h1>"
        "<p style='color:#aaa;background:#fff'>pale</p><input></main></body></html>",
        encoding="utf-8",
    )
    trouble = " ".join(find_trouble(open_page(1280, file=file), axe))
    for rule in ("html-has-lang", "color-contrast", "label"):
        assert rule in trouble


@pytest.mark.parametrize("name", [*PAGES, *SAMPLES])
def test_every_id_stands_once_and_every_reference_finds_one(open_page, made, name):
    page = open_page(1280, file=made(name))
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert sorted(set(ids)) == sorted(ids)
    wanted = page.evaluate(
        """['aria-labelledby', 'aria-describedby', 'aria-controls', 'for', 'headers'].flatMap(
            name => [...document.querySelectorAll(`[${name}]`)].flatMap(
                e => e.getAttribute(name).split(/\\s+/))).filter(Boolean)"""
    )
    assert set(wanted) <= set(ids)


@pytest.mark.parametrize("name", [*PAGES, *SAMPLES])
def test_headings_go_down_one_level_at_a_time_and_tables_are_named(open_page, made, name):
    page = open_page(1280, file=made(name))
    levels = page.evaluate(
        "[...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map(h => Number(h.tagName[1]))"
    )
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in zip(levels, levels[1:], strict=False))
    bare = page.evaluate(
        """[...document.querySelectorAll('table')].filter(t => !t.caption?.textContent.trim()
            || !t.querySelector('th[scope]')).map(t => t.outerHTML.slice(0, 120))"""
    )
    assert bare == []
    unnamed = page.evaluate(
        """[...document.querySelectorAll('svg[role=img], img')].filter(p =>
            !(p.getAttribute('alt') || p.getAttribute('aria-label')
              || p.getAttribute('aria-labelledby'))).length"""
    )
    assert unnamed == 0


@pytest.mark.parametrize("name", [*PAGES, *SAMPLES])
def test_whatever_has_the_focus_shows_it(open_page, made, name):
    page = open_page(1280, file=made(name))
    for _ in range(12):
        page.keyboard.press("Tab")
        shown = page.evaluate(
            """(e => { if (e === document.body) return true; const s = getComputedStyle(e);
                return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2; })(
                document.activeElement)"""
        )
        assert shown, page.evaluate("document.activeElement.outerHTML.slice(0, 120)")
