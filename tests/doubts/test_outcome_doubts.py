"""All doubts together: silent on a sound year, the same for the same seed, safe when tiny."""

import numpy as np

from outcomes.doubts.outcome_doubts import raise_doubts
from outcomes.doubts.skill import learn_skill


def rng():
    return np.random.default_rng(17)


def test_a_sound_year_raises_no_doubt(sound_log, sound, judge) -> None:
    skill = learn_skill(sound, rng=rng())
    doubts = raise_doubts(sound_log, sound, judge(sound), skill=skill, rng=rng())
    assert doubts.findings == ()
    assert doubts.imputed is None
    assert len(doubts.influences) == len(sound.design.spec.terms)


def test_the_same_generator_gives_the_same_doubts(sound_log, sound, judge) -> None:
    first, second = (
        raise_doubts(sound_log, sound, judge(sound), skill=None, rng=rng()) for _ in range(2)
    )
    assert np.array_equal(first.opinion.trees, second.opinion.trees)
    assert first.findings == second.findings


def test_nothing_is_changed_by_doubting(sound_log, sound, judge) -> None:
    before = sound_log.values.copy()
    X = sound.design.X.copy()
    raise_doubts(sound_log, sound, judge(sound), skill=None, rng=rng())
    assert before.equals(sound_log.values)
    assert np.array_equal(X, sound.design.X)


def test_five_firings_are_too_few_to_doubt_with(make_log, learn, judge, invent) -> None:
    log = make_log(invent(np.random.default_rng(3), firings=5))
    evidence = learn(log)
    doubts = raise_doubts(log, evidence, judge(evidence), skill=None, rng=rng())
    assert doubts.opinion is None
    assert doubts.influences == ()
    assert doubts.findings == ()


def test_twelve_firings_of_one_piece_each_do_not_break_anything(
    make_log, learn, judge, invent
) -> None:
    log = make_log(invent(np.random.default_rng(6), firings=12, pieces=1))
    evidence = learn(log)
    doubts = raise_doubts(log, evidence, judge(evidence), skill=None, rng=rng())
    assert doubts.opinion is None or np.isfinite(doubts.opinion.gain.value)
    assert all(finding.message for finding in doubts.findings)
