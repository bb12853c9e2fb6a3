"""Grades and files that many tests of the room start from."""

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from outcomes.graders.ratings import Ratings
from outcomes.log.codebook import Direction, Level, Outcome
from outcomes.simulate.regrades import GraderTruth, RegradeTruth, draw_regrades

REFERENCE = Path(__file__).parents[1] / "reference"


@pytest.fixture(scope="session")
def published() -> Callable[[str], dict]:
    """A function that reads one file of published values."""

    def read(name: str) -> dict:
        return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))

    return read


@pytest.fixture(scope="session")
def five_grades() -> Outcome:
    """An outcome of five grades without words."""
    return Outcome(
        name="grade", label="Grade", levels=tuple(Level(name=str(k), wording="") for k in range(5)),
        aim=3, wanted=Direction.HIGHER, phrase="are graded 3 or better",
    )  # fmt: skip


@pytest.fixture(scope="session")
def make_ratings(five_grades: Outcome):
    """A function that makes `Ratings` from rows of grades, None for a gap."""

    def make(rows: Sequence[Sequence[float | None]], *, per_firing: int = 1, levels: int = 5):
        grades = np.array(rows, dtype=np.float64)
        outcome = replace(five_grades, levels=five_grades.levels[:levels], aim=1)
        return Ratings(
            outcome=outcome,
            graders=tuple("ABCDEFGH"[: grades.shape[1]]),
            grades=grades,
            pieces=tuple(f"p{n}" for n in range(len(grades))),
            cluster=np.arange(len(grades)) // per_firing,
            by_firing=per_firing > 1,
        )

    return make


@pytest.fixture(scope="session")
def two_alike() -> RegradeTruth:
    """Two graders who differ in nothing but chance; two grades of a piece correlate 0.64."""
    return RegradeTruth(
        graders=(GraderTruth(name="A"), GraderTruth(name="B")),
        thresholds=(-2.6, -0.9, 0.9, 2.6), piece_sd=2.4, firing_share=0.3,
    )  # fmt: skip


@pytest.fixture(scope="session")
def draw_entries():
    """A function that draws gradings of firings x pieces from a truth and a seed."""

    def draw(truth: RegradeTruth, *, seed: int, firings: int = 12, pieces: int = 5) -> pd.DataFrame:
        rng = np.random.default_rng(seed)
        return draw_regrades(truth, firings=firings, pieces=pieces, rng=rng)

    return draw
