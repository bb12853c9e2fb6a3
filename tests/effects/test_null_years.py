"""A year in which nothing matters names nothing; a year in which one thing does names it."""

import numpy as np

from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Word
from outcomes.effects.verdicts import judge_effects
from outcomes.simulate.as_log import build_log
from outcomes.simulate.greywether import null_year


def words(evidence) -> dict[str, Word]:
    contrasts = choose_contrasts(evidence.design, evidence.codebook)
    effects = estimate_contrasts(evidence, contrasts)
    judged = judge_effects(effects, evidence.codebook)
    return {e.contrast.factor: e.verdict.word for e in judged if e.verdict is not None}


def test_years_of_nothing_but_luck_rarely_name_a_setting(codebook, learn):
    # method.md §9: at most 5 % of null logs; of 8 logs more than 2 has chance 0.6 %
    named = 0
    for seed in range(8):
        log = build_log(null_year(np.random.default_rng(seed)), codebook)
        named += Word.CHANGES in words(learn(log, "luster", resamples=60)).values()
    assert named <= 2


def test_one_strong_setting_is_named_and_the_idle_ones_are_not(make_log, learn, invent):
    # seconds to the can act, quench, seal and combustible do not; 8 years of 24 x 8
    strong, idle = 0, 0
    for seed in range(8):
        found = words(learn(make_log(invent(np.random.default_rng(40 + seed))), "luster"))
        strong += found["seconds_to_can"] is Word.CHANGES
        idle += sum(found[name] is Word.CHANGES for name in ("quench", "seal", "combustible_g"))
    assert strong == 8
    assert idle <= 2  # 24 chances at a false-discovery share of 5 %


def test_a_window_is_named_though_low_and_high_are_alike(make_log, learn, invent):
    columns = invent(np.random.default_rng(21), firings=40, seconds=0.0, window=1.2, luck=0.3)
    evidence = learn(make_log(columns), "luster")
    contrasts = choose_contrasts(evidence.design, evidence.codebook)
    judged = judge_effects(estimate_contrasts(evidence, contrasts), evidence.codebook)
    (window,) = [e for e in judged if e.contrast.factor == "pull_temp_c"]
    assert window.verdict.word is Word.CHANGES
    assert window.contrast.chosen != "low end to high end of the tried range"
