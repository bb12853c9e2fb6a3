"""Invented years with a known flaw, or none, and their evidence."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.special import expit

from outcomes.design.matrix import build_design
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.effects.verdicts import judge_effects
from outcomes.log.firing_log import FiringLog
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights

REFERENCE = Path(__file__).parents[1] / "reference"
CUTS = np.array([-1.5, -0.3, 0.6, 1.8])


@pytest.fixture(scope="session")
def reference() -> Callable[[str], dict]:
    """A function that reads one reference case."""

    def read(name: str) -> dict:
        return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))

    return read


@pytest.fixture(scope="session")
def learn() -> Callable[..., Evidence]:
    """A function that fits one outcome of a log and gathers the evidence."""

    def make(log: FiringLog, outcome: str = "luster", *, resamples: int = 60) -> Evidence:
        design = build_design(log, log.codebook.outcome(outcome))
        assert not isinstance(design, str), design
        n_grades, n_firings = len(design.grades), len(design.firing_names)
        fit = fit_cumulative(design.X, design.y, n_grades)
        many = {"firing": design.firing, "start": fit}
        weights = draw_firing_weights(n_firings, resamples, rng=np.random.default_rng(1))
        left = leave_one_out_weights(n_firings)
        return build_evidence(
            design,
            log.codebook,
            fit=fit,
            redraws=fit_many(design.X, design.y, n_grades, firing_weights=weights, **many),
            jackknife=fit_many(design.X, design.y, n_grades, firing_weights=left, **many),
        )

    return make


@pytest.fixture(scope="session")
def judge() -> Callable[[Evidence], tuple[Effect, ...]]:
    """A function that gives one outcome's effects with verdicts."""

    def make(evidence: Evidence) -> tuple[Effect, ...]:
        contrasts = choose_contrasts(evidence.design, evidence.codebook)
        return judge_effects(estimate_contrasts(evidence, contrasts), evidence.codebook)

    return make


@pytest.fixture(scope="session")
def invent() -> Callable[..., dict[str, list]]:
    """A function that makes a year: seconds hurt luster by 0.3 log-odds each, quench nothing.

    ``score`` is added to the log-odds of every boundary; ``luck`` is the firings' own.
    """

    def make(
        rng: np.random.Generator,
        *,
        firings: int = 30,
        pieces: int = 8,
        seconds: float = -0.3,
        luck: float = 0.5,
    ) -> dict[str, list]:
        each = np.repeat(np.arange(firings), pieces)
        n = firings * pieces
        to_can = rng.integers(5, 16, n).astype(float)
        score = seconds * (to_can - 10.0) + luck * rng.normal(size=firings)[each]
        days = np.datetime64("2024-03-01") + 10 * each.astype("timedelta64[D]")
        return {
            "firing_id": [f"F{g + 1:02d}" for g in each],
            "fired_on": days.astype(str).tolist(),
            "glaze": rng.choice(["Tarn Lantern", "Brackwater Nine"], n).tolist(),
            "seconds_to_can": to_can.tolist(),
            "combustible_g": (10.0 * rng.integers(3, 20, n)).tolist(),
            "quench": rng.choice(["none", "dunk"], n).tolist(),
            "luster": _grades(rng, CUTS - score[:, None]),
        }

    return make


@pytest.fixture(scope="session")
def draw_grades() -> Callable[[np.random.Generator, np.ndarray], list]:
    """A function that draws grades from cut points on the log-odds scale, shape (n, K-1)."""
    return _grades


def _grades(rng: np.random.Generator, cut_points: np.ndarray) -> list:
    luck = rng.random(len(cut_points))[:, None]
    return (luck > expit(cut_points)).sum(axis=1).astype(float).tolist()


@pytest.fixture(scope="session")
def sound_log(make_log, invent) -> FiringLog:
    """A year without a flaw."""
    return make_log(invent(np.random.default_rng(3)))


@pytest.fixture(scope="session")
def sound(sound_log, learn) -> Evidence:
    """Its evidence."""
    return learn(sound_log)
