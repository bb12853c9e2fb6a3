"""Separation, doubtful fits and unusual redraws are said, and only when they are there."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.doubts.check_fit import check_fit
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitStatus
from outcomes.resampling.firings import leave_one_out_weights


def fitted(log):
    design = build_design(log, log.codebook.outcome("cracked"))
    fit = fit_cumulative(design.X, design.y, len(design.grades))
    redraws = fit_many(
        design.X,
        design.y,
        len(design.grades),
        firing=design.firing,
        firing_weights=leave_one_out_weights(len(design.firing_names)),
        start=fit,
    )
    return design, fit, redraws


def log_of(make_log, cracked: list[str]):
    n = len(cracked)
    return make_log(
        {
            "firing_id": [f"F{k // 4}" for k in range(n)],
            "quench": ["none", "dunk"] * (n // 2),
            "cracked": cracked,
        }
    )


@pytest.fixture
def separated(make_log):
    # Every dunked piece cracked, no other did.
    return log_of(make_log, ["no", "yes"] * 20)


@pytest.fixture
def sound(make_log):
    return log_of(make_log, ["no", "yes", "yes", "no"] * 10)


def test_a_separated_factor_is_reported_not_hidden(separated) -> None:
    design, fit, redraws = fitted(separated)
    (finding,) = check_fit(design, fit, redraws, separated.codebook)
    assert finding.code == "separated"
    assert finding.column == "quench"
    assert "splits the cracked or broken grades cleanly" in finding.message
    assert "Of the 20 pieces with 'none', none crack; that is 10 firings" in finding.message
    assert "up to 28 in 100" in finding.message  # Wilson: 1.96**2 / (10 + 1.96**2) = 0.278
    assert "Read the direction, not the size." in finding.advice
    assert np.isfinite(fit.parameters()).all()


def test_a_sound_fit_raises_no_doubt(sound) -> None:
    design, fit, redraws = fitted(sound)
    assert check_fit(design, fit, redraws, sound.codebook) == ()


def test_a_doubtful_fit_is_said(sound) -> None:
    design, fit, redraws = fitted(sound)
    doubtful = replace(fit, status=FitStatus.DOUBTFUL)
    (finding,) = check_fit(design, doubtful, redraws, sound.codebook)
    assert finding.code == "doubtful_fit"
    assert "condition number" in finding.message


def test_many_unusual_redraws_are_counted_and_few_are_not(sound) -> None:
    design, fit, redraws = fitted(sound)
    count = len(redraws.values)
    many = replace(redraws, unusual=np.ones(count, dtype=bool))
    (finding,) = check_fit(design, fit, many, sound.codebook)
    assert finding.code == "unusual_redraws"
    assert f"In {count} of {count} redraws" in finding.message
    none = replace(redraws, unusual=np.zeros(count, dtype=bool))
    assert check_fit(design, fit, none, sound.codebook) == ()
