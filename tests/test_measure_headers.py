"""A header that counts in a measure ("paper (sheets)") is reported and planned in base units."""

import csv
import os
import subprocess
import sys

import numpy as np
import pytest

CODEBOOK = 'extends = "default"\n[factors.combustible_g.measures]\nsheet = 28\n'


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *words, "--resamples", "200", "--quiet"],
        capture_output=True,
        text=True,
        env=dict(os.environ),
        check=False,
        timeout=600,
    )


@pytest.fixture(scope="module")
def counted(tmp_path_factory) -> tuple[str, ...]:
    """The log and its codebook as words of a command: eight firings of four."""
    folder = tmp_path_factory.mktemp("counted")
    rng = np.random.default_rng(28)
    with (folder / "year.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["firing", "paper (sheets)", "seconds to can", "luster"])
        for firing in range(8):
            for _ in range(4):
                sheets, seconds = int(rng.integers(1, 5)), int(rng.integers(4, 20))
                writer.writerow([f"F{firing}", sheets, seconds, int(rng.integers(0, 5))])
    (folder / "codebook.toml").write_text(CODEBOOK, encoding="utf-8")
    return str(folder / "year.csv"), "--codebook", str(folder / "codebook.toml")


def test_the_report_shows_the_base_unit(counted, tmp_path) -> None:
    out = tmp_path / "report"
    done = run("report", *counted, "--for", "all", "--out", str(out))
    assert done.returncode == 0, done.stderr
    page = (out / "report.html").read_text(encoding="utf-8").replace("\u202f", " ")
    assert "with combustible at 110 g rather than 30 g" in page


def test_the_plan_is_made(counted, tmp_path) -> None:
    out = tmp_path / "plan"
    done = run("plan", *counted, "--out", str(out))
    assert done.returncode == 0, done.stderr
    assert (out / "plan.html").is_file()
