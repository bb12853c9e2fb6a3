"""Too little memory: worded, with its exit status, and the old results stay whole."""

import csv
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from outcomes import cli
from outcomes.memory import OUT_OF_MEMORY, is_out_of_memory

DEMO = Path(__file__).parents[1] / "data_demo"
GIGABYTE = 1_073_741_824
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


def write_log(path: Path, firings: int) -> Path:
    """The demo's log, that many firings of it."""
    with (DEMO / "hollowmere_clean.csv").open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file)
    at = header.index("firing_id")
    kept = list(dict.fromkeys(row[at] for row in rows))[:firings]
    assert firings == len(kept)
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([header, *(row for row in rows if row[at] in kept)])
    return path


def run_within(limit: int, *words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *words],
        cwd=cwd, env=os.environ | ONE_THREAD, capture_output=True, text=True, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit, limit)),
        timeout=300,
    )  # fmt: skip


def test_a_gigabyte_is_enough_for_a_year_of_firings(tmp_path) -> None:
    log = write_log(tmp_path / "log.csv", 24)
    words = ("report", log.name, "--out", "out", "--resamples", "200", "--quiet")
    done = run_within(GIGABYTE, *words, cwd=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)


def test_half_a_gigabyte_is_enough_to_check_it(tmp_path) -> None:
    log = write_log(tmp_path / "log.csv", 24)
    done = run_within(GIGABYTE // 2, "check", log.name, cwd=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)


@pytest.mark.parametrize(
    "words",
    [("report", "log.csv", "--out", "out"), ("check", "log.csv"), ("demo", "--out", "out"),
     ("power", "--shares", "10,20,70", "--effect", "25", "--out", "out"),
     ("export", "log.csv", "--to", "out/report.html")],
    ids=lambda words: words[0],
)  # fmt: skip
def test_far_too_little_is_said_before_anything_is_done(words, tmp_path) -> None:
    write_log(tmp_path / "log.csv", 3)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "report.html").write_bytes(b"the old one")
    done = run_within(300_000_000, *words, cwd=tmp_path)
    said = f"`outcomes {words[0]}` may use 300 MB of memory here and needs "
    assert (3, "") == (done.returncode, done.stdout)
    assert done.stderr.startswith(said)
    assert 1 == done.stderr.count("\n")
    assert [b"the old one"] == [path.read_bytes() for path in (tmp_path / "out").iterdir()]


STAGES = {
    "a file is read": "outcomes.log.reading.read_file",
    "its values are checked": "outcomes.log.checks.find_failures",
    "a model is fitted": "outcomes.study.one_outcome.fit_cumulative",
    "a page is made": "outcomes.report.results.build_results",
    "the results are written": "outcomes.report.writing._write_all",
}


@pytest.fixture(scope="module")
def reported(tmp_path_factory) -> Path:
    """A folder with a log and its report."""
    folder = tmp_path_factory.mktemp("reported")
    log = write_log(folder / "log.csv", 8)
    assert 0 == CliRunner().invoke(cli.program, words_of(log)).exit_code
    return folder


def words_of(log: Path) -> list[str]:
    return ["report", str(log), "--out", str(log.parent / "out"), "--resamples", "200", "--quiet"]


def bytes_below(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("place", STAGES.values(), ids=STAGES.keys())
def test_memory_that_ends_on_the_way_is_told_in_one_line(
    place, reported, monkeypatch, capsys
) -> None:
    before = bytes_below(reported)
    monkeypatch.setattr(place, give_up)
    monkeypatch.setattr(sys, "argv", ["outcomes", *words_of(reported / "log.csv")])
    assert 3 == cli._run()
    assert f"{OUT_OF_MEMORY}\n" == capsys.readouterr().err
    assert before == bytes_below(reported)


def give_up(*_given, **_named):
    raise MemoryError


@pytest.mark.parametrize(
    ("error", "expected"),
    [
        (ImportError("libx.so: failed to map segment from shared object"), True),
        (RuntimeError("can't start new thread"), True),
        (MemoryError(), True),
        (ImportError("No module named 'nothing'"), False),
        (ValueError("cannot allocate memory"), False),
    ],
)
def test_what_the_loader_says_where_memory_ends_is_understood(error, expected) -> None:
    assert expected is is_out_of_memory(error)
