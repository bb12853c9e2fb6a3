"""The story end to end on small made logs; the published and the demo data have their own."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.effects.effect import Word
from outcomes.errors import LogError
from outcomes.study.analysis import analyse, count_redraws, graded_outcomes
from outcomes.study.record import StudyOptions

FEW = StudyOptions(resamples=200)


def quiet(_: int) -> None:
    """Take progress and say nothing."""


@pytest.fixture(scope="module")
def made(make_log):
    """Sixteen firings of six pieces; seconds hurt luster strongly, sealing does nothing."""
    rng = np.random.default_rng(3)
    firing = np.repeat(np.arange(16), 6)
    seconds = rng.integers(3, 20, size=96)
    latent = -0.35 * (seconds - 11) + rng.logistic(size=96) + 0.4 * rng.normal(size=16)[firing]
    return make_log(
        {
            "firing_id": [f"F{k:02d}" for k in firing],
            "seconds_to_can": seconds.tolist(),
            "seal": rng.choice(["no", "yes"], size=96).tolist(),
            "can_volume_l": [30] * 96,
            "luster": np.digitize(latent, [-2.0, -0.5, 0.5, 2.0]).tolist(),
            "cracked": ["no"] * 96,
        }
    )


@pytest.fixture(scope="module")
def study(made):
    return analyse(made, options=FEW, workers=1, progress=quiet)


def effect_of(study, outcome: str, factor: str):
    (part,) = [part for part in study.outcomes if part.outcome.name == outcome]
    (effect,) = [effect for effect in part.effects if effect.contrast.factor == factor]
    return effect


def test_a_planted_effect_is_found_with_its_sign(study) -> None:
    seconds = effect_of(study, "luster", "seconds_to_can")
    assert seconds.verdict.word is Word.CHANGES
    assert seconds.interval.high < 0


def test_a_planted_nothing_is_not_called_an_effect(study) -> None:
    assert effect_of(study, "luster", "seal").verdict.word is not Word.CHANGES


def test_a_setting_that_never_varied_is_named_as_such(study) -> None:
    luster = study.outcomes[0]
    words = {n.factor: n.verdict.word for n in luster.not_learnt if n.verdict is not None}
    assert words["can_volume_l"] is Word.NEVER_VARIED


def test_an_outcome_with_one_grade_says_why_and_stops_nobody(study) -> None:
    (cracked,) = [part for part in study.outcomes if part.outcome.name == "cracked"]
    assert not cracked.usable
    assert cracked.why_not.endswith(".")
    assert cracked.grade_counts == (96, 0)
    assert cracked.effects == ()


def test_workers_change_nothing(made, study) -> None:
    again = analyse(made, options=FEW, workers=3, progress=quiet)
    one, other = study.outcomes[0], again.outcomes[0]
    assert np.array_equal(one.redraws.values, other.redraws.values)
    assert one.effects == other.effects


def test_progress_is_told_of_every_redraw_of_every_usable_outcome(made) -> None:
    told: list[int] = []
    analyse(made, options=FEW, workers=2, progress=told.append)
    assert sum(told) == FEW.resamples  # luster; cracked has one grade
    assert count_redraws(made, FEW) == 2 * FEW.resamples


def test_adding_an_outcome_changes_no_redraw_of_another(made, study) -> None:
    values = made.values.drop(columns="cracked")
    alone = replace(
        made,
        values=values,
        written=made.written[values.columns],
        how=made.how[values.columns],
    )
    again = analyse(alone, options=FEW, workers=1, progress=quiet)
    assert np.array_equal(again.outcomes[0].redraws.values, study.outcomes[0].redraws.values)


def test_a_log_without_grades_is_refused_with_what_would_help(make_log) -> None:
    log = make_log({"firing_id": ["1", "2"], "seconds_to_can": [5, 6]})
    with pytest.raises(LogError, match="luster"):
        analyse(log, options=FEW, workers=1, progress=quiet)


def test_outcomes_are_those_of_the_codebook_that_the_log_has(made) -> None:
    assert [outcome.name for outcome in graded_outcomes(made)] == ["luster", "cracked"]


def test_an_impossible_value_is_a_finding_and_enters_nothing(made) -> None:
    values = made.values.copy()
    values.loc[4, "seconds_to_can"] = 4000.0
    study = analyse(replace(made, values=values), options=FEW, workers=1, progress=quiet)
    assert "impossible_value" in {finding.code for finding in study.findings}
    assert np.isnan(study.log.values.loc[4, "seconds_to_can"])
    assert study.outcomes[0].pieces == 95
