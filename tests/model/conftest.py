"""The published examples of tests/reference as designs, and made designs of any size."""

import csv
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

REFERENCE = Path(__file__).parents[1] / "reference"


@dataclass(frozen=True, kw_only=True, eq=False)
class Example:
    """A design with what is known about its fit; `cluster` numbers 0..G-1 where there is one."""

    X: np.ndarray
    y: np.ndarray
    n_grades: int
    weights: np.ndarray
    expected: dict[str, Any]
    cluster: np.ndarray


def read_columns(name: str) -> dict[str, np.ndarray]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {column: np.array([row[column] for row in rows]) for column in rows[0]}


def read_expected(name: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads((REFERENCE / name).read_text(encoding="utf-8"))
    expected: dict[str, Any] = document["expected"]
    return expected


def numbered(values: np.ndarray) -> np.ndarray:
    return np.unique(values, return_inverse=True)[1].astype(np.int64)


def example(
    columns: list[np.ndarray],
    y: np.ndarray,
    *,
    expected: str,
    weights: np.ndarray | None = None,
    cluster: np.ndarray | None = None,
) -> Example:
    return Example(
        X=np.column_stack([np.asarray(column, dtype=np.float64) for column in columns]),
        y=np.asarray(y, dtype=np.int64),
        n_grades=int(np.max(y)) + 1,
        weights=np.ones(len(y)) if weights is None else weights.astype(np.float64),
        expected=read_expected(expected),
        cluster=np.arange(len(y)) if cluster is None else cluster,
    )


def wine_of(expected: str) -> Example:
    table = read_columns("wine.csv")
    return example(
        [table["temp"] == "warm", table["contact"] == "yes"],
        table["rating"].astype(int) - 1,
        expected=expected,
        cluster=numbered(table["judge"].astype(int)),
    )


@pytest.fixture
def wine() -> Example:
    return wine_of("P01_wine_clm.json")


@pytest.fixture
def wine_clusters() -> Example:
    return wine_of("P22_wine_cluster_robust.json")


@pytest.fixture
def wine_contrasts() -> Example:
    return wine_of("P23_wine_average_contrasts.json")


@pytest.fixture
def housing() -> Example:
    table = read_columns("housing.csv")
    levels = [
        table["Infl"] == "Medium",
        table["Infl"] == "High",
        table["Type"] == "Apartment",
        table["Type"] == "Atrium",
        table["Type"] == "Terrace",
        table["Cont"] == "High",
    ]
    grade = {"Low": 0, "Medium": 1, "High": 2}
    return example(
        levels,
        np.array([grade[word] for word in table["Sat"]]),
        expected="P04_housing_polr.json",
        weights=table["Freq"],
    )


@pytest.fixture
def cheese() -> Example:
    table = read_columns("cheese.csv")
    return example(
        [table["additive"] == letter for letter in "ABC"],
        table["rating"].astype(int) - 1,
        expected="P05_cheese_clm.json",
        weights=table["freq"],
    )


@pytest.fixture
def mental() -> Example:
    table = read_columns("mental.csv")
    return example(
        [table["ses"], table["life"]],
        table["impair"].astype(int) - 1,
        expected="P06_mental_impairment.json",
    )


@pytest.fixture
def gradschool() -> Example:
    table = read_columns("gradschool.csv")
    return example(
        [table["pared"], table["public"], table["gpa"]],
        table["y"].astype(int),
        expected="P07_gradschool.json",
    )


@pytest.fixture
def endometrial() -> Example:
    table = read_columns("endometrial.csv")
    return example(
        [table["NV"], table["PI"], table["EH"]],
        table["HG"].astype(int),
        expected="P08_endometrial_firth.json",
    )


@pytest.fixture
def bacteria() -> Example:
    table = read_columns("bacteria.csv")
    return example(
        [table["trt"] == "drug", table["trt"] == "drug+", table["week"].astype(int) > 2],
        table["yn"].astype(int),
        expected="P21_bacteria_clustered_logit.json",
        cluster=numbered(table["ID"]),
    )


@pytest.fixture
def synthetic_firings() -> Example:
    table = read_columns("synth_firings_A.csv")
    z = (table["pull_temp"].astype(float) - 930.0) / 25.0
    return example(
        [
            z,
            z**2,
            table["reduction_min"].astype(float) / 10.0,
            table["paper"],
            table["glaze"] == "B",
            table["glaze"] == "C",
            table["thickness"],
        ],
        table["luster"].astype(int),
        expected="P30_synth_firings_A.json",
        cluster=numbered(table["firing"]),
    )


@pytest.fixture
def synthetic_cracks() -> Example:
    table = read_columns("synth_firings_A.csv")
    return example(
        [table["thickness"], table["rim"], table["glaze"] == "B", table["glaze"] == "C"],
        table["crack"].astype(int),
        expected="P30_synth_firings_A.json",
        cluster=numbered(table["firing"]),
    )


@pytest.fixture
def judge_weights() -> dict[str, np.ndarray]:
    table = read_columns("wine_frw_weights.csv")
    return {name: column.astype(float) for name, column in table.items()}


@dataclass(frozen=True, kw_only=True, eq=False)
class MadeLog:
    """An invented design: half the columns vary between firings, half inside them."""

    X: np.ndarray
    y: np.ndarray
    firing: np.ndarray
    n_grades: int


def make_log(
    seed: int, *, firings: int = 24, pieces: int = 8, columns: int = 4, n_grades: int = 5
) -> MadeLog:
    rng = np.random.default_rng(seed)
    firing = np.repeat(np.arange(firings), pieces)
    X = rng.normal(size=(len(firing), columns))
    half = columns // 2
    X[:, :half] = rng.normal(size=(firings, half))[firing]
    eta = X @ np.linspace(-0.6, 0.8, columns) + 0.7 * rng.normal(size=firings)[firing]
    latent = eta + rng.logistic(size=len(eta))
    cuts = np.quantile(latent, np.arange(1, n_grades) / n_grades)
    return MadeLog(X=X, y=np.searchsorted(cuts, latent), firing=firing, n_grades=n_grades)


@pytest.fixture(scope="session")
def make_design() -> Callable[..., MadeLog]:
    """A function that invents a design from a seed."""
    return make_log
