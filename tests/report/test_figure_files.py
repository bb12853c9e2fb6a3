"""Pictures as files of their own: complete, undated, the same bytes each time."""

import re
import xml.etree.ElementTree as ET

import pytest

from outcomes.report.figure_files import render_pdf_file, render_svg_file
from outcomes.report.research_figures import build_figures

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def pictures(researched):
    return build_figures(researched)


def test_strips_curves_and_shares_are_all_there(pictures):
    assert [
        "strip-luster", "curve-luster-seconds_to_can", "curve-luster-pull_temp_c", "strip-cracked",
        "curve-cracked-quench", "shares-bars",
    ] == [picture.key for picture in pictures]  # fmt: skip


def test_an_svg_file_is_a_document_with_title_and_description(pictures):
    for picture in pictures:
        root = ET.fromstring(render_svg_file(picture))
        assert f"{SVG}svg" == root.tag
        assert picture.title == root.find(f"{SVG}title").text
        assert root.find(f"{SVG}desc").text
        assert "sans-serif" in root.attrib["font-family"]


def test_the_same_picture_gives_the_same_bytes(pictures, researched):
    for picture, again in zip(pictures, build_figures(researched), strict=True):
        assert render_svg_file(picture) == render_svg_file(again)
        assert render_pdf_file(picture) == render_pdf_file(again)


def test_a_pdf_has_one_page_its_fonts_and_no_date(pictures):
    for picture in pictures:
        pdf = render_pdf_file(picture)
        assert pdf.startswith(b"%PDF")
        assert 1 == len(re.findall(rb"/Type\s*/Page\b", pdf))
        assert b"/FontDescriptor" in pdf
        assert not re.search(rb"/(CreationDate|ModDate|Producer|Creator)", pdf)


def test_a_svg_file_holds_no_date_and_loads_nothing(pictures):
    for picture in pictures:
        text = render_svg_file(picture).replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://|dc:date|<script|style=", text)
