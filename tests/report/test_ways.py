"""No habit of hot handling is told as something to do faster, hotter or closer."""

from dataclasses import replace

import pytest

from outcomes.effects.effect import Verdict, Word
from outcomes.effects.suggestion import find_worth_changing
from outcomes.log.codebook import Direction
from outcomes.report.ways import Way, choose_way


@pytest.fixture
def way(study, codebook):
    """A function: how the default codebook's setting is told when going up changes an outcome."""

    def choose(factor, low, high, *, change, wanted=Direction.HIGHER):
        effect = study.outcomes[0].effects[0]
        contrast = replace(effect.contrast, factor=factor, from_value=low, to_value=high)
        judged = replace(
            effect, contrast=contrast, change=change, verdict=Verdict(word=Word.CHANGES, reason=".")
        )
        outcome = replace(study.outcomes[0].outcome, wanted=wanted)
        (worth,) = find_worth_changing([(judged, outcome)])
        return choose_way(worth, codebook.factor(factor))

    return choose


@pytest.mark.parametrize("factor", ["seconds_to_can", "lid_delay_s"])
def test_a_shorter_time_at_the_fire_is_an_arrangement(way, factor):
    assert way(factor, 5.0, 15.0, change=-0.3) is Way.ARRANGE
    assert way(factor, 5.0, 15.0, change=0.3, wanted=Direction.LOWER) is Way.ARRANGE


@pytest.mark.parametrize("factor", ["seconds_to_can", "lid_delay_s"])
def test_a_longer_time_at_the_fire_is_calm(way, factor):
    assert way(factor, 5.0, 15.0, change=0.3) is Way.CALM


@pytest.mark.parametrize("factor", ["pull_temp_c", "combustible_g", "burps"])
def test_more_heat_or_flame_is_the_leaders(way, factor):
    assert way(factor, 1.0, 3.0, change=0.3) is Way.LEADER
    assert way(factor, 1.0, 3.0, change=-0.3) is Way.CALM


@pytest.mark.parametrize("factor", ["time_in_can_min", "can_volume_l"])
def test_opening_sooner_or_coming_closer_is_the_leaders(way, factor):
    assert way(factor, 10.0, 30.0, change=-0.3) is Way.LEADER


def test_leaving_water_or_a_seal_out_is_calm_and_using_it_the_leaders(way):
    assert way("quench", "none", "dunk", change=0.3, wanted=Direction.LOWER) is Way.CALM
    assert way("quench", "none", "dunk", change=0.3) is Way.LEADER
    assert way("seal", "no", "yes", change=-0.3) is Way.CALM


def test_between_two_wet_ways_the_leader_decides(way):
    assert way("quench", "mist", "dunk", change=0.3, wanted=Direction.LOWER) is Way.LEADER


def test_what_is_not_hot_is_calm(way):
    assert way("wall_thickness_mm", 5.0, 7.0, change=0.3) is Way.CALM


def test_every_hot_setting_of_the_codebook_is_told_safely_whichever_way_it_points(way, codebook):
    for factor in codebook.factors:
        if factor.hot is Direction.HIGHER and not factor.levels:
            assert way(factor.name, 1.0, 3.0, change=0.3) is not Way.CALM, factor.name
        if factor.hot is Direction.LOWER and not factor.levels:
            assert way(factor.name, 1.0, 3.0, change=-0.3) is not Way.CALM, factor.name
