import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from outcomes.report.figure_palette import (
    COPPER,
    EMBER,
    GLAZE,
    INK,
    PAPER,
    SMOKE,
    pick_grade_colours,
)
from outcomes.report.html import build_policy, read_part, render_page
from outcomes.report.maker import build_maker_document

ATTACKS = (
    "<script>document.title='owned'</script>",
    '"><img src=x onerror=alert(1)>',
    "]]></style><script>1</script>",
    "{{ 7*7 }} {% raw %}",
    "javascript:alert(1)",
    "$\\frac{broken$",
    "Füchsia 🔥 釉 \x00\x0b",
)


class Collector(HTMLParser):
    """Collects every tag with its attributes, and checks that tags nest."""

    VOID = ("meta", "link", "br", "img", "use", "path")

    def __init__(self):
        super().__init__()
        self.tags = []
        self.open = []
        self.wrong = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "link"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


@pytest.fixture(scope="module")
def page(document):
    return render_page(document)


@pytest.fixture(scope="module")
def tags(page):
    collector = Collector()
    collector.feed(page)
    assert collector.wrong == []
    assert collector.open == []
    return collector.tags


def test_the_same_document_gives_the_same_bytes(document, page):
    assert render_page(document) == page


def test_nothing_is_loaded_from_anywhere(page, tags):
    loading = [
        (tag, value)
        for tag, attributes in tags
        for name, value in attributes.items()
        if name in ("src", "href", "action", "data", "poster", "srcset", "xlink:href")
        and not value.startswith(("#", "data:,"))
    ]
    assert loading == []
    assert "@import" not in page
    assert "url(" not in page
    assert not re.search(r"https?://", page)


def test_nothing_can_run(tags):
    assert not any(tag in ("script", "iframe", "object", "embed", "form") for tag, _ in tags)
    assert not any(name.startswith("on") for _, attributes in tags for name in attributes)


