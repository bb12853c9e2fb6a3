"""Fitted evidence for tests of the effects: invented years and two reference data sets."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.special import expit

from outcomes.design.matrix import build_design
from outcomes.effects.effect import Contrast, Effect
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.log.codebook import (
    Codebook,
    Direction,
    Factor,
    Kind,
    Level,
    Outcome,
    Role,
    Shape,
)
from outcomes.log.firing_log import FiringLog
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.resampling.interval import Interval

REFERENCE = Path(__file__).parents[1] / "reference"


@pytest.fixture(scope="session")
def reference() -> Callable[[str], dict]:
    """A function that reads the expected values of one reference case."""

    def read(name: str) -> dict:
        return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))

    return read


@pytest.fixture(scope="session")
def learn() -> Callable[..., Evidence]:
    """A function that fits one outcome of a log and gathers the evidence."""

    def make(
        log: FiringLog,
        outcome: str,
        *,
        resamples: int = 200,
        options: FitOptions | None = None,
    ) -> Evidence:
        design = build_design(log, log.codebook.outcome(outcome))
        assert not isinstance(design, str), design
        n_grades, n_firings = len(design.grades), len(design.firing_names)
        fit = fit_cumulative(design.X, design.y, n_grades, options=options)
        many = {"firing": design.firing, "start": fit}
        weights = draw_firing_weights(n_firings, resamples, rng=np.random.default_rng(1))
        return build_evidence(
            design,
            log.codebook,
            fit=fit,
            redraws=fit_many(design.X, design.y, n_grades, firing_weights=weights, **many),
            jackknife=fit_many(
                design.X,
                design.y,
                n_grades,
                firing_weights=leave_one_out_weights(n_firings),
                **many,
            ),
        )

    return make


@pytest.fixture(scope="session")
def invent() -> Callable[..., dict[str, list]]:
    """A function that makes the columns of a year with known truth.

    Seconds to the can hurt luster by ``seconds`` log-odds a second, the seal does ``seal``,
    pull temperature has a window of depth ``window`` (log-odds at one standard deviation);
    quench and combustible do nothing. Firing luck has standard deviation ``luck``.
    """

    def make(
        rng: np.random.Generator,
        *,
        firings: int = 24,
        pieces: int = 8,
        seconds: float = -0.3,
        seal: float = 0.0,
        window: float = 0.0,
        luck: float = 0.7,
    ) -> dict[str, list]:
        each = np.repeat(np.arange(firings), pieces)
        n = firings * pieces
        temperature = np.round(rng.normal(970.0, 20.0, firings)[each])
        to_can = rng.integers(5, 16, n).astype(float)
        sealed = rng.random(n) < 0.5
        score = (
            seconds * (to_can - 10.0)
            + seal * sealed
            - window * (((temperature - 970.0) / 20.0) ** 2 - 1.0)
            + luck * rng.normal(size=firings)[each]
        )
        cuts = np.array([-1.5, -0.3, 0.6, 1.8])
        grade = (rng.random(n)[:, None] > expit(cuts - score[:, None])).sum(axis=1)
        return {
            "firing_id": [f"F{g + 1:02d}" for g in each],
            "glaze": rng.choice(["Tarn Lantern", "Brackwater Nine"], n).tolist(),
            "pull_temp_c": temperature.tolist(),
            "seconds_to_can": to_can.tolist(),
            "combustible_g": (10.0 * rng.integers(3, 20, n)).tolist(),
            "quench": rng.choice(["none", "dunk"], n).tolist(),
            "seal": np.where(sealed, "yes", "no").tolist(),
            "humidity_pct": rng.integers(40, 90, firings).astype(float)[each].tolist(),
            "luster": grade.astype(float).tolist(),
        }

    return make


@pytest.fixture(scope="session")
def year(make_log, learn, invent) -> Evidence:
    """One invented year of 24 firings, learnt."""
    return learn(make_log(invent(np.random.default_rng(11), window=0.8)), "luster")


@pytest.fixture(scope="session")
def wine(make_log) -> FiringLog:
    """Bitterness of wine, 9 judges x 8 glasses (Randall 1989), as a log."""
    table = pd.read_csv(REFERENCE / "wine.csv")
    panel = Codebook(
        title="Wine",
        factors=(_levels("temp", "cold", "warm"), _levels("contact", "no", "yes")),
        outcomes=(_outcome("rating", 5, aim=3),),
        firing="judge",
        date="",
        piece="",
        glaze="",
        loaded="",
        notes="",
    )
    return make_log(
        {
            "judge": table["judge"].tolist(),
            "temp": table["temp"].tolist(),
            "contact": table["contact"].tolist(),
            "rating": (table["rating"] - 1.0).tolist(),
        },
        codebook=panel,
    )


@pytest.fixture(scope="session")
def synthetic_a(make_log) -> FiringLog:
    """24 firings x 8 pieces made for this project, cross-checked in R and Python."""
    table = pd.read_csv(REFERENCE / "synth_firings_A.csv").astype({"luster": float})
    book = Codebook(
        title="Synthetic firings A",
        factors=(
            Factor(
                name="glaze", label="Glaze", role=Role.SETTING, kind=Kind.NAME, shape=Shape.LEVELS
            ),
            _number("pull_temp", Shape.WINDOW, step=5.0),
            _number("reduction_min", Shape.STRAIGHT, step=1.0),
            _levels("paper", "0", "1"),
            _number("thickness", Shape.STRAIGHT, step=0.1),
        ),
        outcomes=(_outcome("luster", 5, aim=3),),
        firing="firing",
        date="",
        piece="",
        glaze="",
        loaded="",
        notes="",
    )
    names = ["firing", "glaze", "pull_temp", "reduction_min", "paper", "thickness", "luster"]
    return make_log({name: table[name].tolist() for name in names}, codebook=book)


@pytest.fixture
def effect() -> Callable[..., Effect]:
    """A function that makes an effect by hand: a sure +20 in 100 unless told otherwise."""

    def make(
        factor: str = "seconds_to_can",
        *,
        change: float = 0.20,
        error: float = 0.03,
        p: float | None = 0.0001,
        role: Role = Role.SETTING,
        **other: object,
    ) -> Effect:
        values = {
            "outcome": "luster",
            "contrast": Contrast(
                factor=factor, role=role, from_value=5.0, to_value=12.0, unit="s", chosen="x"
            ),
            "rate_from": 0.4,
            "rate_to": 0.4 + change,
            "change": change,
            "interval": _interval(change, 2.0 * error),
            "interval_90": _interval(change, 1.7 * error),
            "p_value": p,
            "standard_error": error,
            "df": 20.0,
            "effective_firings": 21.0,
            "mean_grade_change": 3.0 * change,
            "log_odds": 5.0 * change,
            "pieces_supported": 200,
            "pieces": 200,
            "far_share": 0.05,
            "firings_from": 20,
            "firings_to": 18,
            "firings": 24,
            "pivot_firing": "F03",
            "pivot_change": change,
        }
        return Effect(**(values | other))

    return make


def _interval(middle: float, reach: float) -> Interval:
    return Interval(
        low=middle - reach, high=middle + reach, confidence=0.95, method="firing-score t"
    )


def _levels(name: str, *levels: str) -> Factor:
    return Factor(
        name=name,
        label=name.capitalize(),
        role=Role.SETTING,
        kind=Kind.LEVELS,
        shape=Shape.LEVELS,
        levels=levels,
    )


def _number(name: str, shape: Shape, *, step: float) -> Factor:
    return Factor(
        name=name,
        label=name.capitalize(),
        role=Role.SETTING,
        kind=Kind.NUMBER,
        shape=shape,
        step=step,
    )


def _outcome(name: str, n_levels: int, *, aim: int) -> Outcome:
    return Outcome(
        name=name,
        label=name.capitalize(),
        levels=tuple(Level(name=str(k + 1), wording=f"grade {k + 1}") for k in range(n_levels)),
        aim=aim,
        wanted=Direction.HIGHER,
        phrase="reach the aim",
    )
