from dataclasses import replace

import numpy as np
import pytest

from outcomes.log.codebook import Direction
from outcomes.report.curve_panels import order_levels
from outcomes.report.curve_words import describe_curve, find_turn, list_points
from outcomes.report.maker_curves import build_pictures
from outcomes.report.maker_glazes import spread_of_changes


@pytest.fixture(scope="module")
def luster(study):
    return study.outcomes[0]


def reaching(curve, reach):
    reach = np.asarray(reach, dtype=float)
    at = np.linspace(4.0, 26.0, len(reach))
    return replace(
        curve, at=at, reach=reach, reach_low=reach - 0.1, reach_high=reach + 0.1,
        chance=np.column_stack([1 - reach, reach]),
    )  # fmt: skip


def test_a_rising_curve_is_told_by_its_ends(luster, teller):
    curve = reaching(luster.curves[0], [0.2, 0.4, 0.6])
    assert describe_curve(curve, luster.outcome, teller).replace("\u202f", " ") == (
        "Of 100 pieces, about 20 show broad luster or better at 4 s and about 60 at 26 s."
    )


def test_a_window_is_told_by_its_top(luster, teller):
    curve = reaching(luster.curves[0], [0.2, 0.6, 0.3])
    assert describe_curve(curve, luster.outcome, teller).replace("\u202f", " ") == (
        "Of 100 pieces, most show broad luster or better near 15 s: about 60, against 20 at 4 s "
        "and 30 at 26 s."
    )


def test_an_unwanted_outcome_is_told_by_its_bottom(luster):
    wanted_low = replace(luster.outcome, wanted=Direction.LOWER)
    curve = reaching(luster.curves[0], [0.5, 0.2, 0.45])
    assert find_turn(curve, wanted_low) == ("pictures.dip", 1)


def test_a_ripple_is_no_turn(luster):
    curve = reaching(luster.curves[0], [0.40, 0.44, 0.40])  # under half of 10 in 100
    assert find_turn(curve, luster.outcome)[0] == "pictures.ends"


def test_points_keep_both_ends_and_say_their_interval(luster, teller):
    points = list_points(luster.curves[0], teller, most=5)
    assert [points[0].at, points[-1].at] == ["4\u202fs", "26\u202fs"]
    assert len(points) == 5
    assert "(from " in points[0].phrase


def test_without_intervals_points_are_bare(luster, teller):
    curve = luster.curves[0]
    bare = replace(curve, reach_low=np.full(12, np.nan), reach_high=np.full(12, np.nan))
    assert list_points(bare, teller)[0].limits == "–"
    assert "from" not in list_points(bare, teller)[0].phrase


def test_levels_are_told_in_the_codebooks_order(study, teller):
    cracked = study.outcomes[1]
    shuffled = replace(
        cracked.curves[0], at=("dunk", "none", "mist"), reach=np.array([0.6, 0.2, 0.3])
    )
    sentence = describe_curve(order_levels(shuffled, teller), cracked.outcome, teller)
    assert sentence == (
        "Of 100 pieces, those that crack: about 20 with “none”, about 30 with “mist”, "
        "about 60 with “dunk”."
    )


def test_glazes_at_different_heights_may_run_alike(luster):
    low, high = (reaching(luster.curves[0], r) for r in ([0.1, 0.2, 0.3], [0.5, 0.6, 0.7]))
    assert spread_of_changes(low, [low, high]) == pytest.approx(0.0, abs=1e-9)
    other_way = reaching(luster.curves[0], [0.7, 0.6, 0.5])
    assert spread_of_changes(low, [low, other_way]) == pytest.approx(20.0)


def test_how_far_glazes_lie_apart_does_not_make_them_differ(study, with_luster, shapes):
    from outcomes.report.document import Paragraph, iterate_blocks
    from outcomes.report.teller import build_teller

    luster = study.outcomes[0]
    own = replace(luster.curves[2], reach=luster.curves[2].reach[::-1])
    curves = (luster.curves[0], luster.curves[1], own)
    said = {}
    for differs in (False, True):
        found = shapes.build_by_glaze(differs=differs)
        page = build_pictures(
            build_teller(with_luster(study, curves=curves, by_glaze=(found,), gains=()))
        )
        picture = next(p for p in pictures_of(page) if p.key.startswith("glazes"))
        assert [panel.title for panel in picture.drawing.panels] == ["Tarn Lantern", "Moth Ledger"]
        assert "Moth Ledger: about" in picture.alt
        texts = [b.text for b in iterate_blocks((page,)) if isinstance(b, Paragraph)]
        said[differs] = any(t.startswith("No sign that the glazes differ along") for t in texts)
    assert said == {False: True, True: False}


def test_glazes_that_run_alike_have_no_pictures_of_their_own(teller):
    assert not any(p.key.startswith("glazes") for p in pictures_of(build_pictures(teller)))


def pictures_of(section):
    from outcomes.report.document import Picture, iterate_blocks

    return [block for block in iterate_blocks((section,)) if isinstance(block, Picture)]