def test_the_policy_forbids_everything_but_this_style_sheet(page):
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)[1]
    expected = (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
    assert policy.replace("&#39;", "'") == expected
    assert policy.replace("&#39;", "'") == build_policy(style)
    assert page.index("Content-Security-Policy") < page.index("<style>")


def test_no_element_carries_a_style_attribute_the_policy_would_refuse(tags):
    assert [tag for tag, attributes in tags if "style" in attributes] == []


def test_ids_are_unique_and_every_reference_finds_one(tags):
    ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    wanted = {
        part
        for _, attributes in tags
        for name in ("aria-labelledby", "aria-describedby")
        for part in attributes.get(name, "").split()
    }
    wanted |= {a["href"][1:] for _, a in tags if a.get("href", "").startswith("#")}
    assert wanted <= set(ids)


def test_every_picture_is_named_described_and_backed_by_a_table(page, tags):
    pictures = [attributes for tag, attributes in tags if tag == "svg"]
    assert len(pictures) >= 10
    assert all(a["role"] == "img" and a["aria-labelledby"] and a["aria-describedby"]
               for a in pictures)  # fmt: skip
    figures = re.findall(r"<figure .*?</figure>", page, re.DOTALL)
    assert len(figures) * 2 == len(pictures)  # a wide and a narrow one each
    assert all("<table" in figure and "<desc" in figure for figure in figures)


def test_tables_have_captions_and_scopes(page):
    tables = re.findall(r"<table.*?</table>", page, re.DOTALL)
    assert len(tables) > 10
    for table in tables:
        assert "<caption" in table
        assert table.count('scope="row"') == table.count("<tr>") - 1
        assert table.count('scope="col"') >= 2


def test_headings_descend_one_level_at_a_time(tags):
    levels = [int(tag[1]) for tag, _ in tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in zip(levels, levels[1:], strict=False))


def test_the_page_has_its_landmarks_and_a_way_past_them(tags):
    names = [tag for tag, _ in tags]
    for landmark in ("header", "nav", "main", "footer"):
        assert names.count(landmark) == 1
    first_link = next(attributes for tag, attributes in tags if tag == "a")
    assert first_link == {"class": "skip", "href": "#take-away"}
    assert dict(tags[0][1]) == {"lang": "en"}


@pytest.mark.parametrize("attack", ATTACKS)
def test_what_a_maker_typed_is_text_and_nothing_else(study, attack, known):
    hostile = poison(study, attack)
    page = render_page(build_maker_document(hostile))
    collector = Collector()
    collector.feed(page)
    assert not any(tag in ("script", "img", "iframe") for tag, _ in collector.tags)
    assert not any(name.startswith("on") for _, a in collector.tags for name in a)
    assert "49 {%" not in page
    assert collector.wrong == []


def test_a_script_typed_in_a_note_is_shown_as_typed(study):
    page = render_page(build_maker_document(poison(study, ATTACKS[0])))
    assert "&lt;script&gt;document.title=&#39;owned&#39;&lt;/script&gt;" in page


def poison(study, text):
    """Return the study with a text in every place a maker or a codebook can fill."""
    codebook = study.log.codebook
    factors = tuple(replace(f, label=text, safety_note=text) for f in codebook.factors)
    outcomes = tuple(
        replace(o, label=text, phrase=text,
                levels=tuple(replace(level, wording=text) for level in o.levels))
        for o in codebook.outcomes
    )  # fmt: skip
    renamed = {o.name: o for o in outcomes}
    finding = replace(study.findings[0], message=text, advice=text)
    log = replace(
        study.log,
        codebook=replace(codebook, factors=factors, outcomes=outcomes, title=text),
        files=tuple(replace(f, name=text) for f in study.log.files),
        headers=tuple(replace(h, written=text, how=text) for h in study.log.headers),
        written=study.log.written.map(lambda _: text),
        unusable=study.log.unusable.assign(written=text, reason=text, column=text),
    )
    parts = tuple(
        replace(part, outcome=renamed[part.outcome.name], why_not=text,
                curves=tuple(replace(c, glaze=text if c.glaze else "") for c in part.curves))
        for part in study.outcomes
    )  # fmt: skip
    return replace(study, log=log, outcomes=parts, findings=(finding,))


def test_a_log_of_ten_thousand_pieces_stays_a_page_one_can_open(study, with_luster):
    # reliability.md E5: 10,000 pieces at most 5 MB, 60 pieces at most 1 MB
    small = render_page(build_maker_document(study))
    rng = np.random.default_rng(3)
    curves = tuple(
        replace(curve, logged=rng.uniform(4, 26, 10_000)) for curve in study.outcomes[0].curves
    )
    large = render_page(build_maker_document(with_luster(study, curves=curves)))
    assert len(small.encode()) < 1_000_000
    assert len(large.encode()) < 1.2 * len(small.encode()) + 200_000


def luminance(colour):
    """Return the relative luminance of WCAG 2.2 (sRGB)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_measured_as_wcag_does():
    # WCAG 2.2, definition of contrast ratio: black on white is 21:1
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("colour", [INK, SMOKE, EMBER, COPPER, GLAZE])
@pytest.mark.parametrize("ground", [PAPER, "#ffffff", "#fbeee6", "#f1ece4", "#e9f2f0"])
def test_every_text_colour_can_be_read_on_every_ground(colour, ground):
    assert contrast(colour, ground) >= 4.5  # WCAG 2.2, 1.4.3


def test_the_style_sheet_uses_the_colours_of_the_figures():
    style = read_part("style.css")
    for colour in (INK, SMOKE, EMBER, COPPER, GLAZE, PAPER):
        assert colour in style


@pytest.mark.parametrize("n", [2, 3, 4, 5])
def test_grades_darken_step_by_step_for_every_kind_of_colour_vision(n):
    shades = [luminance(colour) for colour in pick_grade_colours(n)]
    ratios = [(a + 0.05) / (b + 0.05) for a, b in zip(shades, shades[1:], strict=False)]
    assert min(ratios) > 1.25  # lightness alone keeps neighbours in order
