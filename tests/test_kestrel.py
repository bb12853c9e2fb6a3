"""Kestrel Bench: its files are made by their script, and its truth is what they say."""

import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from outcomes.planning.plan import SealState
from outcomes.planning.plan_file import read_plan
from outcomes.planning.seal import check_seal
from outcomes.simulate.kestrel import CANS, LEAKY, MINUTES, kestrel_grades, kestrel_truth

DEMO = Path(__file__).parents[1] / "data_demo"
MADE = ("kestrel_plan.toml", "kestrel_assignment.csv", "kestrel_bench.csv", "kestrel_truth.toml")


def test_the_script_makes_the_committed_files_byte_for_byte(tmp_path) -> None:
    subprocess.run([sys.executable, DEMO / "make_kestrel.py", tmp_path], check=True, timeout=120)
    differing = [n for n in MADE if (tmp_path / n).read_bytes() != (DEMO / n).read_bytes()]
    assert [] == differing


def test_the_demo_plan_carries_a_whole_seal() -> None:
    assert SealState.WHOLE is check_seal(read_plan(DEMO / "kestrel_plan.toml"))


def test_the_log_holds_the_drawn_times_but_for_one_slip() -> None:
    log = pd.read_csv(DEMO / "kestrel_bench.csv").set_index("Tile")
    drawn = pd.read_csv(DEMO / "kestrel_assignment.csv").set_index("piece_id")
    typed = log.loc[drawn.index, "Time in can (min)"]
    assert [20] == typed[typed != drawn["time_in_can_min"]].tolist()


def test_the_truth_file_says_what_the_code_does() -> None:
    written = tomllib.loads((DEMO / "kestrel_truth.toml").read_text(encoding="utf-8"))
    (luster,) = kestrel_truth().outcomes
    assert (list(luster.thresholds), LEAKY) == (written["thresholds"], written["leaky_can"])
    assert written["gains"]["16"] == written["gains"]["64"] > written["gains"]["4"]


@pytest.mark.parametrize(("minutes", "can", "better"), [(16.0, "1", 4.0), (64.0, "1", 4.0)])
def test_sixteen_and_sixty_four_minutes_beat_four(minutes, can, better, rng) -> None:
    n = 6000
    firing = pd.Series([f"F{i}" for i in range(n)], dtype=object)
    cans = pd.Series([can] * n, dtype=object)
    means = [
        kestrel_grades(pd.Series([value] * n), cans, firing, rng=rng).mean()
        for value in (minutes, better)
    ]
    assert means[0] - means[1] > 0.8


def test_sixteen_and_sixty_four_are_truly_equal_and_the_leak_is_worse(rng) -> None:
    n = 20_000
    firing = pd.Series([f"F{i}" for i in range(n)], dtype=object)
    times = pd.Series(np.where(np.arange(n) % 2, 16.0, 64.0))
    cans = pd.Series(np.where(np.arange(n) % 4 < 2, LEAKY, CANS[0]), dtype=object)
    grades = kestrel_grades(times, cans, firing, rng=rng)
    assert abs(grades[times == 16].mean() - grades[times == 64].mean()) < 0.07  # 4 errors
    assert grades[cans == LEAKY].mean() < grades[cans != LEAKY].mean() - 0.3
    assert {16.0, 64.0} <= set(MINUTES)
