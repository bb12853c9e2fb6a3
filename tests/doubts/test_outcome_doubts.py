"""All doubts together: silent on a sound year, the same for the same seed, safe when tiny."""

import numpy as np

from outcomes.doubts.outcome_doubts import (
    Known,
    ask_trees,
    fill_blanks_in,
    measure_doubts,
    raise_doubts,
)
from outcomes.doubts.skill import learn_skill


def rng():
    return np.random.default_rng(17)


def ask_everything(log, evidence, effects, *, skill):
    known = Known(
        skill=skill,
        opinion=ask_trees(evidence, rng=rng()),
        imputed=fill_blanks_in(log, evidence, effects, rng=rng()),
    )
    measured = measure_doubts(log, evidence, effects, rng=rng())
    return raise_doubts(measured, known, log.codebook)


def test_a_sound_year_raises_no_doubt(sound_log, sound, judge) -> None:
    skill = learn_skill(sound, rng=rng())
    doubts = ask_everything(sound_log, sound, judge(sound), skill=skill)
    assert doubts.findings == ()
    assert doubts.imputed is None
    assert len(doubts.influences) == len(sound.design.spec.terms)


def test_the_same_generator_gives_the_same_doubts(sound_log, sound, judge) -> None:
    first, second = (ask_everything(sound_log, sound, judge(sound), skill=None) for _ in range(2))
    assert np.array_equal(first.opinion.trees, second.opinion.trees)
    assert first.findings == second.findings


def test_nothing_is_changed_by_doubting(sound_log, sound, judge) -> None:
    before = sound_log.values.copy()
    X = sound.design.X.copy()
    ask_everything(sound_log, sound, judge(sound), skill=None)
    assert before.equals(sound_log.values)
    assert np.array_equal(X, sound.design.X)


def test_five_firings_are_too_few_to_doubt_with(make_log, learn, judge, invent) -> None:
    log = make_log(invent(np.random.default_rng(3), firings=5))
    evidence = learn(log)
    doubts = ask_everything(log, evidence, judge(evidence), skill=None)
    assert doubts.opinion is None
    assert doubts.influences == ()
    assert doubts.findings == ()


def test_twelve_firings_of_one_piece_each_do_not_break_anything(
    make_log, learn, judge, invent
) -> None:
    log = make_log(invent(np.random.default_rng(6), firings=12, pieces=1))
    evidence = learn(log)
    doubts = ask_everything(log, evidence, judge(evidence), skill=None)
    assert doubts.opinion is None or np.isfinite(doubts.opinion.gain.value)
    assert all(finding.message for finding in doubts.findings)
