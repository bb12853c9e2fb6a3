import math
import re
from dataclasses import replace

import pytest
from matplotlib.lines import Line2D

from outcomes.report.document import Callout, ItemList, Picture, Section, iterate_blocks
from outcomes.report.figure_canvas import Size
from outcomes.report.figure_shares import LOOKS, Box, find_lines
from outcomes.report.figures import draw_picture, render_picture
from outcomes.report.maker import build_maker_document
from outcomes.report.share_words import describe_shares

FEW = "The log holds 4 firings; how much is yours can be told from 6 firings on."


@pytest.fixture(scope="module")
def section(document):
    return next(part for part in document.sections if part.key == "shares")


@pytest.fixture(scope="module")
def bars(section):
    return next(b for b in iterate_blocks(section.blocks) if isinstance(b, Picture))


def say(study, teller, shares):
    return describe_shares(replace(study.outcomes[0], shares=shares), teller)


def test_each_outcome_gets_one_plain_sentence_in_tenths(section):
    lines = next(b for b in section.blocks if isinstance(b, ItemList)).items
    assert lines[0] == (
        "About 4 of every 10 parts of the differences you see in luster are yours to set "
        "(from 3 to 6). About 4 are the luck of the single piece, grading included, and 1 the "
        "luck of the firing (up to 3)."
    )


def test_luck_of_the_firing_that_was_not_seen_is_not_called_absent(section):
    lines = next(b for b in section.blocks if isinstance(b, ItemList)).items
    assert lines[1].endswith(
        "Luck of the whole firing was not seen, which is not the same as absent: it could be up "
        "to 3 of the 10."
    )


def test_a_reason_takes_the_place_of_numbers(study, teller):
    assert say(study, teller, FEW) == f"Luster: {FEW}"
    assert say(study, teller, None) == ""


def test_few_firings_give_words_and_no_bar(study, doubts, teller, with_luster):
    shares = doubts.build_shares("luster", few=True, unseen=True)
    said = say(study, teller, shares)
    assert said == (
        "Luster: with 9 firings only rough words can be given. Yours to set: about half. Luck of "
        "the firing: small. Luck of the single piece: about half. Luck of the firing was not seen, "
        "which is not the same as absent."
    )
    page = build_maker_document(with_luster(study, shares=shares))
    part = next(p for p in page.sections if p.key == "shares")
    (picture,) = [b for b in iterate_blocks(part.blocks) if isinstance(b, Picture)]
    assert [row.label for row in picture.drawing.rows] == ["Cracked"]


@pytest.mark.parametrize(
    ("tenths", "limits", "said"),
    [
        (0, (0, 1), "Less than 1 of every 10 parts of the differences you see in luster is yours"),
        (1, (0, 2), "About 1 of every 10 parts of the differences you see in luster is yours to "
                    "set (from less than 1 to 2)."),
        (10, (9, 10), "About 9 of every 10 parts"),
        (4, (4, 4), "are yours to set. About"),
    ],
)  # fmt: skip
def test_tenths_are_read_aloud_as_numbers_are(study, doubts, teller, tenths, limits, said):
    shares = replace(doubts.build_shares("luster"), tenths=tenths, tenths_low=limits[0],
                     tenths_high=limits[1])  # fmt: skip
    assert said in say(study, teller, shares)


def test_little_luck_of_the_firing_is_given_with_its_upper_limit(study, doubts, teller):
    shares = doubts.build_shares("luster")
    parts = tuple(
        replace(one, share=0.02) if one.name == "firing_luck" else one for one in shares.parts
    )
    assert "less than 1 the luck of the firing (up to 3)." in say(
        study, teller, replace(shares, parts=parts)
    )


def test_what_the_parts_are_not_is_said(section):
    caveats = next(b for b in section.blocks if isinstance(b, Callout)).items
    assert caveats[0].startswith("They describe these firings")
    assert "never varied has no part here, and that says nothing about its power" in caveats[1]
    assert "not per cent of pieces or of grades" in caveats[2]


def test_the_table_behind_the_bars_holds_every_part_its_interval_and_what_overlaps(bars):
    luster = [row[1:] for row in bars.table.rows if row[0] == "Luster"]
    assert luster[0] == ("settings for a whole firing", "21", "from 10 to 34", "shared")
    assert luster[3] == ("recorded conditions", "less than 1", "up to 4", "")
    assert luster[-1] == ("Yours to set, together", "44", "from 32 to 57", "")
    cracked = {row[1]: row[2:] for row in bars.table.rows if row[0] == "Cracked"}
    assert cracked["luck of the firing"] == ("less than 1", "up to 22", "not seen")


def test_the_bars_are_told_with_their_numbers(bars):
    assert "Luster: settings for a whole firing 21, settings for each piece 20" in bars.alt
    assert "yours to set together 44." in bars.alt


def test_a_bar_is_as_long_as_its_parts(bars):
    for row in bars.drawing.rows:
        assert sum(share for _, share in row.parts) == pytest.approx(100.0, abs=0.01)
    figure = draw_picture(bars.drawing, Size.WIDE)
    dots = [line for line in figure.findobj(Line2D) if line.get_marker() == "o"]
    # the scale runs from 150 to 708 px: 44 of 100 parts end at 150 + 0.44 * 558
    assert float(dots[0].get_xdata()[0]) == pytest.approx(150 + 0.44 * 558)


def test_every_part_differs_by_pattern_or_lightness_without_its_colour():
    looks = [(look.pattern, _lightness(look.fill)) for look in LOOKS.values()]
    for slot, (pattern, light) in enumerate(looks):
        for other, lightness in looks[slot + 1 :]:
            assert pattern != other or abs(light - lightness) > 0.15, (pattern, light)


def _lightness(colour):
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue  # luma of ITU-R BT.601


@pytest.mark.parametrize("pattern", ["rising", "falling", "upright"])
def test_the_lines_of_a_pattern_stay_inside_their_part(pattern):
    box = Box(left=10, right=47, top=5, bottom=33)
    x, y = find_lines(box, pattern)
    points = [(a, b) for a, b in zip(x, y, strict=True) if not math.isnan(a)]
    assert len(points) >= 10
    assert all(10 <= a <= 47 and 5 - 1e-9 <= b <= 33 + 1e-9 for a, b in points)


def test_the_picture_is_the_same_bytes_each_time_and_named(bars):
    svg = render_picture(bars.drawing, key="k", title=bars.title, alt=bars.alt)
    assert svg == render_picture(bars.drawing, key="k", title=bars.title, alt=bars.alt)
    for name in ("settings for a whole firing", "luck of the piece", "what is yours"):
        assert svg.count(name) >= 2
    assert not re.search(r"\d\.\d\d", svg.split("</desc>")[1].split("</svg>")[0])


def test_what_made_the_difference_stands_beside_what_could_be_changed(section):
    table = next(
        b for b in iterate_blocks(section.blocks) if getattr(b, "key", "") == "split-luster"
    )
    rows = {row[0]: row[1:] for row in table.rows}
    assert rows["Pull temperature"] == (
        "20", "from 10 to 33", "14 more", "from 2 fewer to 30 more",
    )  # fmt: skip
    assert rows["Humidity"] == ("2", "up to 5", "recorded, not chosen", "–")
    assert rows["Maker"] == ("less than 1", "–", "held level", "–")
    assert "Together they explain 37 of 100 parts." in table.note


def test_a_study_without_shares_has_no_such_section(study):
    bare = tuple(replace(part, shares=None, split=None) for part in study.outcomes)
    page = build_maker_document(replace(study, outcomes=bare))
    assert "shares" not in [s.key for s in page.sections if isinstance(s, Section)]
