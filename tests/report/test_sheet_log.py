"""The log sheet on paper: every column, every tick, both sides, A4 and Letter, nothing cut off."""

import re
import shutil
import subprocess
from html import unescape
from pathlib import Path

import pytest

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_log import (
    WIDTH_MM,
    Cell,
    build_log_sheet,
    pack_lines,
    render_log_sheet,
)

WINE = (
    'title = "Wine"\nhandles_hot_ware = false\ncluster_word = "judge"\npiece_word = "tasting"\n'
    '[columns]\nfiring = "judge"\npiece = ""\ndate = ""\nglaze = ""\nloaded = ""\nnotes = ""\n'
    '[factors.temp]\nrole = "setting"\nkind = "levels"\nlevels = ["cold", "warm"]\n'
    '[outcomes.rating]\nlevels = ["1", "2", "3"]\naim = "2"'
)
LONG_LABEL = "A label of the greatest length a codebook may have, eighty signs with its spaces"
LONG = (
    'extends = "default"\n[factors.extra_mm]\nrole = "setting"\nkind = "number"\nunit = "mm"\n'
    f'step = 1\nlabel = "{LONG_LABEL}"\n[outcomes.boldness]\naim = "11"\nlevels = ['
    + ", ".join(f'"{n}"' for n in range(12))
    + "]"
)


def _text(page: str) -> str:
    body = page.partition("<body>")[2]
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", body)))


def test_every_column_of_the_log_has_its_box(codebook: Codebook) -> None:
    sheet = build_log_sheet(codebook)
    lines = (*sheet.firing, *sheet.piece, *sheet.grades)
    labels = [cell.label.partition(" (")[0] for line in lines for cell in line]
    labels += ["Grader" for cell in sheet.grading if cell.label == "Graded by"]
    expected = [column.label for column in build_columns(codebook)]
    # The piece stands on both sides, so that grades find their row; who graded, once a leaf.
    assert sorted(labels) == sorted([*expected, "Piece"])


def test_what_is_the_same_for_a_whole_firing_stands_at_the_top(codebook: Codebook) -> None:
    labels = {cell.label for line in build_log_sheet(codebook).firing for cell in line}
    assert {"Firing", "Date", "How many in this firing", "Pull temperature", "Wind"} <= labels
    assert not {"Glaze", "Seconds to the can (s)", "Luster"} & labels


def test_levels_and_temperature_scales_are_ticked_not_written(codebook: Codebook) -> None:
    sheet = build_log_sheet(codebook)
    lines = (*sheet.firing, *sheet.piece, *sheet.grades)
    ticks = {cell.label: cell.ticks for line in lines for cell in line}
    assert ticks["Quench"] == ("none", "mist", "dunk")
    assert ticks["Pull temperature"] == ("°C", "°F")
    assert ticks["Luster"] == ("0", "1", "2", "3", "4")
    assert ticks["Seconds to the can (s)"] == ()


def test_the_grading_side_has_the_anchored_words_and_no_setting(codebook: Codebook) -> None:
    back = _text(render_log_sheet(codebook).partition("Grading, when cold</h2>")[2])
    assert "0 none · 1 trace · 2 patchy · 3 broad · 4 full" in _text(render_log_sheet(codebook))
    assert "Seconds to the can" not in back
    assert "Glaze" not in back


def test_hot_ware_has_its_cautions_on_both_sides_and_wine_has_none(codebook: Codebook) -> None:
    text = _text(render_log_sheet(codebook))
    assert "Tongs, never gloved hands, for red-hot ware" in text
    assert "No time on this sheet is worth a hurried step." in text
    assert "grade only when cold" in text
    wine = _text(render_log_sheet(parse_codebook(WINE, file="wine.toml")))
    assert "hot" not in wine
    assert "Judge" in wine


def test_the_sheet_does_not_say_which_grade_is_hoped_for(codebook: Codebook) -> None:
    text = _text(render_log_sheet(codebook))
    assert all(outcome.phrase not in text for outcome in codebook.outcomes if outcome.aim == 3)


def test_a_firing_of_six_fits_on_one_leaf(codebook: Codebook) -> None:
    assert build_log_sheet(codebook).pieces == 6


@pytest.mark.parametrize("widths", [[60.0] * 9, [200.0, 20.0, 100.0, 20.0], [254.0], []])
def test_no_line_is_wider_than_the_paper_and_no_cell_is_lost(widths: list[float]) -> None:
    cells = [Cell(label=str(n), width=width) for n, width in enumerate(widths)]
    lines = pack_lines(cells)
    assert all(sum(cell.width for cell in line) <= WIDTH_MM for line in lines)
    packed = sorted((cell for line in lines for cell in line), key=lambda cell: cell.label)
    assert packed == cells


