"""The handout and the leader's page in Debian's chromium: paper, type, silence, structure."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from outcomes.effects.effect import Verdict, Word
from outcomes.report.handout import build_handout
from outcomes.report.handout_page import render_handout

pytestmark = pytest.mark.browser

SAMPLE = Path(__file__).parents[2] / "reports" / "ninefold_lane"
PAPERS = [("A4", 297), ("Letter", 279.4)]


@pytest.fixture(scope="module")
def handouts(known_study, tmp_path_factory):
    """Handouts by name: the sample's, and invented ones with much, little or hostile text."""
    folder = tmp_path_factory.mktemp("handouts")
    loud, quiet = judged(known_study, Word.CHANGES), judged(known_study, Word.CANNOT_TELL)
    long = "Extraordinarily long label of some setting <script>alert(1)</script> " * 3
    studies = {
        "plain": known_study,
        "loud": loud,
        "quiet": quiet,
        "small": judged(known_study, Word.SMALL),
        "long": relabelled(loud, long, note="Mind the open flame at all times, please. " * 4),
        "longest": relabelled(loud, long, note="Mind the open flame at all times. " * 28),
        "taste": relabelled(judged(known_study, Word.LEANS), long, note=""),
    }
    files = {"sample": SAMPLE / "handout.html"}
    for name, study in studies.items():
        files[name] = folder / f"{name}.html"
        files[name].write_text(render_handout(build_handout(study)), encoding="utf-8")
    return files


def judged(study, word):
    def judge(effect):
        return (
            effect
            if effect.verdict is None
            else replace(effect, verdict=Verdict(word=word, reason="."))
        )

    parts = [replace(p, effects=tuple(map(judge, p.effects))) for p in study.outcomes]
    return replace(study, outcomes=tuple(parts))


def relabelled(study, label, *, note):
    book = study.log.codebook
    factors = tuple(replace(f, label=label, safety_note=note.strip()) for f in book.factors)
    codebook = replace(book, factors=factors, title=label)
    parts = tuple(
        replace(p, outcome=replace(p.outcome, phrase=label, label=label)) for p in study.outcomes
    )
    return replace(study, log=replace(study.log, codebook=codebook), outcomes=parts)


NAMES = ["sample", "plain", "loud", "quiet", "small", "long", "longest", "taste"]


@pytest.mark.parametrize(("paper", "height_mm"), PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_it_prints_on_exactly_one_sheet(open_page, handouts, name, paper, height_mm):
    page = open_page(1000, file=handouts[name])
    pdf = page.pdf(format=paper)
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1
    box = [float(part) for part in re.search(rb"/MediaBox\s*\[([^\]]+)\]", pdf)[1].split()]
    assert box[3] == pytest.approx(height_mm / 25.4 * 72, abs=1.5)


@pytest.mark.parametrize("name", ["sample", "long"])
def test_everything_but_the_foot_is_fourteen_points_or_more(open_page, handouts, name):
    page = open_page(1000, file=handouts[name])
    page.emulate_media(media="print")
    smallest = page.evaluate(
        """Math.min(...[...document.querySelectorAll('main *')]
            .filter(e => !e.closest('footer, svg') && e.textContent.trim())
            .map(e => parseFloat(getComputedStyle(e).fontSize)))"""
    )
    assert smallest >= 14 * 96 / 72 - 0.01


@pytest.mark.parametrize("name", ["sample", "long", "quiet"])
def test_it_asks_for_nothing_and_complains_of_nothing(open_page, handouts, name):
    page = open_page(1000, file=handouts[name])
    page.emulate_media(media="print")
    assert page.requested == [page.url]
    assert page.complaints == []


@pytest.mark.parametrize("width", [320, 768, 1280])
@pytest.mark.parametrize("name", ["sample", "long"])
def test_it_never_scrolls_sideways(open_page, handouts, name, width):
    page = open_page(width, file=handouts[name])
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_screen_reader_hears_headings_in_order_and_named_pictures(open_page, handouts):
    page = open_page(1000, file=handouts["sample"])
    heard = page.locator("body").aria_snapshot()
    levels = [int(level) for level in re.findall(r"heading .*\[level=(\d)\]", heard)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(levels, levels[1:], strict=False))
    assert heard.count('img "A hundred pieces with') == 6
    assert not re.search(r"- '?img(?! \")", heard)
    assert "- main" in heard


def test_a_script_a_maker_typed_does_not_run_even_if_escaping_failed(open_page, handouts, tmp_path):
    attack = "<script>document.title = 'owned'</script>"
    text = handouts["sample"].read_text(encoding="utf-8").replace("<main>", f"<main>{attack}")
    file = tmp_path / "broken.html"
    file.write_text(text, encoding="utf-8")
    page = open_page(1000, file=file)
    assert page.title() == "What our pieces tell us"
    assert any("Content Security Policy" in complaint for complaint in page.complaints)


def test_black_and_white_is_all_it_needs(open_page, handouts):
    page = open_page(1000, file=handouts["sample"])
    colors = page.evaluate(
        """[...new Set([...document.querySelectorAll('main *')].flatMap(e => {
            const s = getComputedStyle(e);
            return [s.color, s.backgroundColor, s.borderTopColor];
        }))]"""
    )
    assert set(colors) <= {"rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgba(0, 0, 0, 0)"}


@pytest.mark.parametrize("width", [320, 1280])
def test_the_leaders_page_is_silent_and_never_scrolls_sideways(open_page, width):
    page = open_page(width, file=SAMPLE / "leader.html")
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.requested == [page.url]
    assert page.complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    heard = page.locator("body").aria_snapshot()
    assert '- heading "Your class, for your eyes" [level=1]' in heard
    assert '- heading "What the coaching changed" [level=2]' in heard
