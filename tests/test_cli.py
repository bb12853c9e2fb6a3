"""The command line as a user meets it: a process, its streams and its exit status."""

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "data_demo"
DEMO_LOG = DEMO / "hollowmere_yard.csv"
DEMO_CODEBOOK = DEMO / "hollowmere_codebook.toml"
FEW = ("--resamples", "200")


def run(*words: str, cwd: Path | None = None, env: dict[str, str] | None = None):
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *words],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **(env or {})},
        check=False,
        timeout=300,
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[subprocess.CompletedProcess, Path]:
    out = tmp_path_factory.mktemp("demo") / "report"
    return run("demo", "--out", str(out), *FEW), out


def test_the_demo_prints_where_the_report_is_as_its_last_line(demo) -> None:
    done, out = demo
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == f"Report: {(out / 'report.html').resolve()}"


def test_the_demo_leaves_a_page_a_record_and_tables(demo) -> None:
    _, out = demo
    names = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert {"report.html", "study.json", "tables/effects.csv", "tables/account.csv"} <= names


def test_the_same_seed_gives_the_same_bytes_at_any_number_of_workers(demo, tmp_path) -> None:
    _, first = demo
    again = tmp_path / "again"
    env = {"PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland", "LC_ALL": "C", "OMP_NUM_THREADS": "2"}
    assert run("demo", "--out", str(again), "--workers", "3", *FEW, env=env).returncode == 0
    for path in (p for p in first.rglob("*") if p.is_file()):
        assert (again / path.relative_to(first)).read_bytes() == path.read_bytes(), path.name


def test_another_seed_gives_another_result(demo, tmp_path) -> None:
    _, first = demo
    other = tmp_path / "other"
    assert run("demo", "--out", str(other), "--seed", "2", *FEW).returncode == 0
    assert (other / "study.json").read_bytes() != (first / "study.json").read_bytes()


def test_the_makers_files_are_never_written_to(tmp_path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(DEMO_LOG.read_bytes())
    before = hashlib.sha256(log.read_bytes()).hexdigest(), log.stat().st_mtime_ns
    run("report", str(log), "--codebook", str(DEMO_CODEBOOK), "--out", str(tmp_path / "r"), *FEW)
    run("export", str(log), "--to", str(log))
    assert (hashlib.sha256(log.read_bytes()).hexdigest(), log.stat().st_mtime_ns) == before


def test_export_refuses_to_write_over_the_log(tmp_path) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(DEMO_LOG.read_bytes())
    done = run("export", str(log), "--to", str(log))
    assert done.returncode == 1
    assert "this is the log itself" in done.stderr


def test_check_prints_the_row_account_first() -> None:
    done = run("check", str(DEMO_LOG), "--codebook", str(DEMO_CODEBOOK))
    assert done.returncode == 0
    words = done.stdout.splitlines()[0].replace(",", "").replace(":", "").split()
    read, used, aside = int(words[0]), int(words[3]), int(words[5])
    assert read == used + aside


def test_check_json_is_one_document_with_the_same_account() -> None:
    done = run("check", str(DEMO_LOG), "--codebook", str(DEMO_CODEBOOK), "--json")
    account = json.loads(done.stdout)["account"]
    assert account["rows_read"] == account["rows_used"] + len(account["set_aside"])


def test_an_exported_log_reads_straight_back(tmp_path) -> None:
    once, twice = tmp_path / "once.csv", tmp_path / "twice.csv"
    run("export", str(DEMO_LOG), "--codebook", str(DEMO_CODEBOOK), "--to", str(once))
    done = run("export", str(once), "--codebook", str(DEMO_CODEBOOK), "--to", str(twice))
    assert done.returncode == 0, done.stderr
    first, second = (path.read_text().splitlines() for path in (once, twice))
    assert len(first) == len(second)


def test_a_file_that_is_not_there_is_refused_in_words(tmp_path) -> None:
    done = run("report", "nowhere.csv", cwd=tmp_path)
    assert done.returncode == 1
    assert "nowhere.csv" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_log_without_any_grade_is_refused_and_says_what_would_make_it_usable(tmp_path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("firing_id,seconds_to_can\n1,5\n1,6\n2,7\n")
    for command in ("check", "report"):
        done = run(command, str(log), cwd=tmp_path)
        assert done.returncode == 1
        assert "luster" in done.stdout + done.stderr
    assert not (tmp_path / "outcomes-report").exists()


def test_wrong_usage_has_its_own_status() -> None:
    assert run("report").returncode == 2
    assert run("fire").returncode == 2
    assert run("demo", "--resamples", "-4").returncode == 2


def test_a_reader_who_leaves_early_is_no_failure(tmp_path) -> None:
    command = (
        f"{sys.executable} -m outcomes check {DEMO_LOG} --codebook {DEMO_CODEBOOK} | head -n 1"
    )
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False)
    assert "rows read" in done.stdout
    assert done.stderr == ""


def test_a_terminal_that_knows_only_ascii_is_served(tmp_path) -> None:
    env = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    done = run("check", str(DEMO_LOG), "--codebook", str(DEMO_CODEBOOK), env=env)
    assert done.returncode == 0, done.stderr


@pytest.mark.skipif(os.name == "nt", reason="signals differ on Windows")
def test_an_interruption_leaves_nothing_behind(tmp_path) -> None:
    out = tmp_path / "report"
    process = subprocess.Popen(
        [sys.executable, "-m", "outcomes", "demo", "--out", str(out), "--resamples", "50000"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(4.0)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Traceback" not in errors
    assert list(tmp_path.iterdir()) == []


def test_sheet_writes_what_a_studio_hands_around(tmp_path) -> None:
    done = run("sheet", "--out", str(tmp_path / "sheets"))
    assert done.returncode == 0, done.stderr
    names = {path.name for path in (tmp_path / "sheets").iterdir()}
    assert {"log.csv", "log.xlsx", "grading_card.html", "log-schema.json"} <= names


def test_the_version_is_said() -> None:
    assert "0.1.0" in run("--version").stdout