def test_markup_in_a_codebook_is_shown_not_run() -> None:
    own = parse_codebook(
        'extends = "default"\n[factors.bed]\nrole = "setting"\nkind = "levels"\n'
        'label = "<img src=x onerror=alert(1)>"\nlevels = ["<script>", "no"]',
        file="mine.toml",
    )
    page = render_log_sheet(own)
    assert "<img" not in page
    assert "<script" not in page
    assert "&lt;img src=x" in page


def test_nothing_is_fetched_and_nothing_is_styled_inline(codebook: Codebook) -> None:
    page = render_log_sheet(codebook)
    assert not re.search(r"https?://|url\(|@import|<script|<link|style=", page)


CUT_OFF = """[...document.querySelectorAll('.cell, .piece, .firing, .caution, .page')]
    .filter(e => e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)
    .map(e => e.className + ': ' + e.textContent.slice(0, 60))"""
# Millimetres of paper between the margins, at 96 pixels an inch (CSS 2.1, 4.3.2).
PAPERS = {"A4": (297 - 16, 210 - 16), "Letter": (279.4 - 16, 215.9 - 16)}


def _open(browser, page_text: str, folder: Path, paper: str, **options: object):
    file = folder / "sheet.html"
    file.write_text(page_text, encoding="utf-8")
    width, height = (int(side * 96 / 25.4) for side in PAPERS[paper])
    page = browser.new_page(viewport={"width": width, "height": height}, **options)
    page.complaints = []
    page.on("console", lambda message: page.complaints.append(message.text))
    page.on("request", lambda r: r.url == file.as_uri() or page.complaints.append(r.url))
    page.emulate_media(media="print")
    page.goto(file.as_uri())
    return page


def _count_pages(printed: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page[^s]", printed))


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("own", ["", WINE, LONG], ids=["default", "wine", "long"])
def test_the_leaf_prints_on_two_sides_with_nothing_cut_off(
    codebook: Codebook, browser, tmp_path: Path, paper: str, own: str
) -> None:
    book = parse_codebook(own, file="own.toml") if own else codebook
    page = _open(browser, render_log_sheet(book), tmp_path, paper)
    cut_off = page.evaluate(CUT_OFF)
    too_wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    printed = page.pdf(format=paper, landscape=True)
    complaints = page.complaints
    page.close()
    assert _count_pages(printed) == 2
    assert cut_off == []
    assert too_wide <= 0
    assert complaints == []


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_machine_with_wider_letters_prints_the_same_two_sides(
    codebook: Codebook, browser, tmp_path: Path, paper: str
) -> None:
    page = _open(browser, render_log_sheet(codebook), tmp_path, paper, bypass_csp=True)
    page.add_style_tag(content="body { font-family: 'DejaVu Sans' !important; }")
    cut_off = page.evaluate(CUT_OFF)
    printed = page.pdf(format=paper, landscape=True)
    page.close()
    assert _count_pages(printed) == 2
    assert cut_off == []


@pytest.mark.browser
@pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="pdftotext is missing; .ci/run installs it"
)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_label_is_on_the_paper(
    codebook: Codebook, browser, tmp_path: Path, paper: str
) -> None:
    page = _open(browser, render_log_sheet(codebook), tmp_path, paper)
    (tmp_path / "sheet.pdf").write_bytes(page.pdf(format=paper, landscape=True))
    page.close()
    command = ["pdftotext", "-raw", str(tmp_path / "sheet.pdf"), "-"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    printed = " ".join(text.split())
    labels = [
        "Graded by" if column.name == "grader" else column.label
        for column in build_columns(codebook)
    ]
    missing = [label for label in labels if label not in printed]
    assert missing == []
    assert printed.count("Luster 0 1 2 3 4") == 6


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_boxes_are_large_enough_to_write_in_with_gloves(
    codebook: Codebook, browser, tmp_path: Path, paper: str
) -> None:
    page = _open(browser, render_log_sheet(codebook), tmp_path, paper)
    smallest = page.evaluate(
        "[...document.querySelectorAll('.piece .cell')].map(e => e.getBoundingClientRect())"
        ".reduce(([w, h], b) => [Math.min(w, b.width), Math.min(h, b.height)], [1e9, 1e9])"
    )
    page.close()
    width, height = (side * 25.4 / 96 for side in smallest)
    assert width >= 19
    assert height >= 11.5


@pytest.mark.browser
def test_on_a_phone_the_sheet_does_not_scroll_sideways(
    codebook: Codebook, browser, tmp_path: Path
) -> None:
    file = tmp_path / "sheet.html"
    file.write_text(render_log_sheet(codebook), encoding="utf-8")
    page = browser.new_page(viewport={"width": 320, "height": 800})
    page.goto(file.as_uri())
    width = page.evaluate("document.documentElement.scrollWidth")
    page.close()
    assert width <= 320
