"""The page of a power simulation, in Debian's chromium."""

import pytest

from outcomes.planning.power_question import Background, Luck, Question, Wish
from outcomes.planning.power_request import Prepared
from outcomes.planning.power_study import simulate_questions
from outcomes.report.power_results import PAGE, build_power_results

pytestmark = pytest.mark.browser
PHONE, LAPTOP = 320, 1280
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"


@pytest.fixture(scope="module")
def power_file(tmp_path_factory):
    known = Background(
        shares=(0.1, 0.2, 0.3, 0.25, 0.15),
        aim=3,
        lucks=((0.5, Luck.ESTIMATED), (1.2, Luck.UPPER)),
        sizes=(2, 4, 9),
        firings=30,
        pieces=150,
    )
    wish = Wish(firings=(4, 6, 8, 9, 60), pieces=(3, 4, 5, 6, 7, 8), observed=True, runs=100)
    question = Question(name="slow", smallest=0.2, tested=True, compared=("A", "B", "c", "d"))
    asked = ((question, known),)
    study = simulate_questions(Prepared(title="A very long question " * 6, asked=asked, wish=wish))
    file = tmp_path_factory.mktemp("power") / PAGE
    file.write_bytes(build_power_results(study)[PAGE])
    return file


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_the_page_asks_for_nothing_complains_of_nothing_and_never_scrolls_sideways(
    open_page, power_file, width
):
    page = open_page(width, file=power_file)
    page.evaluate(OPEN_ALL)
    assert [page.url] == page.requested
    assert [] == page.complaints
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [PHONE, LAPTOP])
def test_no_words_in_the_pictures_run_into_one_another_or_over_the_edge(
    open_page, power_file, width
):
    page = open_page(width, file=power_file)
    trouble = page.evaluate(
        """() => [...document.querySelectorAll('svg')].filter(s => s.getClientRects().length)
        .flatMap(svg => {
            const edge = svg.getBoundingClientRect();
            const texts = [...svg.querySelectorAll('text')]
                .map(t => [t.textContent, t.getBoundingClientRect()]);
            const over = texts.filter(
                ([, b]) => b.left < edge.left - 1 || b.right > edge.right + 1);
            const meet = texts.filter(([, a], i) => texts.slice(i + 1).some(([, b]) =>
                a.left < b.right - 1 && b.left < a.right - 1 &&
                a.top < b.bottom - 3 && b.top < a.bottom - 3));
            return [...over, ...meet].map(([text]) => text);
        })"""
    )
    assert [] == trouble
