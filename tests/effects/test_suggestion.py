"""What one person could gain, and when nothing is suggested."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.effects.effect import Contrast, Effect, Verdict, Word
from outcomes.effects.people_split import split_between
from outcomes.effects.replicates import build_replicates
from outcomes.effects.suggestion import find_worth_changing, suggest
from outcomes.log.codebook import Direction, Role
from outcomes.simulate.as_log import build_log
from outcomes.simulate.draw import draw_outcomes
from outcomes.simulate.ninefold import ninefold_settings, ninefold_truth


def make_effect(factor="lid_delay_s", *, change=-0.4, word=Word.CHANGES, ends=(8.0, 20.0)):
    contrast = Contrast(
        factor=factor, role=Role.SETTING, from_value=ends[0], to_value=ends[1], unit="s", chosen=""
    )
    return Effect(
        outcome="luster", contrast=contrast, rate_from=0.6, rate_to=0.6 + change, change=change,
        effective_firings=20.0, mean_grade_change=change, log_odds=change, pieces_supported=100,
        pieces=100, far_share=0.0, firings_from=20, firings_to=20,
        verdict=Verdict(word=word, reason="."),
    )  # fmt: skip


@pytest.fixture
def luster(codebook):
    return codebook.outcome("luster")


@pytest.fixture
def cracked(codebook):
    return codebook.outcome("cracked")


@pytest.fixture(scope="module")
def replicates(learn, codebook):
    rng = np.random.default_rng(5)
    frame = draw_outcomes(ninefold_truth(), ninefold_settings(rng), rng=rng)
    evidence = learn(build_log(frame, codebook), "luster", resamples=99)
    many = type("Many", (), {"values": evidence.redraws})
    return build_replicates(evidence.design, evidence.fit, many)


def offer(replicates, effect, outcome, person="G", people=8):
    (worth,) = find_worth_changing([(effect, outcome)])
    pieces = (replicates.design.frame["maker"] == person).to_numpy()
    return suggest(replicates, worth, person=person, pieces=pieces, people=people)


def test_the_better_end_is_the_wanted_one(luster, cracked):
    for change, outcome, expected in (
        (-0.4, luster, 8.0),
        (0.4, luster, 20.0),
        (0.4, cracked, 8.0),
    ):
        (worth,) = find_worth_changing([(make_effect(change=change), outcome)])
        assert (expected, 28.0 - expected) == (worth.better, worth.worse)


@pytest.mark.parametrize("word", [word for word in Word if word is not Word.CHANGES])
def test_no_other_verdict_makes_a_habit_worth_changing(word, luster):
    assert find_worth_changing([(make_effect(word=word), luster)]) == ()


def test_the_glaze_and_matters_of_taste_are_left_out(luster):
    taste = replace(luster, wanted=Direction.NEITHER)
    assert find_worth_changing([(make_effect(), taste)]) == ()
    assert find_worth_changing([(make_effect(), luster)], glaze="lid_delay_s") == ()


@pytest.mark.parametrize("word", [Word.CHANGES, Word.LEANS])
def test_what_helps_one_outcome_and_harms_another_is_left_out(word, luster, cracked):
    harm = make_effect(change=-0.2, word=word)
    assert find_worth_changing([(make_effect(), luster), (harm, cracked)]) == ()


def test_the_same_end_wanted_twice_is_told_once_by_the_larger(luster, cracked):
    pairs = [(make_effect(change=-0.2), luster), (make_effect(change=0.3), cracked)]
    (worth,) = find_worth_changing(pairs)
    assert worth.outcome.name == "cracked"


def test_the_gain_is_the_change_of_the_persons_own_pieces(replicates, luster):
    found = offer(replicates, make_effect(), luster)
    design = replicates.design
    pieces = (design.frame["maker"] == "G").to_numpy()
    assert found.change > 0.1
    assert found.interval.low > 0.0
    now = replicates.reach(design.X[pieces])[0].mean()
    assert 0.0 < found.change + now < 1.0


def test_who_works_at_the_better_value_already_gets_no_suggestion(replicates, luster):
    assert offer(replicates, make_effect(), luster, person="A") is None


def test_a_gain_below_the_smallest_difference_is_not_suggested(replicates, luster):
    picky = replace(luster, smallest_difference=95.0)
    assert offer(replicates, make_effect(), picky) is None


def test_the_interval_widens_with_the_number_of_people(replicates, luster):
    few, many = (offer(replicates, make_effect(), luster, people=n).interval for n in (1, 8))
    assert many.width() > few.width()


def test_nobody_without_pieces_gets_one(replicates, luster):
    assert offer(replicates, make_effect(), luster, person="Z") is None


# ---- what persons differ by ----------------------------------------------------------------


@pytest.fixture
def person(replicates):
    codes = sorted(set(replicates.design.frame["maker"]))
    return np.array([codes.index(name) for name in replicates.design.frame["maker"]])


def test_the_parts_add_up_to_the_whole(replicates, person):
    split = split_between(replicates, person)
    assert split.is_clear
    assert sum(part.share for part in split.parts) == pytest.approx(1.0)
    assert split.spread**2 == pytest.approx(sum(part.variance for part in split.parts))


def test_without_luck_taken_off_it_is_the_variance_of_persons_scores(replicates, person):
    design = replicates.design
    twin = replace(replicates, parameters=np.repeat(replicates.parameters[:1], 20, axis=0))
    score = design.X @ replicates.slopes[0]
    sizes = np.bincount(person)
    means = np.bincount(person, weights=score) / sizes
    weights = sizes / sizes.sum()
    expected = weights @ (means - weights @ means) ** 2
    assert expected == pytest.approx(split_between(twin, person).spread ** 2)


def test_what_everybody_does_alike_has_no_part(replicates, person):
    slots = list(next(t for t in replicates.design.spec.terms if t.factor == "lid_delay_s").slots)
    columns = replicates.design.X.copy()
    columns[:, slots] = columns[0, slots]
    alike = replace(replicates, design=replace(replicates.design, X=columns))
    parts = {part.factor: part.variance for part in split_between(alike, person).parts}
    assert parts["lid_delay_s"] == pytest.approx(0.0, abs=1e-12)


def test_luck_alone_is_not_divided(replicates):
    # Pieces dealt to persons at random: their averages differ by luck of habits only.
    dealt = np.random.default_rng(2).integers(0, 8, len(replicates.design.y))
    design = replicates.design
    slots = list(next(t for t in design.spec.terms if t.factor == "maker").slots)
    columns = design.X.copy()
    columns[:, slots] = 0.0
    split = split_between(replace(replicates, design=replace(design, X=columns)), dealt)
    assert split.spread < 0.5
    assert not any(part.factor == "maker" and part.variance > 1e-9 for part in split.parts)
