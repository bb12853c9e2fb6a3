from dataclasses import replace

import pytest

from outcomes.effects.best_value import BestKind
from outcomes.effects.effect import Word
from outcomes.effects.threshold import BendKind
from outcomes.log.codebook import Direction
from outcomes.report.document import Depth, Statements, iterate_blocks
from outcomes.report.maker_curves import build_pictures
from outcomes.report.maker_shapes import build_no_bends, build_shapes
from outcomes.report.shape_words import describe_bend, describe_best, describe_gain, describe_glazes
from outcomes.report.teller import build_teller


def with_units(teller, **units):
    return replace(teller, units={**teller.units, **units})


def with_word(part, factor, word):
    """Return an outcome one setting of which has another verdict."""
    return replace(part, effects=tuple(
        replace(e, verdict=replace(e.verdict, word=word)) if e.contrast.factor == factor else e
        for e in part.effects
    ))  # fmt: skip


def said_of(blocks):
    return [
        text
        for block in iterate_blocks(tuple(blocks))
        if isinstance(block, Statements)
        for item in block.items
        for text in (item.text, *(more.text for more in item.also))
    ]


def test_a_best_value_has_its_range_and_what_comes_near_in_the_makers_unit(study, teller, shapes):
    luster = study.outcomes[0].outcome
    said = describe_best(shapes.build_optimum(), luster, with_units(teller, pull_temp_c="F"))
    assert said.replace("\u202f", " ") == (
        "Best near 1791 °F (977 °C); these firings put it between 1746 °F (952 °C) and 1843 °F "
        "(1006 °C). Within the 1697 °F (925 °C) to 1881 °F (1027 °C) you tried, the values toward "
        "either end do worse. Anything from 1776 °F (969 °C) to 1807 °F (986 °C) is estimated to "
        "come within 5 pieces in 100 of the best."
    )


@pytest.mark.parametrize(
    ("kind", "wanted", "start"),
    [
        (BestKind.RISING, Direction.HIGHER, "Still rising at the edge of what you tried, "),
        (BestKind.FALLING, Direction.HIGHER, "Still rising toward the low edge of what you tried"),
        (BestKind.RISING, Direction.LOWER, "Still falling, which is better here, at the edge"),
        (BestKind.AT_LEAST, Direction.HIGHER, "Best at "),
        (BestKind.AT_MOST, Direction.HIGHER, "Best at "),
        (BestKind.ENDS, Direction.HIGHER, "Both ends of what you tried, "),
        (BestKind.OPEN, Direction.HIGHER, "With these firings the best cannot be bounded inside"),
        (BestKind.OPEN, Direction.NEITHER, "With these firings the most change cannot be bounded"),
        (BestKind.INSIDE, Direction.LOWER, "Best (fewest that show broad luster or better) near"),
        (BestKind.INSIDE, Direction.NEITHER, "Most change (most that show broad luster or better)"),
    ],
)
def test_each_kind_of_best_value_has_its_words(study, teller, shapes, kind, wanted, start):
    outcome = replace(study.outcomes[0].outcome, wanted=wanted)
    assert describe_best(shapes.build_optimum(kind), outcome, teller).startswith(start)


def test_a_near_range_that_is_all_that_was_tried_is_not_said(study, teller, shapes):
    found = shapes.build_optimum()
    whole = replace(found, near=replace(found.near, low=925.0, high=1027.0))
    assert "Anything" not in describe_best(whole, study.outcomes[0].outcome, teller)


@pytest.mark.parametrize(
    ("changed", "part"),
    [
        ({}, "are reached by about 134"),
        ({"levels_off": False}, "no levelling off can be told from a steady change"),
        ({"low": None, "high": None}, "too few firings for a range"),
    ],
)
def test_where_a_setting_stops_paying_is_said_as_far_as_it_is_known(teller, shapes, changed, part):
    said = describe_gain(shapes.build_gain(**changed), teller)
    assert part in said


@pytest.mark.parametrize(
    ("kind", "part"),
    [
        (BendKind.STARTS, "next to nothing changes; beyond it, it does (anywhere from 7"),
        (BendKind.LEVELS_OFF, "and hardly beyond"),
        (BendKind.TURNS, "turns its direction at about 9"),
        (BendKind.STEEPENS, "at another pace beyond about 9"),
    ],
)
def test_a_bend_is_told_by_what_it_looks_like(teller, shapes, kind, part):
    said = describe_bend(shapes.build_bend(kind), teller)
    assert part in said
    assert said.startswith("Seconds to the can")
    edge = replace(shapes.build_bend(kind), high=19.0)
    assert describe_bend(edge, teller).endswith("It may also lie beyond where this log can look.")


