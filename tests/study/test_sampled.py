"""A large log's doubts are asked of some of its firings; estimates rest on all."""

import re
from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.effects import measured
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.evidence import build_evidence
from outcomes.effects.measured import draw_changes
from outcomes.effects.verdicts import judge_effects
from outcomes.log.codebook_file import read_default_codebook
from outcomes.log.computed import COMPARED
from outcomes.log.derived_swap import swap_for_derived
from outcomes.log.firings import firing_labels
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.simulate.as_log import build_log
from outcomes.simulate.hollowmere import hollowmere_firings, hollowmere_habits
from outcomes.study.sampled import choose_stride, sample_firings

CODEBOOK = read_default_codebook()


def invent(firings, pieces):
    rng = np.random.default_rng(5)
    year = hollowmere_firings([pieces] * firings, habits=hollowmere_habits(), rng=rng)
    return build_log(year, CODEBOOK)


def learn(log):
    design = build_design(log, CODEBOOK.outcome("cracked"))
    fit = fit_cumulative(design.X, design.y, 2)
    firings = len(design.firing_names)
    draws = draw_firing_weights(firings, 60, rng=np.random.default_rng(1))
    redraws, jackknife = (
        fit_many(design.X, design.y, 2, firing=design.firing, firing_weights=weights, start=fit)
        for weights in (draws, leave_one_out_weights(firings))
    )
    return build_evidence(design, CODEBOOK, fit=fit, redraws=redraws, jackknife=jackknife)


@pytest.fixture(scope="module")
def large():
    log = invent(300, 4)
    return log, learn(log)


@pytest.fixture(scope="module")
def sample(large):
    return sample_firings(*large)


def test_a_year_is_asked_whole():
    log = invent(12, 6)
    evidence = learn(log)
    sample = sample_firings(log, evidence)
    assert sample.evidence is evidence
    assert sample.log is log
    assert sample.findings == ()


@pytest.mark.parametrize(("firings", "pieces"), [(48, 384), (100, 2500), (250, 1000)])
def test_up_to_a_quarter_of_a_million_nothing_is_left_out(firings, pieces):
    assert choose_stride(firings, pieces) == 1


def test_what_is_asked_stays_under_the_limit_whatever_the_size():
    for firings, pieces in ((2000, 100_000), (2000, 8000), (20_000, 1_000_000)):
        stride = choose_stride(firings, pieces)
        assert firings / stride * pieces / stride <= 250_000


def test_every_second_firing_of_the_large_log_is_asked(large, sample):
    names = large[1].design.firing_names
    assert names[::2] == sample.evidence.design.firing_names
    assert set(names[::2]) == set(firing_labels(sample.log))


def test_the_sample_rows_point_at_their_own_pieces(large, sample):
    part, log = sample.evidence.design, sample.log
    grades = log.values["cracked"].to_numpy()[part.rows]
    assert part.y.tolist() == grades.astype(int).tolist()
    labels = firing_labels(log).to_numpy()[part.rows]
    assert [part.firing_names[k] for k in part.firing] == labels.tolist()


def test_the_finding_says_how_many_firings_of_how_many(large, sample):
    (finding,) = sample.findings
    whole, part = large[1].design, sample.evidence.design
    assert "Cracked" in finding.message
    for count in (len(whole.firing_names), len(part.firing_names)):
        assert re.search(rf"\b{count} firings", finding.message)
    for count in (len(whole.y), len(part.y)):
        assert re.search(rf"\b{count:,} (graded )?pieces", finding.message)


def test_the_samples_effects_are_its_own_with_the_verdicts_of_all(large, sample):
    evidence = large[1]
    contrasts = choose_contrasts(evidence.design, CODEBOOK)
    judged = judge_effects(estimate_contrasts(evidence, contrasts), CODEBOOK)
    mine = sample.estimate(judged, confidence=0.95)
    assert [e.contrast for e in judged] == [e.contrast for e in mine]
    assert [e.verdict for e in judged] == [e.verdict for e in mine]
    assert {sample.evidence.n_firings} == {e.firings for e in mine}
    for whole, part in zip(judged, mine, strict=True):
        assert abs(whole.change - part.change) < 4.0 * part.standard_error


def test_a_comparison_of_computed_quantities_is_asked_of_the_same_firings(large, sample):
    thinned = sample.thin(swap_for_derived(large[0], COMPARED[0]))
    names = set(sample.evidence.design.firing_names)
    assert set(firing_labels(thinned.logged)) <= names
    assert thinned.logged.values["firing_id"].equals(thinned.computed.values["firing_id"])


def test_redraws_averaged_over_some_pieces_are_near_those_over_all(large, monkeypatch):
    evidence = large[1]
    contrasts = choose_contrasts(evidence.design, CODEBOOK)
    exact = draw_changes(evidence, contrasts)
    monkeypatch.setattr(measured, "MOST_CHANCES", 1000)
    monkeypatch.setattr(measured, "THINNED_CHANCES", 30_000)
    thinned = draw_changes(evidence, contrasts)
    assert not np.array_equal(exact, thinned)
    error = (thinned - exact).std(axis=0) / exact.std(axis=0)
    assert error.max() < 0.1
    assert np.median(error) < 0.03


def test_a_grade_that_the_chosen_firings_lack_keeps_the_log_whole(large):
    log, evidence = large
    odd = evidence.design.firing % 2 == 1
    design = replace(evidence.design, y=np.where(odd, evidence.design.y, 0))
    changed = replace(evidence, design=design)
    assert sample_firings(log, changed).evidence is changed
