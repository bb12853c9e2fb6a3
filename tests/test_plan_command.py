"""`outcomes plan` as a user meets it: a process, its streams, its exit status, its folder."""

import csv
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

GLAZES = ("Hob Lane", "Sallow Pit")


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *words],
        capture_output=True,
        text=True,
        env=dict(os.environ),
        check=False,
        timeout=600,
    )


@pytest.fixture(scope="module")
def log(tmp_path_factory) -> Path:
    """A small log: ten firings of four, lid delay from piece to piece, one can."""
    path = tmp_path_factory.mktemp("log") / "year.csv"
    rng = np.random.default_rng(8)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["firing", "glaze", "lid delay (s)", "quench", "can size (L)", "luster"])
        for firing in range(10):
            for piece in range(4):
                lid, quench = int(rng.integers(2, 12)), str(rng.choice(["none", "dunk"]))
                grade = int(np.clip(round(2 + rng.normal()), 0, 4))
                writer.writerow([f"F{firing}", GLAZES[piece % 2], lid, quench, 40, grade])
    return path


@pytest.fixture(scope="module")
def planned(log, tmp_path_factory) -> tuple[subprocess.CompletedProcess[str], Path]:
    out = tmp_path_factory.mktemp("out") / "plan"
    words = ("--firings", "3", "--pieces", "4", "--out", str(out), "--resamples", "200")
    return run("plan", str(log), *words), out


def test_a_plan_leaves_its_page_two_sheets_and_a_record(planned):
    done, out = planned
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == f"Plan: {(out / 'plan.html').resolve()}"
    assert {"plan.html", "run_sheet.csv", "run_sheet.xlsx", "next_firings.json", "files.json"} == {
        path.name for path in out.iterdir()
    }


def test_the_blank_run_sheet_is_checked_with_the_old_log(planned, log):
    _, out = planned
    done = run("check", str(log), str(out / "run_sheet.csv"))
    assert done.returncode == 0, done.stderr
    assert "52 rows read: 52 used, 0 set aside" in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--firings", "1"), "1 firings were asked for; 2 to 24 can be planned"),
        (("--factors", "glow"), "'glow' is no setting of this codebook"),
        (("--allow", "lid_delay_s=2:4:9"), "a step of 9 does not fit between 2 and 4"),
        (("--allow", "lid_delay_s=0:90:9"), "leaves 2 to"),
        (("--pieces", "2", "--only", "quench=splash"), "'splash' is not among none, dunk"),
        (("--keep", "luster=4"), "'luster' is no setting of this codebook"),
    ],
)
def test_a_request_that_cannot_be_planned_is_refused_and_leaves_nothing(log, tmp_path, words, said):
    out = tmp_path / "plan"
    done = run("plan", str(log), "--out", str(out), "--resamples", "200", "--quiet", *words)
    assert (1, "") == (done.returncode, done.stdout)
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()


def test_a_refused_log_gets_the_same_sentence_as_the_report(tmp_path):
    log = tmp_path / "empty.csv"
    log.write_text("firing,glaze,luster\n1,A,3\n", encoding="utf-8")
    words = ("--quiet", "--out", str(tmp_path / "out"))
    report, plan = run("report", str(log), *words), run("plan", str(log), *words)
    assert report.returncode == plan.returncode == 1
    assert report.stderr == plan.stderr != ""
    assert not (tmp_path / "out").exists()


def test_the_same_seed_gives_the_same_bytes(planned, log, tmp_path):
    _, first = planned
    out = tmp_path / "again"
    words = ("--firings", "3", "--pieces", "4", "--out", str(out), "--resamples", "200")
    assert run("plan", str(log), *words, "--workers", "3", "--quiet").returncode == 0
    for path in first.iterdir():
        assert path.read_bytes() == (out / path.name).read_bytes(), path.name
