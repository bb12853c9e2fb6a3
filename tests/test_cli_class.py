"""The class's pages from the command line."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "data_demo"
LOGS = (str(DEMO / "ninefold_front.csv"), str(DEMO / "ninefold_back.csv"))
BOOK = ("--codebook", str(DEMO / "ninefold_codebook.toml"))


def run(*words: str):
    return subprocess.run(
        [sys.executable, "-m", "outcomes", "report", *words],
        capture_output=True, text=True, env=os.environ, check=False, timeout=300,
    )  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The handout on one worker, all pages on two."""
    root = tmp_path_factory.mktemp("class")
    few = (*LOGS, *BOOK, "--resamples", "200", "--quiet")
    sheet = run(*few, "--for", "class", "--out", str(root / "sheet"), "--workers", "1")
    every = run(*few, "--for", "all", "--coached", "lid_delay_s:2025-03-18", "--names",
                "--out", str(root / "every"), "--workers", "2")  # fmt: skip
    assert (sheet.returncode, every.returncode) == (0, 0), sheet.stderr + every.stderr
    return sheet, every, root


def test_the_handout_is_named_last_and_brings_no_page_about_people(made):
    sheet, _, root = made
    assert sheet.stdout.splitlines()[-1].endswith("handout.html")
    assert {path.name for path in (root / "sheet").glob("*.html")} == {"handout.html"}


def test_all_pages_lie_side_by_side(made):
    _, _, root = made
    names = {path.name for path in (root / "every").glob("*.html")}
    assert {"report.html", "handout.html", "leader.html"} <= names


def test_workers_and_the_leaders_options_change_no_byte_of_the_handout(made):
    _, _, root = made
    one, other = ((root / name / "handout.html").read_bytes() for name in ("sheet", "every"))
    assert one == other


def test_what_was_coached_stands_on_the_leaders_page(made):
    _, _, root = made
    page = (root / "every" / "leader.html").read_text(encoding="utf-8")
    assert "You named lid delay, from 18 March 2025 on." in page


@pytest.mark.parametrize("option", [("--names",), ("--coached", "lid_delay_s:2025-03-18")])
def test_the_leaders_options_are_refused_on_other_pages(option):
    done = run(*LOGS, *BOOK, "--for", "class", *option)
    assert done.returncode == 2
    assert f"{option[0]} is for the leader's page: add --for leader." in done.stderr


def test_a_wrong_coaching_is_refused_before_the_work_begins(tmp_path):
    out = tmp_path / "out"
    done = run(*LOGS, *BOOK, "--for", "leader", "--coached", "lid:2025-03-18", "--out", str(out))
    assert done.returncode == 1
    assert "'lid' is no setting of this log. Name one of: " in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()
