from dataclasses import replace

import pytest

from outcomes.effects.effect import Word
from outcomes.log.codebook import Direction
from outcomes.report.document import Callout, Picture, Statements, Tone, iterate_blocks
from outcomes.report.maker_takeaways import (
    build_takeaways,
    choose_takeaways,
    collect_judged,
)
from outcomes.report.teller import build_teller


def with_words(study, words):
    """Return the judged effects of a study whose luster settings get these verdict words."""
    luster = study.outcomes[0]
    effects = tuple(
        replace(e, change=-0.01 * (n + 10), verdict=replace(e.verdict, word=word))
        for n, (e, word) in enumerate(zip(luster.effects, words, strict=False))
    )
    return collect_judged((replace(luster, effects=effects),))


def words_of(judged):
    return [str(item.word()) for item in judged]


def test_what_changes_goes_first_and_the_larger_before_the_smaller(study):
    judged = with_words(study, [Word.LEANS, Word.CHANGES, Word.CHANGES])
    assert words_of(judged) == ["changes the surface", "changes the surface", "leans"]
    assert judged[0].effect.change == pytest.approx(-0.12)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ([Word.CHANGES] * 7, 6),
        ([Word.CHANGES] * 5 + [Word.LEANS] * 2, 6),
        ([Word.CHANGES], 1),
        ([Word.CANNOT_TELL] * 7, 3),
        ([], 0),
    ],
)
def test_there_are_three_to_six_sentences_as_far_as_there_is_something_to_say(
    study, words, expected
):
    assert len(choose_takeaways(with_words(study, words))) == expected


def test_a_place_is_kept_for_what_need_not_be_watched(study):
    words = [Word.CHANGES, *[Word.LEANS] * 5, Word.SMALL]
    chosen = words_of(choose_takeaways(with_words(study, words)))
    assert chosen == ["changes the surface", *["leans"] * 4, "too small to matter"]


def test_too_small_never_pushes_out_what_changes(study):
    words = [*[Word.CHANGES] * 6, Word.SMALL]
    assert "too small to matter" not in words_of(choose_takeaways(with_words(study, words)))


def test_open_questions_fill_up_to_three(study):
    words = [Word.CHANGES, Word.CANNOT_TELL, Word.CANNOT_TELL, Word.CANNOT_TELL]
    assert words_of(choose_takeaways(with_words(study, words))) == [
        "changes the surface", "cannot tell yet", "cannot tell yet",
    ]  # fmt: skip


def test_every_take_away_has_number_interval_verdict_and_basis(teller):
    section = build_takeaways(teller)
    first = next(block for block in section.blocks if isinstance(block, Statements))
    assert 3 <= len(first.items) <= 6
    for item in first.items:
        assert item.text.startswith("Of 100 pieces, about ")
        assert "(from " in item.text
        assert item.word is not None
        assert item.basis.startswith("Rests on about ")


def test_honesty_is_said_once_and_points_to_planned_firings(teller):
    section = build_takeaways(teller)
    said = [b for b in section.blocks if isinstance(b, Callout) and b.tone is Tone.HONESTY]
    assert len(said) == 1
    assert "Firings planned beforehand, with the setting drawn by lot" in said[0].items[0]


def test_a_setting_that_pulls_two_ways_is_named_with_its_caution(study, known):
    luster, cracked, shift = study.outcomes
    worse = replace(cracked.effects[1], change=-0.2, verdict=luster.effects[0].verdict)
    both = replace(cracked, effects=(cracked.effects[0], worse))
    section = build_takeaways(build_teller(replace(study, outcomes=(luster, both, shift))))
    cards = next(b for b in section.blocks if isinstance(b, Statements)).items
    card = next(item for item in cards if item.title.startswith("Seconds to the can"))
    assert card.title == "Seconds to the can: luster and cracked"
    assert card.also[-1].text == (
        "Seconds to the can pulls two ways: what is better for cracked is worse for luster."
    )
    assert card.cautions == (known.HURRY,)


def test_a_setting_better_one_way_for_both_is_not_said_to_pull_two_ways(teller):
    blocks = build_takeaways(teller).blocks
    assert len([block for block in blocks if isinstance(block, Statements)]) == 1


def test_taste_has_no_better_way(study):
    luster, cracked, shift = study.outcomes
    worse = replace(cracked.effects[1], change=-0.2, verdict=luster.effects[0].verdict)
    taste = replace(cracked, effects=(worse,), ranking=(),
                    outcome=replace(cracked.outcome, wanted=Direction.NEITHER))  # fmt: skip
    section = build_takeaways(build_teller(replace(study, outcomes=(luster, taste, shift))))
    assert len([block for block in section.blocks if isinstance(block, Statements)]) == 1


def test_what_did_not_fit_is_counted(study, with_luster):
    luster = study.outcomes[0]
    changes = luster.effects[0].verdict
    many = tuple(replace(e, verdict=changes) for e in luster.effects[:7])
    section = build_takeaways(build_teller(with_luster(study, effects=many)))
    said = " ".join(block.text for block in section.blocks if hasattr(block, "text"))
    assert "There are also 2 differences marked “changes the surface”" in said


def test_the_hundred_pots_show_the_clearest_finding(teller):
    blocks = iterate_blocks(build_takeaways(teller).blocks)
    picture = next(b for b in blocks if isinstance(b, Picture))
    assert picture.drawing.counts == (62, 31)
    assert picture.cautions


def test_without_a_clear_finding_there_are_no_pots_and_it_is_said(study, with_luster):
    quiet = with_luster(study, effects=(study.outcomes[0].effects[5],))
    section = build_takeaways(build_teller(replace(quiet, outcomes=quiet.outcomes[:1])))
    assert not any(isinstance(block, Picture) for block in iterate_blocks(section.blocks))
    assert section.blocks[0].text == "This log does not yet single out any setting."
