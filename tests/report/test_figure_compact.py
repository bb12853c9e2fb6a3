import re
import xml.etree.ElementTree as ET

import pytest

from outcomes.report.document import Picture, iterate_blocks
from outcomes.report.figure_compact import compact_picture, shorten_path
from outcomes.report.figures import render_picture

SVG = "http://www.w3.org/2000/svg"


def make(inside):
    return ET.fromstring(f'<svg xmlns="{SVG}">{inside}</svg>')


def tags(root):
    return [child.tag.removeprefix(f"{{{SVG}}}") for child in root]


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("M 1 2  L 3 4", "M1 2 3 4"),
        ("M 1 2  L 3 4  M 5 6  L 7 8", "M1 2 3 4M5 6 7 8"),
        ("M 32 186  L 32 30  L 40 30", "M32 186 32 30 40 30"),  # shared numbers are no repeats
        ("M 1 2  C 3 4  5 6  7 8  L 9 9  z", "M1 2C3 4 5 6 7 8L9 9z"),  # after C an L must stay
    ],
)
def test_a_path_keeps_its_points_and_loses_its_words(path, expected):
    assert shorten_path(path) == expected


def test_a_shape_used_once_is_drawn_where_it_is_used():
    root = make(
        '<defs><path id="a" d="M 0 0  L 1 1"/></defs><use x="3" y="0" fill="red" href="#a"/>'
    )
    compact_picture(root)
    assert tags(root) == ["path"]
    assert root[0].attrib == {"d": "M0 0 1 1", "fill": "red", "transform": "translate(3 0)"}


def test_a_shape_used_often_stays_and_its_looks_are_said_once():
    uses = "".join(f'<use x="{n}" y="1" fill="red" href="#a"/>' for n in range(3))
    root = make(f'<defs><path id="a" d="M 0 0  L 1 1"/></defs>{uses}')
    compact_picture(root)
    assert tags(root) == ["defs", "g"]
    assert root[1].attrib == {"fill": "red"}
    assert [use.attrib for use in root[1]] == [
        {"x": str(n), "y": "1", "href": "#a"} for n in range(3)
    ]


def test_lines_that_look_alike_become_one_path_and_areas_do_not():
    root = make(
        '<path d="M 0 0  L 1 1" fill="none" stroke="red"/>'
        '<path d="M 2 2  L 3 3" fill="none" stroke="red"/>'
        '<path d="M 4 4  L 5 5" fill="none" stroke="blue"/>'
        '<path d="M 0 0  L 1 1" fill="red"/><path d="M 0 0  L 1 1" fill="red"/>'
    )
    compact_picture(root)
    assert [path.attrib["d"] for path in root] == [
        "M0 0 1 1M2 2 3 3", "M4 4 5 5", "M0 0 1 1", "M0 0 1 1",
    ]  # fmt: skip


def test_no_text_is_lost_and_texts_come_last():
    root = make(
        '<text x="1" y="1" fill="red">a</text><path d="M 0 0  L 1 1"/>'
        '<text x="2" y="1" fill="blue">b</text><text x="3" y="1" fill="red">c</text>'
    )
    compact_picture(root)
    assert tags(root)[0] == "path"
    assert sorted(root.itertext()) == ["a", "b", "c"]


def test_every_picture_of_the_page_keeps_its_words(document):
    pictures = [b for b in iterate_blocks(document.sections) if isinstance(b, Picture)]
    assert len(pictures) >= 8
    for picture in pictures:
        svg = render_picture(picture.drawing, key="k", title="T", alt="A")
        assert len(re.findall(r"<text", svg)) >= 8
        for one in re.findall(r"<svg.*?</svg>", svg, re.DOTALL):
            ET.fromstring(one)