def test_glazes_never_get_a_firmer_word_than_leans(study, teller, shapes):
    luster = study.outcomes[0]
    found = shapes.build_by_glaze(differs=True)
    said = describe_glazes(found, luster.effects[0], luster.outcome, teller)
    assert said.startswith("Seconds to the can leans toward acting differently on different glazes")
    assert "Tarn Lantern, 42 fewer (from 28 to 55 fewer)" in said
    assert "Moth Ledger, 4 more (from 10 fewer to 20 more)" in said
    assert said.endswith("On 1 other glaze too little was fired to tell; there the effect of all "
                         "together is taken.")  # fmt: skip


def test_best_values_are_told_only_of_what_changes_the_outcome(study, teller, shapes):
    luster = study.outcomes[0]  # the pull leans
    assert said_of(build_shapes(luster, "pull_temp_c", teller)) == []
    sure = with_word(luster, "pull_temp_c", Word.CHANGES)
    assert said_of(build_shapes(sure, "pull_temp_c", teller))[0].startswith("Best near")
    (gain,) = said_of(build_shapes(luster, "combustible_g", teller))
    assert gain.startswith("Nine tenths of the change")
    weak = with_word(luster, "combustible_g", Word.LEANS)
    assert said_of(build_shapes(weak, "combustible_g", teller)) == []


@pytest.mark.parametrize(
    ("kind", "noted"),
    [(BestKind.INSIDE, True), (BestKind.RISING, True), (BestKind.FALLING, False)],
)
def test_a_best_value_that_may_send_a_reader_hotter_carries_its_caution(
    study, teller, shapes, known, kind, noted
):
    sure = with_word(study.outcomes[0], "pull_temp_c", Word.CHANGES)
    part = replace(sure, optima=(shapes.build_optimum(kind),))
    (block,) = build_shapes(part, "pull_temp_c", teller)
    assert (known.HOTTER in block.items[0].cautions) is noted


def test_taste_always_carries_the_caution(study, teller, shapes, known):
    sure = with_word(study.outcomes[0], "pull_temp_c", Word.CHANGES)
    taste = replace(sure, outcome=replace(sure.outcome, wanted=Direction.NEITHER),
                    optima=(shapes.build_optimum(BestKind.FALLING),))  # fmt: skip
    (block,) = build_shapes(taste, "pull_temp_c", teller)
    assert block.items[0].cautions == (known.HOTTER,)


def test_a_bend_and_a_glaze_that_asks_for_haste_carry_one_caution(study, teller, shapes, known):
    part = replace(
        study.outcomes[0],
        thresholds=(shapes.build_bend(BendKind.STARTS),),
        by_glaze=(shapes.build_by_glaze(differs=True),),
    )
    (block,) = build_shapes(part, "seconds_to_can", teller)
    assert block.items[0].cautions == (known.HURRY,)
    assert len(block.items[0].also) == 1


def test_bends_not_found_are_one_folded_line_for_all_outcomes_alike(study, teller, shapes):
    luster, cracked, _ = study.outcomes
    twin = replace(cracked, thresholds=(replace(shapes.build_bend(), outcome="cracked"),))
    (fold,) = build_no_bends((luster, twin), teller)
    assert isinstance(fold, Depth)
    (line,) = fold.blocks[0].items
    assert line.replace("\u202f", " ") == (
        "No bend that luck alone would not make was found for luster and cracked: seconds to the "
        "can between 5 s and 19 s. One outside these ranges would not show in this log."
    )


def test_a_bend_that_could_not_be_looked_for_is_said_with_what_it_takes(study, teller, shapes):
    bare = replace(shapes.build_bend(), looked_low=None, looked_high=None)
    (fold,) = build_no_bends((replace(study.outcomes[0], thresholds=(bare,)),), teller)
    (line,) = fold.blocks[0].items
    assert line.startswith("Not looked for, for luster: seconds to the can. It takes at least 12")


def test_a_bend_in_a_setting_without_a_picture_is_still_told(study, with_luster, shapes):
    bend = shapes.build_bend(BendKind.STARTS, factor="lid_delay_s")
    page = build_pictures(build_teller(with_luster(study, thresholds=(bend,))))
    titles = [
        item.title
        for block in iterate_blocks((page,))
        if isinstance(block, Statements)
        for item in block.items
    ]
    assert "Luster: lid delay" in titles
