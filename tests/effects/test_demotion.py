"""A model worse than the usual shares lowers its verdicts by one step, and no other's."""

from dataclasses import replace

import pytest

from outcomes.effects.demotion import demote_effects
from outcomes.effects.effect import Contrast, Effect, Verdict, Word
from outcomes.log.codebook import Role


def effect(outcome: str, word: Word | None) -> Effect:
    return Effect(
        outcome=outcome,
        contrast=Contrast(
            factor="seal",
            role=Role.SETTING,
            from_value="no",
            to_value="yes",
            unit="",
            chosen="the two commonest",
        ),
        rate_from=0.3,
        rate_to=0.5,
        change=0.2,
        effective_firings=12.0,
        mean_grade_change=0.4,
        log_odds=0.9,
        pieces_supported=80,
        pieces=80,
        far_share=0.0,
        firings_from=10,
        firings_to=10,
        verdict=None if word is None else Verdict(word=word, reason="By its numbers."),
    )


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (Word.CHANGES, Word.LEANS),
        (Word.LEANS, Word.CANNOT_TELL),
        (Word.SMALL, Word.CANNOT_TELL),
        (Word.TANGLED, Word.TANGLED),
        (Word.CANNOT_TELL, Word.CANNOT_TELL),
    ],
)
def test_a_word_goes_down_one_step(before: Word, after: Word) -> None:
    (lowered,) = demote_effects([effect("luster", before)], {"luster"})
    assert lowered.verdict is not None
    assert lowered.verdict.word is after


def test_a_lowered_verdict_says_why() -> None:
    (lowered,) = demote_effects([effect("luster", Word.CHANGES)], {"luster"})
    assert lowered.verdict is not None
    assert lowered.verdict.reason.startswith("By its numbers. One step lower")


def test_other_outcomes_and_effects_without_a_verdict_stay() -> None:
    kept = effect("cracked", Word.CHANGES)
    silent = effect("luster", None)
    assert demote_effects([kept, silent], {"luster"}) == (kept, silent)
    assert demote_effects([replace(kept)], set()) == (kept,)
