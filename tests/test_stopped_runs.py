"""A run stopped at a random moment: old results or new ones, whole; one line; nothing left."""

import importlib.util
import random
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from outcomes.stopping import SENTENCE, Stopped, find_stop


def load_script():
    path = Path(__file__).with_name("stopped_runs.py")
    spec = importlib.util.spec_from_file_location("stopped_runs", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules["stopped_runs"] = module
    spec.loader.exec_module(module)
    return module


stopped = load_script()


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return stopped.prepare(tmp_path_factory.mktemp("shop"), "agree")


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("name", ["SIGKILL", "SIGINT", "SIGTERM"])
@pytest.mark.parametrize("writing", [False, True])
def test_results_are_whole_whenever_a_run_is_stopped(name, writing, seed, shop) -> None:
    draw = random.Random(f"{name} {writing} {seed}")
    after = draw.uniform(0, 0.02) if writing else draw.uniform(0, shop.seconds)
    ended = stopped.stop(shop, name, after=after, writing=writing)
    assert [] == stopped.complain(shop, ended)


# Stops where a heavy library is imported, says so, and waits for the signal.
IMPORTING = """
import builtins, sys, time
sys.argv = ["outcomes", "check", "nowhere.csv"]
usual = builtins.__import__
def wait(name, *given, **named):
    if name == "{name}":
        print("here", flush=True)
        while True:
            time.sleep(0.01)
    return usual(name, *given, **named)
builtins.__import__ = wait
from outcomes.__main__ import main
main()
"""


@pytest.mark.parametrize("library", ["click", "pandas"])
@pytest.mark.parametrize(("name", "status"), [("SIGINT", 130), ("SIGTERM", 143)])
def test_a_stop_while_libraries_are_imported_is_one_line(library, name, status, tmp_path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", IMPORTING.replace("{name}", library)], cwd=tmp_path, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert "here\n" == process.stdout.readline()
    process.send_signal(getattr(signal, name))
    _, errors = process.communicate(timeout=60)
    assert (status, f"{SENTENCE}\n") == (process.returncode, errors)


# A library of C++ turns whatever is raised while it loads into an ImportError.
WRAPPING = IMPORTING.replace(
    """        print("here", flush=True)
        while True:
            time.sleep(0.01)
""",
    """        try:
            os.kill(os.getpid(), signal.SIGTERM)
            time.sleep(60)
        except BaseException as error:
            raise ImportError("initialization failed") from error
""",
).replace("import builtins,", "import builtins, os, signal,")


@pytest.mark.parametrize("library", ["click", "pandas"])
def test_a_stop_that_a_library_wrapped_is_still_one_line(library, tmp_path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WRAPPING.replace("{name}", library)], cwd=tmp_path, text=True,
        capture_output=True, check=False, timeout=50,
    )  # fmt: skip
    assert (143, f"{SENTENCE}\n") == (done.returncode, done.stderr)


def test_a_stop_is_found_behind_other_errors_and_nowhere_else() -> None:
    try:
        try:
            try:
                raise Stopped(signal.SIGINT)
            except Stopped as stop:
                raise ImportError("initialization failed") from stop
        except ImportError:
            raise ValueError("while it was handled")  # noqa: B904 - the context is the case
    except ValueError as error:
        found = find_stop(error)
    assert isinstance(found, Stopped)
    assert find_stop(ImportError("of its own")) is None
    assert find_stop(None) is None


LOST = """
import os, signal, time
from outcomes.stopping import SENTENCE, Stopped, listen
listen()
class Thing:
    def __del__(self):
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(0.01)
try:
    thing = Thing()
    del thing
    time.sleep(60)
except Stopped as ending:
    print(ending.status)
"""


def test_a_stop_that_comes_where_python_may_not_raise_is_not_lost() -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOST], capture_output=True, text=True, check=False, timeout=50
    )
    assert ("143\n", "") == (done.stdout, done.stderr)


def test_a_program_started_to_outlive_its_terminal_does() -> None:
    code = "import os, signal\nfrom outcomes.stopping import listen\nlisten()\n"
    code += "os.kill(os.getpid(), signal.SIGHUP)\nprint('still here')"
    done = subprocess.run(
        ["nohup", sys.executable, "-c", code], capture_output=True, text=True, check=False,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert "still here" in done.stdout


def test_the_status_counts_as_shells_do() -> None:
    assert (130, 143) == (Stopped(signal.SIGINT).status, Stopped(signal.SIGTERM).status)


@pytest.fixture
def eight(tmp_path):
    """Eight runs at once, on the same log and into the same folder."""
    every = stopped.load_list()
    for name in ("inputs", "one", "all"):
        (tmp_path / name).mkdir()
    every.prepare_inputs(tmp_path / "inputs")

    def run(command):
        words = every.words_of(command, tmp_path / "inputs", tmp_path / "all")
        alone = every.words_of(command, tmp_path / "inputs", tmp_path / "one")
        done: list[subprocess.CompletedProcess[str]] = []
        threads = [threading.Thread(target=lambda: done.append(call(words))) for _ in range(8)]
        for thread in threads:
            thread.start()
        assert 0 == call(alone).returncode
        for thread in threads:
            thread.join()
        return done, every.digests(tmp_path / "one"), every.digests(tmp_path / "all")

    return run


def call(words):
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *words], capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize("command", ["agree", "sheet"])
def test_eight_runs_at_once_leave_what_one_leaves(command, eight) -> None:
    done, one, together = eight(command)
    assert one == together
    assert 0 in {run.returncode for run in done}
    refused = [run.stderr for run in done if run.returncode]
    assert all("another run is writing there" in said for said in refused), refused


# A signal comes just after the file that holds the lock is made, or just before all is removed.
BETWEEN = """
import os, shutil, signal, sys, tempfile
from pathlib import Path
from outcomes.report import single_file, swapping
from outcomes.stopping import Stopped, listen
listen()
module, name, first = {"making": (tempfile, "mkstemp", False),
                       "removing": (shutil, "rmtree", True)}[sys.argv[1]]
usual = getattr(module, name)
def hit():
    os.kill(os.getpid(), signal.SIGTERM)
def change(*given, **named):
    if first:
        hit()
    made = usual(*given, **named)
    if not first:
        hit()
    return made
setattr(module, name, change)
try:
    if sys.argv[2] == "folder":
        with swapping.open_staging(Path("results")):
            (Path("results")).mkdir()
    else:
        single_file.write_file(b"content", Path("results"))
except Stopped as ending:
    print(ending.status, sorted(path.name for path in Path().iterdir()))
"""


@pytest.mark.parametrize(
    ("moment", "kind", "left"),
    [("making", "folder", []), ("removing", "folder", ["results"]), ("making", "file", [])],
)
def test_a_stop_between_two_steps_of_writing_leaves_nothing_aside(
    moment, kind, left, tmp_path
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", BETWEEN, moment, kind], cwd=tmp_path, text=True,
        capture_output=True, check=False, timeout=50,
    )  # fmt: skip
    assert (f"143 {left}\n", "") == (done.stdout, done.stderr)
