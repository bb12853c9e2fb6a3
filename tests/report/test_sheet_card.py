"""The grading card: all anchors, safe, printable on one page."""

import base64
import hashlib
import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.report.sheet_card import render_card


def _text(page: str) -> str:
    """Return the words of a page, tags taken out."""
    body = page.partition("<body>")[2]
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", body)))


def test_every_anchor_stands_on_the_card(codebook: Codebook) -> None:
    text = _text(render_card(codebook))
    for outcome in codebook.outcomes:
        assert outcome.label in text
        assert outcome.how_to_grade in text
        for level in outcome.levels:
            for part in level.wording.split(": "):
                assert part in text


# The anchors of the trade: common practice, no source.
@pytest.mark.parametrize(
    "anchor",
    [
        "the reflection is white or grey only",
        "on less than a tenth of the glazed area",
        "on a tenth to half of the area",
        "a lamp is seen as a colored blob",
        "on nine-tenths or more; the lamp's edge can be recognized",
        "1 to 4 crossings per 100 mm",
        "5 to 12 crossings per 100 mm",
        "13 to 30 crossings per 100 mm",
        "more than 30 crossings per 100 mm",
        "a different shade of the same color name",
        "a different color name and a different character",
        "beside an unreduced tile of the same glaze",
        "twice, at right angles",
    ],
)
def test_the_anchors_are_those_two_people_agree_on(codebook: Codebook, anchor: str) -> None:
    assert anchor in _text(render_card(codebook))


@pytest.mark.parametrize(
    "rule",
    ["daylight shade", "before you look at the log row", "same marked window", "date you graded",
     "every piece loaded"],
)  # fmt: skip
def test_how_to_grade_is_said(codebook: Codebook, rule: str) -> None:
    assert rule in _text(render_card(codebook))


def test_the_card_does_not_say_which_grade_is_hoped_for(codebook: Codebook) -> None:
    text = _text(render_card(codebook)).lower()
    assert "aim" not in re.findall(r"[a-z]+", text)
    assert all(outcome.phrase not in text for outcome in codebook.outcomes if outcome.aim == 3)


def test_hot_ware_gets_its_caution_and_wine_does_not(codebook: Codebook) -> None:
    assert "only when they are cold" in _text(render_card(codebook))
    assert "not for food or drink" in _text(render_card(codebook))
    wine = parse_codebook(
        'title = "Wine"\nhandles_hot_ware = false\n[factors.temp]\nrole = "setting"\n'
        'kind = "name"\n[outcomes.rating]\nlevels = ["1", "2"]\naim = "2"',
        file="wine.toml",
    )
    assert "Caution" not in _text(render_card(wine))
    assert "How to grade" not in _text(render_card(wine))


HOSTILE = '<script>alert(1)</script><img src=x onerror=alert(1)>\\" onload=\\"alert(1)'


def test_markup_in_a_codebook_is_shown_not_run() -> None:
    page = render_card(
        parse_codebook(
            f'title = "T"\nhow_to_grade = ["{HOSTILE}"]\n[factors.a]\nrole = "setting"\n'
            f'kind = "name"\n[outcomes.o]\nlabel = "{HOSTILE[:60]}"\nhow_to_grade = "{HOSTILE}"\n'
            f'aim = "y"\nlevels = ["n", {{ name = "y", wording = "{HOSTILE}" }}]',
            file="mine.toml",
        )
    )
    tags = re.findall(r"<(\w+)", page)
    assert "script" not in tags
    assert "img" not in tags
    assert "&lt;script&gt;alert(1)" in page


def test_the_policy_allows_nothing_but_the_style_on_the_page(codebook: Codebook) -> None:
    page = render_card(codebook)
    policy = unescape(re.search(r'Policy" content="([^"]+)"', page)[1])  # type: ignore[index]
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]  # type: ignore[index]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )


def test_nothing_is_fetched_and_nothing_is_styled_inline(codebook: Codebook) -> None:
    page = render_card(codebook)
    assert not re.search(r"https?://|url\(|@import|<script|<link|style=", page)


class _Outline(HTMLParser):
    """Collects tags, ids and heading ranks."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


def test_the_page_can_be_found_around_in_without_seeing_it(codebook: Codebook) -> None:
    outline = _Outline()
    outline.feed(render_card(codebook))
    tags = [tag for tag, _ in outline.tags]
    ids = [values["id"] for _, values in outline.tags if "id" in values]
    named = [values["aria-labelledby"] for tag, values in outline.tags if tag == "section"]
    assert ("html", {"lang": "en"}) in outline.tags
    assert (tags.count("h1"), tags.count("main"), tags.count("title")) == (1, 1, 1)
    assert tags.count("caption") == tags.count("table") == len(codebook.outcomes)
    assert len(set(ids)) == len(ids)
    assert named == ids
    assert all("scope" in values for tag, values in outline.tags if tag == "th")


def _luminance(color: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.2, definition of relative luminance)."""
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("tone", ["ash", "soot", "ember", "glaze"])
def test_every_tone_of_text_has_contrast_on_paper(codebook: Codebook, tone: str) -> None:
    tones = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", render_card(codebook)))
    light, dark = _luminance(tones["paper"]), _luminance(tones[tone])
    # WCAG 2.2, success criterion 1.4.3 asks 4.5; 7 also survives a grey printer.
    assert (light + 0.05) / (dark + 0.05) >= 7


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_card_prints_on_one_page(
    codebook: Codebook, browser, tmp_path: Path, paper: str
) -> None:
    card = tmp_path / "card.html"
    card.write_text(render_card(codebook), encoding="utf-8")
    complaints: list[str] = []
    page = browser.new_page(viewport={"width": 320, "height": 800})
    page.on("console", lambda message: complaints.append(message.text))
    page.on("request", lambda r: r.url == card.as_uri() or complaints.append(r.url))
    page.goto(card.as_uri())
    width = page.evaluate("document.documentElement.scrollWidth")
    printed = page.pdf(format=paper)
    page.close()
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1
    assert width <= 320
    assert complaints == []
