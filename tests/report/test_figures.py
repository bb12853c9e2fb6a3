import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import matplotlib as mpl
import pytest
from matplotlib.collections import LineCollection
from matplotlib.lines import Line2D

from outcomes.effects.effect import Word
from outcomes.report.document import Picture, iterate_blocks
from outcomes.report.drawings import CurvePanel, GlazeDrawing
from outcomes.report.figure_canvas import Size, fit_text, measure_text
from outcomes.report.figure_frame import Frame, find_ends, pick_ticks
from outcomes.report.figure_palette import MARKS
from outcomes.report.figure_pots import POT
from outcomes.report.figure_strip import find_reach
from outcomes.report.figures import draw_picture, render_picture


@pytest.fixture(scope="module")
def drawings(document):
    found = [b for b in iterate_blocks(document.sections) if isinstance(b, Picture)]
    return {picture.key: picture.drawing for picture in found}


def draw(drawing, key="k"):
    return render_picture(drawing, key=key, title="T", alt="A description.")


def test_the_same_drawing_gives_the_same_bytes_whatever_the_settings(drawings):
    before = {key: draw(drawing) for key, drawing in drawings.items()}
    with mpl.rc_context({"lines.linewidth": 9, "font.size": 30, "svg.fonttype": "path"}):
        assert {key: draw(drawing) for key, drawing in drawings.items()} == before


