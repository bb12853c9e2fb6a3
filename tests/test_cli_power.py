"""`outcomes power` as a user meets it."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "data_demo"
GUESS = ("--shares", "60,40", "--effect", "25", "--firings", "8,24", "--pieces", "5",
         "--runs", "300")  # fmt: skip
PLAN = """\
format = "outcomes-plan/1"
title = "Slower to the can"
declared_on = 2026-03-01
counts_from = 2026-03-01
level = 0.05
firings = 12
pieces = 6
randomised = true
adjust_for = []
stopping = "After twelve firings."
seed = 4

[[factors]]
name = "seconds_to_can"
values = [6, 18]
assigned_to = "firing"

[[hypotheses]]
name = "slow"
outcome = "luster"
factor = "FACTOR"
from = 6
to = 18
claim = "difference"
direction = "fewer"
margin = 15
"""


def run(*words: str, cwd: Path, **env: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-m", "outcomes", "power", *words],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **env},
        check=False,
        timeout=300,
    )


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(scope="module")
def guess(tmp_path_factory):
    here = tmp_path_factory.mktemp("guess")
    return run(*GUESS, "--out", "power", cwd=here), here / "power"


def test_a_guess_prints_its_answer_and_where_the_page_is(guess):
    done, folder = guess
    assert 0 == done.returncode, done.stderr
    assert "of noticing a true difference of 25 more of 100 pieces" in done.stdout
    assert f"Page: {(folder / 'power.html').resolve()}" == done.stdout.splitlines()[-1]


def test_it_leaves_a_page_a_table_and_a_record(guess):
    _, folder = guess
    assert {"power.html", "power.csv", "power.json", "files.json"} == set(contents(folder))
    assert 300 == json.loads((folder / "power.json").read_text("utf-8"))["runs"]


def test_the_same_seed_gives_the_same_bytes_wherever_it_runs(guess, tmp_path):
    _, folder = guess
    done = run(*GUESS, "--workers", "3", "--out", "again", cwd=tmp_path, PYTHONHASHSEED="7",
               TZ="Pacific/Auckland", LC_ALL="C", OMP_NUM_THREADS="2")  # fmt: skip
    assert 0 == done.returncode, done.stderr
    assert contents(folder) == contents(tmp_path / "again")


def test_quiet_says_where_the_page_is_and_nothing_else(tmp_path):
    done = run(*GUESS, "--quiet", "--out", "power", cwd=tmp_path)
    assert 1 == len(done.stdout.splitlines())


def test_a_plan_and_a_log_answer_for_the_plan(tmp_path):
    (tmp_path / "plan.toml").write_text(PLAN.replace("FACTOR", "seconds_to_can"), "utf-8")
    done = run(
        "plan.toml", str(DEMO / "hollowmere_yard.csv"), "--codebook",
        str(DEMO / "hollowmere_codebook.toml"), "--runs", "100", "--firings", "12", "--out",
        "power", cwd=tmp_path,
    )  # fmt: skip
    assert 0 == done.returncode, done.stderr
    assert "Slow: Luster: Seconds to the can, 6 against 18" in done.stdout
    assert "With the most luck it allows" in done.stdout


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        ((), 1, "Nothing says how the grades fall."),
        (("--shares", "10,20"), 1, "they add up to 30, not to 100"),
        (("--shares", "100"), 1, "at least two grades are needed"),
        (("--shares", "50,50", "--effect", "90"), 1, "must stay smaller than 50"),
        (("--shares", "50,50", "--firings", "3,4"), 1, "At most 4 firings were asked for"),
        (("--shares", "50,50", "--firings", "8.5"), 1, "8.5 is no whole number"),
        (("--shares", "50,many"), 2, "'50,many' holds something that is no number"),
        (("--shares", "50,50", "--luck", "nan"), 1, "The firing luck is nan"),
        (("--shares", "50,50", "--effect", "nan"), 1, "The smallest difference"),
        (("nosuch.toml",), 1, "nosuch.toml: the plan could not be opened"),
        (("plan.toml", "--shares", "10,20,30,25,15"), 1, "plan.toml line 21, hypotheses 1"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_is_written(
    tmp_path, words, status, said
):
    (tmp_path / "plan.toml").write_text(PLAN.replace("FACTOR", "secs"), "utf-8")
    done = run(*words, "--out", "power", cwd=tmp_path)
    assert status == done.returncode
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "power").exists()
