"""A year in which nothing was planted is reported as such."""

import numpy as np
import pytest

from outcomes.effects.effect import Word
from outcomes.log.codebook_file import read_default_codebook
from outcomes.simulate.as_log import build_log
from outcomes.simulate.greywether import HABITS, null_year
from outcomes.study.analysis import analyse
from outcomes.study.record import StudyOptions

YEARS = 6


@pytest.fixture(scope="module")
def studies():
    codebook = read_default_codebook()
    return [
        analyse(
            build_log(null_year(np.random.default_rng(seed)), codebook),
            options=StudyOptions(resamples=99, seed=seed),
            workers=1,
            progress=lambda _: None,
        )
        for seed in range(YEARS)
    ]


def _words(study):
    verdicts = [e.verdict for part in study.outcomes for e in part.effects]
    return [verdict.word for verdict in verdicts if verdict is not None]


def test_hardly_any_null_year_holds_an_effect(studies):
    # At most 5 years in 100 may (method.md, section 9): of 6, three or more have P = 0.002.
    fooled = [i for i, study in enumerate(studies) if Word.CHANGES in _words(study)]
    assert len(fooled) <= 2, fooled


def test_every_habit_of_a_null_year_is_judged_on_every_outcome(studies):
    for study in studies:
        for part in study.outcomes:
            judged = {e.contrast.factor for e in part.effects if e.verdict is not None}
            left = {item.factor for item in part.not_learnt if item.verdict is not None}
            assert len(judged) + len(left) >= HABITS, part.outcome.name
