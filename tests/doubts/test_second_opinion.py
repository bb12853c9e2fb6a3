"""Boosted trees as a second opinion: heard when they know better, and only then."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.doubts.check_second_opinion import check_second_opinion
from outcomes.doubts.second_opinion import ask_second_opinion
from outcomes.doubts.skill import SkillValue

CUTS = np.array([-1.5, -0.3, 0.6, 1.8])


def rng():
    return np.random.default_rng(4)


@pytest.fixture(scope="module")
def crossed(make_log, learn, invent, draw_grades):
    """Dunking helps slow pieces and harms quick ones: a combination the model does not hold."""
    own = np.random.default_rng(21)
    columns = invent(own, firings=30, pieces=10)
    dunked = np.where(np.array(columns["quench"]) == "dunk", 1.0, -1.0)
    slow = np.where(np.array(columns["seconds_to_can"]) > 10.0, 1.0, -1.0)
    columns["luster"] = draw_grades(own, CUTS - (1.6 * dunked * slow)[:, None])
    return learn(make_log(columns))


@pytest.fixture(scope="module")
def opinion(sound):
    return ask_second_opinion(sound, rng=rng())


def test_a_missed_combination_is_found(crossed, codebook) -> None:
    (finding,) = check_second_opinion(ask_second_opinion(crossed, rng=rng()), codebook)
    assert finding.code == "shape_missed"
    assert finding.column == "luster"
    assert "foretells left-out firings better than the effects shown here" in finding.message
    assert "two settings work together" in finding.advice


def test_a_sound_year_needs_no_second_opinion(opinion, codebook) -> None:
    assert opinion.gain.value < 0.0
    assert check_second_opinion(opinion, codebook) == ()


def test_the_same_generator_gives_the_same_opinion(sound, opinion) -> None:
    assert np.array_equal(ask_second_opinion(sound, rng=rng()).trees, opinion.trees)


def test_a_gain_too_small_or_too_unsure_or_of_mere_caution_is_not_named(opinion, codebook) -> None:
    tiny = replace(opinion, gain=SkillValue(value=0.015, low=0.01, high=0.02))
    assert check_second_opinion(tiny, codebook) == ()
    cautious = replace(
        opinion,
        gain=SkillValue(value=0.15, low=0.05, high=0.25),
        beyond_usual=SkillValue(value=0.01, low=-0.05, high=0.07),
    )
    assert check_second_opinion(cautious, codebook) == ()
    unsure = replace(opinion, gain=SkillValue(value=0.15, low=-0.01, high=0.3))
    assert check_second_opinion(unsure, codebook) == ()


def test_a_yes_no_outcome_has_a_second_opinion_too(make_log, learn, invent) -> None:
    columns = invent(np.random.default_rng(3))
    columns["cracked"] = ["yes" if grade > 2 else "no" for grade in columns.pop("luster")]
    evidence = learn(make_log(columns), "cracked")
    opinion = ask_second_opinion(evidence, rng=rng())
    assert opinion.trees.shape == (30,)
    assert 0.0 < opinion.trees.mean() < 0.5
