"""Every ending has its exit status, and the help says which."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "data_demo"
LOG = ("check", str(DEMO / "hollowmere_clean.csv"))
MEANINGS = ("0 done", "1 refused with the reason", "2 wrong usage", "3 the machine",
            "130 interrupted", "143 or 129 when the system asked")  # fmt: skip


def run(*words, cwd, env=None, shell=False):
    command = [sys.executable, "-m", "outcomes", *words]
    return subprocess.run(
        f"{sys.executable} -m outcomes {' '.join(words)}" if shell else command,
        cwd=cwd, env=os.environ | (env or {}), capture_output=True, check=False, shell=shell,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("--help",), 0),
        (("--version",), 0),
        (LOG, 0),
        (("check", "nowhere.csv"), 1),
        (("check", "empty.csv"), 1),
        (("check", "no_grade.csv"), 1),
        (("report", "no_grade.csv", "--out", "out"), 1),
        (("check", LOG[1], "--codebook", "nowhere.toml"), 1),
        (("export", LOG[1], "--to", "folder"), 1),
        (("agree", "empty.csv"), 1),
        (("test", "nowhere.toml", LOG[1]), 1),
        ((), 2),
        (("check",), 2),
        (("fire", "it"), 2),
        (("report", LOG[1], "--resamples", "many"), 2),
        (("report", LOG[1], "--names"), 2),
    ],
    ids=lambda value: " ".join(map(str, value[:2])) if isinstance(value, tuple) else None,
)
def test_the_status_of_every_ending(words, status, tmp_path) -> None:
    (tmp_path / "empty.csv").touch()
    (tmp_path / "folder").mkdir()
    (tmp_path / "no_grade.csv").write_text("firing_id,seconds_to_can\n1,5\n1,6\n2,7\n")
    done = run(*words, cwd=tmp_path)
    assert status == done.returncode, done.stderr
    assert b"Traceback" not in done.stdout + done.stderr
    assert (done.stdout + done.stderr).strip()


def test_the_help_names_every_status(tmp_path) -> None:
    told = " ".join(run("--help", cwd=tmp_path).stdout.decode().split())
    assert [] == [meaning for meaning in MEANINGS if meaning not in told]


@pytest.mark.parametrize(
    "words", [LOG, (*LOG, "--json"), ("--help",)], ids=["text", "json", "help"]
)
def test_a_reader_who_leaves_at_once_is_no_failure(words, tmp_path) -> None:
    done = run(*words, "|", "true", cwd=tmp_path, shell=True)
    assert b"" == done.stderr


@pytest.mark.parametrize("words", [LOG, (*LOG, "--json"), ("--help",), ("check", "nöwhere.csv")])
def test_a_terminal_of_plain_letters_is_served(words, tmp_path) -> None:
    env = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    done = run(*words, cwd=tmp_path, env=env)
    assert done.returncode == ("nöwhere.csv" in words)
    assert b"Traceback" not in done.stderr


def test_nobody_at_the_other_end_is_said_by_the_status_alone(tmp_path) -> None:
    done = run(*LOG, ">&-", "2>&-", cwd=tmp_path, shell=True)
    assert done.returncode in {0, 3}
    assert b"" == done.stdout + done.stderr
