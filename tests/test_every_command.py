"""What every command that writes must hold to: inputs, disk, signals, the same bytes."""

import gc
import importlib.util
import os
import resource
import shutil
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from click.testing import CliRunner

from outcomes import cli
from outcomes.errors import OutcomesError

HERE = Path(__file__).parent


def load_list():
    spec = importlib.util.spec_from_file_location("every_command", HERE / "every_command.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["every_command"] = module
    spec.loader.exec_module(module)
    return module


every = load_list()
each_command = pytest.mark.parametrize("command", every.COMMANDS)
ONE_WAY = {"PYTHONHASHSEED": "1", "TZ": "UTC", "LC_ALL": "C.UTF-8", "OMP_NUM_THREADS": "1"}
OTHER_WAY = {"PYTHONHASHSEED": "77", "TZ": "Pacific/Auckland", "LC_ALL": "C", "LANG": "tr_TR",
             "OMP_NUM_THREADS": "2", "PYTHONUTF8": "0"}  # fmt: skip


@pytest.fixture(scope="session")
def inputs(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("inputs")
    every.prepare_inputs(folder)
    return folder


@pytest.fixture(scope="session")
def results(inputs, tmp_path_factory) -> dict[str, Path]:
    """Where each command has written once, in this process."""
    folders = {}
    for command in every.COMMANDS:
        folders[command] = tmp_path_factory.mktemp(command)
        done = call(every.words_of(command, inputs, folders[command]))
        assert done.exit_code == 0, done.output
    return folders


@pytest.fixture
def work(tmp_path, monkeypatch) -> Path:
    """A folder to work in that is not the folder for results."""
    (tmp_path / "work").mkdir()
    (tmp_path / "out").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    return tmp_path / "work"


def call(words: list[str]):
    return CliRunner().invoke(cli.program, words)


def start(words: list[str], *, cwd: Path, env: dict[str, str], launcher: list[str]):
    return subprocess.Popen(
        [sys.executable, *launcher, *words],
        cwd=cwd, env=os.environ | env, text=True, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def test_every_command_that_writes_is_on_the_list() -> None:
    named = {words[0] for words in every.COMMANDS.values()}
    known = {command.name for command in cli.COMMANDS}
    assert known == named | every.WRITE_NOTHING | every.SHOWS_THE_REPORT


@each_command
def test_it_asks_nobody_changes_no_input_and_writes_the_same_bytes_in_any_setting(
    command, inputs, results, work, tmp_path
) -> None:
    before, out, noted = every.digests(inputs), tmp_path / "out", tmp_path / "noted.jsonl"
    home, aside = tmp_path / "home", tmp_path / "aside"
    home.mkdir()
    aside.mkdir()
    process = start(
        every.words_of(command, inputs, out), cwd=work,
        env={**OTHER_WAY, "HOME": str(home), "TMPDIR": str(aside)},
        launcher=[str(HERE / "every_command.py"), str(noted)],
    )  # fmt: skip
    _, errors = process.communicate(timeout=300)
    assert (process.returncode, errors) == (0, "")
    seen = every.read_notes(noted)
    assert seen["forbidden"] == []
    allowed = (str(out), str(aside), os.devnull)
    assert [p for p in seen["changed"] if not str(Path(work, p)).startswith(allowed)] == []
    assert every.digests(inputs) == before
    assert [*work.iterdir(), *home.iterdir(), *aside.iterdir()] == []
    assert every.digests(out) == every.digests(results[command])


@pytest.mark.parametrize("words", [[], ["--json"]])
def test_a_check_asks_nobody_and_writes_no_file(words, inputs, work, tmp_path) -> None:
    noted, before = tmp_path / "noted.jsonl", every.digests(inputs)
    process = start(
        ["check", str(inputs / "log.csv"), "--codebook", str(inputs / "book.toml"), *words],
        cwd=work, env=OTHER_WAY, launcher=[str(HERE / "every_command.py"), str(noted)],
    )  # fmt: skip
    said, errors = process.communicate(timeout=300)
    assert (process.returncode, errors) == (0, "")
    assert "60" in said
    assert every.read_notes(noted) == {"forbidden": [], "changed": []}
    assert every.digests(inputs) == before
    assert [*work.iterdir()] == []


@each_command
def test_a_disk_that_takes_no_more_leaves_what_was_there_whole(
    command, inputs, results, work, tmp_path
) -> None:
    out = tmp_path / "out"
    if command != "declare":  # a plan is never written over
        shutil.copytree(results[command], out, dirs_exist_ok=True)
    before = every.digests(out)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (300, hard))
    try:
        done = call(every.words_of(command, inputs, out))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        gc.collect()
    assert isinstance(done.exception, OutcomesError), done.exception
    assert "not be written" in str(done.exception)
    assert every.digests(out) == before


@each_command
def test_a_folder_that_cannot_be_is_refused_in_words(command, inputs, work, tmp_path) -> None:
    (tmp_path / "out" / "file").write_bytes(b"mine")
    done = call(every.words_of(command, inputs, tmp_path / "out" / "file"))
    assert isinstance(done.exception, OutcomesError), done.exception
    assert str(tmp_path / "out" / "file") in str(done.exception)
    assert every.digests(tmp_path / "out").keys() == {"file"}


# Stops at a flush to the disk, says so, and waits for the signal.
PAUSED = textwrap.dedent("""
    import os, sys, time
    from outcomes import cli
    flush, number = os.fsync, int(sys.argv[1])
    def pause(handle):
        global number
        number -= 1
        if number == 0:
            print("here", flush=True)
            time.sleep(60)
        flush(handle)
    os.fsync = pause
    sys.argv = ["outcomes", *sys.argv[2:]]
    cli.main()
""")


@pytest.mark.parametrize(
    ("command", "number", "ending"),
    [*((command, "1", "SIGKILL") for command in every.COMMANDS), ("agree", "3", "SIGTERM"),
     ("sheet", "4", "SIGINT"), ("declare", "3", "SIGHUP")],
)  # fmt: skip
def test_stopped_while_it_writes_the_old_results_stay_and_the_next_run_tidies_up(  # noqa: PLR0917
    command, number, ending, inputs, results, work, tmp_path
) -> None:
    out, words = tmp_path / "out", every.words_of(command, inputs, tmp_path / "out")
    if command != "declare":
        shutil.copytree(results[command], out, dirs_exist_ok=True)
    before = every.digests(out)
    process = start(words, cwd=work, env=ONE_WAY, launcher=["-c", PAUSED, number])
    while "here" not in process.stdout.readline():
        assert process.poll() is None
    process.send_signal(getattr(signal, ending))
    _, errors = process.communicate(timeout=60)
    left = every.digests(out)
    if ending == "SIGKILL":
        assert left.items() >= before.items()
    else:
        assert process.returncode == 128 + getattr(signal, ending)
        assert errors.strip() == "Interrupted; nothing is half written."
        assert left == before
    done = call(words)
    assert done.exit_code == 0, done.output
    assert every.digests(out) == every.digests(results[command])


def test_the_key_of_a_blind_list_outlives_the_comparison(inputs, results, work, tmp_path) -> None:
    out = tmp_path / "out" / "here"
    shutil.copytree(results["regrade"], tmp_path / "out", dirs_exist_ok=True)
    key = (out / "regrade_key.csv").read_bytes()
    done = call(every.words_of("agree", inputs, tmp_path / "out"))
    assert done.exit_code == 0, done.output
    assert (out / "regrade_key.csv").read_bytes() == key


def test_a_filled_run_sheet_outlives_another_plan_and_a_report(
    inputs, results, work, tmp_path
) -> None:
    out = tmp_path / "out" / "here"
    shutil.copytree(results["plan"], tmp_path / "out", dirs_exist_ok=True)
    sheet = next(out.glob("*.csv"))
    sheet.write_bytes(b"a month of firings")
    done = call([*every.words_of("plan", inputs, tmp_path / "out"), "--seed", "2"])
    assert f"{sheet.name}: found a file of that name" in str(done.exception)
    done = call(every.words_of("report", inputs, tmp_path / "out"))
    assert done.exit_code == 0, done.output
    assert sheet.read_bytes() == b"a month of firings"
    assert {path.name for path in results["plan"].glob("here/*")} <= set(os.listdir(out))


def test_a_filled_blind_list_is_never_written_over(inputs, results, work, tmp_path) -> None:
    shutil.copytree(results["regrade"], tmp_path / "out", dirs_exist_ok=True)
    filled = tmp_path / "out" / "here" / "regrade_list.csv"
    filled.write_bytes(b"a week of grading")
    done = call(every.words_of("regrade", inputs, tmp_path / "out"))
    assert "regrade_list.csv: found a file of that name" in str(done.exception)
    assert filled.read_bytes() == b"a week of grading"


def test_the_codebook_is_never_written_over_by_an_export(inputs, work) -> None:
    before = every.digests(inputs)
    words = ["export", f"{inputs}/log.csv", "--codebook", f"{inputs}/book.toml", "--to"]
    done = call([*words, f"{inputs}/book.toml"])
    assert "this is the codebook" in str(done.exception)
    assert every.digests(inputs) == before
