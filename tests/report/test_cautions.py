from dataclasses import replace

import numpy as np
import pytest

from outcomes.log.codebook import Direction
from outcomes.report.cautions import (
    build_cautions,
    find_cautions,
    find_curve_cautions,
    find_picture_cautions,
    points_hot,
)
from outcomes.report.document import Callout, Tone, iterate_blocks
from outcomes.report.teller import build_teller


@pytest.mark.parametrize(
    ("hot", "wanted", "change", "expected"),
    [
        (Direction.LOWER, Direction.HIGHER, -0.3, True),  # luster falls with seconds: be faster
        (Direction.LOWER, Direction.HIGHER, 0.3, False),
        (Direction.LOWER, Direction.LOWER, 0.3, True),  # cracks rise with seconds: be faster
        (Direction.LOWER, Direction.LOWER, -0.3, False),
        (Direction.HIGHER, Direction.HIGHER, 0.3, True),
        (Direction.HIGHER, Direction.HIGHER, -0.3, False),
        (Direction.HIGHER, Direction.NEITHER, -0.3, True),  # a matter of taste: either way
        (Direction.EITHER, Direction.HIGHER, 0.0, True),
        (Direction.NEITHER, Direction.HIGHER, 0.9, False),
    ],
)
def test_a_finding_points_hot_when_its_better_end_is_the_hot_one(
    study, hot, wanted, change, expected
):
    luster = study.outcomes[0]
    effect = replace(luster.effects[0], change=change)  # 6 s to 18 s
    factor = replace(study.log.codebook.factor("seconds_to_can"), hot=hot)
    assert points_hot(effect, factor, replace(luster.outcome, wanted=wanted)) is expected


def test_levels_without_an_order_count_as_hot_either_way(study):
    cracked = study.outcomes[1]
    factor = replace(study.log.codebook.factor("quench"), hot=Direction.HIGHER, levels=())
    assert points_hot(cracked.effects[0], factor, cracked.outcome)


def test_ordered_levels_have_a_hot_end(study):
    cracked = study.outcomes[1]  # none to dunk: 12 more crack, so "none" is better
    quench = study.log.codebook.factor("quench")
    up, down = (replace(quench, hot=hot) for hot in (Direction.HIGHER, Direction.LOWER))
    assert not points_hot(cracked.effects[0], up, cracked.outcome)
    assert points_hot(cracked.effects[0], down, cracked.outcome)


def test_a_caution_is_said_once_for_several_effects(study, teller, known):
    luster = study.outcomes[0]
    twice = (luster.effects[0], luster.effects[0], luster.effects[1])
    assert find_cautions(twice, luster.outcome, teller) == (known.HURRY,)


def test_a_curve_that_gets_better_toward_its_hot_end_carries_the_caution(study, teller, known):
    luster = study.outcomes[0]
    falling = luster.curves[0]
    assert find_curve_cautions(falling, luster.outcome, teller) == (known.HURRY,)
    level = replace(falling, reach=np.full_like(falling.reach, 0.5))
    assert find_curve_cautions(level, luster.outcome, teller) == ()
    rising = replace(falling, reach=falling.reach[::-1])
    assert find_curve_cautions(rising, luster.outcome, teller) == ()


def test_local_codes_come_first_where_hot_ware_is_handled(teller):
    section = build_cautions(teller)
    assert section.blocks[0].text.startswith("Local codes and fire rules")
    hot = section.blocks[1]
    assert hot.tone is Tone.SAFETY
    said = " ".join(hot.items)
    # design input, trade.md section 9 (customary cautions of the craft, no single source)
    for word in ("hurry", "natural-fibre", "face shield", "tongs", "flare", "upwind", "monoxide",
                 "Zinc", "plastics", "extinguisher", "burn bans", "still hot", "food",
                 "children"):  # fmt: skip
        assert word in said


def test_a_tasting_panel_gets_no_kiln_cautions_but_those_of_its_codebook(study, with_codebook):
    panel = build_teller(with_codebook(study, handles_hot_ware=False, piece_word="glass"))
    section = build_cautions(panel)
    said = " ".join(
        i for b in iterate_blocks((section,)) if isinstance(b, Callout) for i in b.items
    )
    assert "tongs" not in said
    assert "fire" not in section.blocks[0].items[0]
    assert "Move the can nearer" in said  # the codebook's own safety note


def test_a_picture_of_many_settings_warns_of_those_that_stand_out(study, teller, known):
    luster, cracked, _ = study.outcomes
    assert find_picture_cautions(luster.effects, luster.outcome, teller) == (
        known.HURRY,
        known.HOTTER,
    )
    # seconds to the can: "cannot tell yet" for cracks, so no end is the better one
    assert find_picture_cautions(cracked.effects, cracked.outcome, teller) == ()
    assert find_cautions(cracked.effects, cracked.outcome, teller) == (known.HURRY,)
