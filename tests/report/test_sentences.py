from dataclasses import replace

import pytest

from outcomes.effects.effect import Word
from outcomes.log.codebook import Direction
from outcomes.report.sentences import (
    build_statement,
    describe_effect,
    describe_place,
    describe_tangle,
)
from outcomes.report.teller import build_teller


@pytest.fixture(scope="module")
def luster(study):
    return study.outcomes[0]


def effect_of(part, factor):
    return next(effect for effect in part.effects if effect.contrast.factor == factor)


def test_fewer_pieces_are_said_as_fewer_with_the_interval_turned(luster, teller):
    assert describe_effect(effect_of(luster, "seconds_to_can"), luster.outcome, teller).replace(
        "\u202f", " "
    ) == (
        "Of 100 pieces, about 31 fewer show broad luster or better with seconds to the can at "
        "18 s rather than 6 s (from 15 to 44 fewer)."
    )


def test_an_unwanted_outcome_is_said_plainly(study, teller):
    cracked = study.outcomes[1]
    assert describe_effect(cracked.effects[0], cracked.outcome, teller) == (
        "Of 100 pieces, about 12 more crack with quench “dunk” rather than “none” "
        "(from 5 to 21 more)."
    )


def test_a_temperature_stands_in_the_makers_scale_first(luster, teller):
    sentence = describe_effect(effect_of(luster, "pull_temp_c"), luster.outcome, teller)
    assert "at 1796 °F (980 °C) rather than 1652 °F (900 °C)" in sentence.replace("\u202f", " ")


def test_yes_and_no_are_said_as_such_and_a_difference_of_one_as_none(luster, teller):
    sentence = describe_effect(effect_of(luster, "seal"), luster.outcome, teller)
    assert sentence == (
        "Of 100 pieces, about as many show broad luster or better where “wet-towel seal” is yes "
        "rather than no (from 6 fewer to 8 more). Any difference is very likely smaller than "
        "10 pieces in 100."
    )


def test_without_an_interval_the_sentence_says_why(luster, teller):
    effect = replace(effect_of(luster, "combustible_g"), interval=None)
    assert "(too few firings for an interval)" in describe_effect(effect, luster.outcome, teller)


def test_several_looks_are_told(luster, teller):
    effect = effect_of(luster, "combustible_g")
    effect = replace(effect, contrast=replace(effect.contrast, comparisons=3))
    statement = build_statement(effect, luster.outcome, teller)
    assert statement.basis == (
        "Rests on about 24 firings. The largest of 3 comparisons along its range, which the "
        "interval allows for."
    )


def test_a_finding_that_hangs_on_one_firing_names_it(luster, teller):
    effect = replace(
        effect_of(luster, "combustible_g"), fragile=True, pivot_firing="F07", pivot_change=0.03
    )
    assert describe_effect(effect, luster.outcome, teller).endswith(
        "It hangs on firing F07: without it the difference would be 3 more."
    )


def undecided(part, **facts):
    """An effect nothing is claimed of, whose sign turns without one firing, of error 0.07."""
    effect = replace(
        effect_of(part, "combustible_g"), fragile=True, pivot_firing="F07", standard_error=0.07
    )
    verdict = replace(effect.verdict, word=Word.CANNOT_TELL)
    return replace(effect, verdict=verdict, **facts)


def test_a_turn_of_sign_within_luck_of_none_is_not_told(luster, teller):
    effect = undecided(luster, change=-0.01, pivot_change=0.01)
    assert "hangs" not in describe_effect(effect, luster.outcome, teller)


@pytest.mark.parametrize(("change", "without"), [(-0.08, 0.01), (-0.01, 0.08)])
def test_a_turn_of_sign_from_or_to_more_than_luck_is_told(luster, teller, change, without):
    effect = undecided(luster, change=change, pivot_change=without)
    assert "It hangs on firing F07" in describe_effect(effect, luster.outcome, teller)


def test_a_claim_that_one_firing_decides_is_always_told(luster, teller):
    effect = undecided(luster, change=0.01, pivot_change=-0.01)
    effect = replace(effect, verdict=replace(effect.verdict, word=Word.LEANS))
    assert "It hangs on firing F07" in describe_effect(effect, luster.outcome, teller)


@pytest.mark.parametrize(
    ("firings", "said"), [(0.6, "1 firing."), (1.2, "1 firing."), (5.6, "6 firings.")]
)
def test_what_it_rests_on_is_a_whole_number_of_firings(luster, teller, firings, said):
    effect = replace(effect_of(luster, "combustible_g"), effective_firings=firings)
    statement = build_statement(effect, luster.outcome, teller)
    assert statement.basis == f"Rests on about {said}"


def test_a_panel_is_told_in_its_own_words(study, luster, with_codebook):
    panel = build_teller(with_codebook(study, cluster_word="judge", piece_word="glass"))
    statement = build_statement(effect_of(luster, "combustible_g"), luster.outcome, panel)
    assert statement.text.startswith("Of 100 glasses, about 22 more")
    assert statement.basis == "Rests on about 24 judges."


def test_a_place_is_never_a_bare_order(luster, teller):
    assert describe_place(luster.ranking[1], 7, teller) == (
        "Combustible amount: place 2 of 7, could be 1 to 5"
    )
    sure = replace(luster.ranking[1], rank_low=2, rank_high=2)
    assert describe_place(sure, 7, teller) == "Combustible amount: place 2 of 7"


def test_a_tangle_shows_both_readings_and_the_joint_one(luster, teller):
    sentence = describe_tangle(luster.tangles[0], luster.outcome, teller)
    assert "Lid delay moved together with quench" in sentence
    assert "How many of 100 pieces show broad luster or better, both moved together: 11 fewer." in (
        sentence
    )
    assert (
        "Lid delay alone, with quench left out of the calculation: 6 fewer; quench alone, with lid "
        "delay left out: 5 fewer."
    ) in sentence
    assert "No interval is given" in sentence
    alone = replace(luster.tangles[0], alone=None)
    assert "fewer" not in describe_tangle(alone, luster.outcome, teller)


def test_a_statement_carries_its_verdict_and_its_caution(luster, teller, known):
    statement = build_statement(effect_of(luster, "seconds_to_can"), luster.outcome, teller)
    assert statement.word is Word.CHANGES
    assert statement.cautions == (known.HURRY,)
    unwanted = replace(luster.outcome, wanted=Direction.LOWER)
    slower = build_statement(effect_of(luster, "seconds_to_can"), unwanted, teller)
    assert slower.cautions == ()
