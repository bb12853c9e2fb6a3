"""The class log is made by its script, read as it was meant, and holds what its truth says."""

import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest

from outcomes.simulate.ninefold import STUDENTS, ninefold_course

DEMO = Path(__file__).parents[1] / "data_demo"
MADE = ("ninefold_front.csv", "ninefold_back.csv", "ninefold_truth.toml")


@pytest.fixture(scope="module")
def truth():
    return tomllib.loads((DEMO / "ninefold_truth.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def meant(truth, ninefold_log):
    """The course that was drawn, in the order of the two clipboards."""
    course = ninefold_course(np.random.default_rng(truth["seed"]))
    return course.set_index("piece_id").loc[ninefold_log.values["piece_id"]].reset_index()


def test_the_script_makes_the_same_bytes_again(tmp_path):
    subprocess.run(
        [sys.executable, "-B", str(DEMO / "make_ninefold.py"), str(tmp_path)], check=True
    )
    for name in MADE:
        assert (tmp_path / name).read_bytes() == (DEMO / name).read_bytes(), name


def test_every_row_of_both_clipboards_is_used(ninefold_log, truth):
    assert (ninefold_log.account.rows_read, ninefold_log.account.rows_used) == (
        truth["pieces"],
        truth["pieces"],
    )
    assert ninefold_log.account.set_aside == ()


def test_degrees_of_both_scales_are_read_as_meant(ninefold_log, meant):
    # A whole degree Fahrenheit is 0.56 °C; rounding loses half of it at most.
    assert meant["pull_temp_c"].to_numpy() == pytest.approx(
        ninefold_log.values["pull_temp_c"], abs=0.28
    )


@pytest.mark.parametrize(
    "column", ["lid_delay_s", "seconds_to_can", "combustible_g", "wall_thickness_mm", "luster"]
)
def test_every_cell_that_was_written_is_read_as_meant(ninefold_log, meant, column):
    read = ninefold_log.values[column].to_numpy()
    known = np.isfinite(read)
    assert known.mean() > 0.97
    assert meant[column].to_numpy()[known] == pytest.approx(read[known])


def test_a_firing_holds_pots_of_both_clipboards(ninefold_log, truth):
    files = ninefold_log.origin["file"].groupby(ninefold_log.values["firing_id"]).nunique()
    assert (files == 2).all()
    assert len(files) == truth["firings"]


def test_one_student_has_too_few_pots_to_be_compared(ninefold_log):
    counts = ninefold_log.values["maker"].value_counts()
    assert set(counts.index) == {student.code for student in STUDENTS}
    assert counts[counts < 10].index.tolist() == ["I"]


def test_the_lid_delay_is_what_was_coached(ninefold_log, truth):
    since = np.datetime64(truth["coached"]["from_date"])
    after = ninefold_log.values["fired_on"] >= since
    middle = ninefold_log.values.groupby(["maker", after])["lid_delay_s"].median().unstack()
    kept = truth["coached"]["did_not_follow"]
    there = [s for s in STUDENTS if s.first == 0 and s.code not in kept]
    followed = [s.code for s in there if s.lid - s.coached_lid >= 4]
    assert (middle.loc[followed, False] - middle.loc[followed, True] >= 3).all()
    assert (middle.loc[kept, True] >= 15).all()