def test_a_picture_is_drawn_wide_and_narrow_each_well_formed(drawings):
    for drawing in drawings.values():
        wide, narrow = (ET.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", draw(drawing)))
        assert (wide.attrib["width"], narrow.attrib["width"]) == ("720", "340")
        assert wide.attrib["class"].startswith("figure wide")
        assert [child.tag for child in wide][:2] == ["title", "desc"]


def test_an_inline_picture_holds_no_style_no_clip_and_no_foreign_id(drawings):
    for key, drawing in drawings.items():
        svg = draw(drawing, key=key)
        assert "style=" not in svg
        assert "<style" not in svg
        assert "metadata" not in svg
        assert all(found.startswith(f"{key}-") for found in re.findall(r'\bid="([^"]+)"', svg))
        targets = set(re.findall(r'href="#([^"]+)"', svg))
        assert targets <= set(re.findall(r'\bid="([^"]+)"', svg))


def test_no_date_and_no_program_is_written_into_a_picture(drawings):
    svg = draw(drawings["strip-luster"])
    assert "matplotlib" not in svg.lower()
    assert not re.search(r"20\d\d-\d\d-\d\d", svg)


def test_a_strip_writes_every_setting_and_its_number(drawings):
    svg = draw(drawings["strip-luster"])
    for row in drawings["strip-luster"].rows:
        assert row.label in svg
        assert svg.count(f">{row.number}<") >= 2


def test_a_strips_scale_holds_every_interval_and_twice_the_band(drawings):
    strip = drawings["strip-luster"]
    assert find_reach(strip) == 50  # the widest limit is 44 fewer
    assert find_reach(replace(strip, rows=(), band=10.0)) == 30
    far = replace(strip.rows[0], low=-99.0)
    assert find_reach(replace(strip, rows=(far,))) == 100


def test_a_strip_without_intervals_still_shows_its_dots(drawings):
    strip = drawings["strip-luster"]
    bare = replace(strip, rows=tuple(replace(row, low=None, high=None) for row in strip.rows))
    figure = draw_picture(bare, Size.WIDE)
    dots = [line for line in figure.findobj(Line2D) if line.get_linestyle() == "None"]
    assert len(dots) == len(strip.rows)


def test_a_dot_stands_where_its_change_is(drawings):
    strip = drawings["strip-luster"]
    figure = draw_picture(strip, Size.WIDE)
    dots = [line for line in figure.findobj(Line2D) if line.get_linestyle() == "None"]
    middle, half = (262 + 618) / 2, (618 - 262) / 2
    placed = [(float(dot.get_xdata()[0]) - middle) / half * find_reach(strip) for dot in dots]
    assert placed == pytest.approx([row.change for row in strip.rows])


def test_as_many_pots_are_filled_as_the_count_says(drawings):
    pots = drawings["pots-luster-seconds_to_can"]
    figure = draw_picture(pots, Size.WIDE)
    filled = [line for line in figure.findobj(Line2D) if line.get_markerfacecolor() == "#a83a12"]
    assert [len(line.get_xdata()) for line in filled] == [62, 31]
    everything = sum(len(line.get_xdata()) for line in figure.findobj(Line2D))
    assert everything == 200


def test_the_pot_is_a_closed_shape_of_unit_height():
    low, high = POT.get_extents().intervaly
    assert high - low == pytest.approx(1.0)
    assert tuple(POT.vertices[0]) == tuple(POT.vertices[-1])


def test_the_grades_of_a_curve_fill_the_panel_to_a_hundred(drawings):
    panel = drawings["curve-luster-seconds_to_can"].panel
    assert [sum(parts) for parts in zip(*panel.chance, strict=True)] == pytest.approx(
        [100.0] * len(panel.at), abs=0.01
    )


def test_verdicts_differ_in_shape_or_fill_not_only_in_colour():
    looks = [(mark.marker, mark.fill == mark.edge) for word, mark in MARKS.items() if word]
    assert len(set(looks)) == len(looks)
    assert set(MARKS) == {*Word, None}


def test_glazes_share_one_scale():
    panels = tuple(
        CurvePanel(title=t, at=at, chance=((50.0,) * 3, (50.0,) * 3), reach=(50.0, 60.0, 70.0),
                   low=(), high=(), rug=at)
        for t, at in (("Tarn Lantern", (4.0, 8.0, 12.0)), ("Moth Ledger", (10.0, 20.0, 30.0)))
    )  # fmt: skip
    assert find_ends(panels) == (4.0, 30.0)
    svg = draw(GlazeDrawing(panels=panels, axis="Seconds", reach_label="Of 100"))
    assert svg.count("Moth Ledger") == 2


def test_a_frame_runs_from_its_edges_and_from_0_to_100_upward():
    frame = Frame(left=10, right=110, top=20, bottom=220, low=4.0, high=14.0)
    assert list(frame.across([4.0, 9.0, 14.0])) == [10, 60, 110]
    assert list(frame.upward([0, 50, 100])) == [220, 120, 20]


@pytest.mark.parametrize(("low", "high"), [(4, 26), (0.3, 1.2), (-0.2, 24), (880, 1010), (5, 5)])
def test_ticks_are_few_round_and_inside(low, high):
    ticks = pick_ticks(low, high, most=6)
    assert len(ticks) <= 6
    assert all(low - 1e-9 <= tick <= high + 1e-9 for tick in ticks)
    assert "-0" not in [f"{tick:g}" for tick in ticks]


def test_ticks_stand_where_pieces_were_logged_longer_where_shared_and_none_outside(drawings):
    curve = drawings["curve-luster-seconds_to_can"]
    panel = replace(curve.panel, rug=(4.0, 4.0, 26.0, 99.0))
    figure = draw_picture(replace(curve, panel=panel), Size.WIDE)
    (rug,) = figure.findobj(LineCollection)
    segments = [segment.tolist() for segment in rug.get_segments()]
    assert [segment[0][0] for segment in segments] == [32.0, 350.0]
    assert [segment[1][1] - segment[0][1] for segment in segments] == [14.0, 9.0]


@pytest.mark.parametrize(
    "text", ["A rather long label of a setting", "釉薬の種類と温度と時間と厚さ"]
)
def test_a_text_is_cut_to_its_room(text):
    cut = fit_text(text, size=12, room=80)
    assert cut.endswith("…")
    assert measure_text(cut, size=12) <= 80


def test_a_formula_in_a_label_is_only_text(drawings):
    strip = drawings["strip-luster"]
    odd = replace(strip, rows=(replace(strip.rows[0], label="$\\frac{x$ & <b>"),))
    assert "$\\frac{x$ &amp; &lt;b&gt;" in draw(odd)
