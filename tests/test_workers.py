"""Work spread over processes: in order, the same at any number, and nothing left behind."""

import os
import select
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import pytest

from outcomes import cli
from outcomes.stopping import Stopped
from outcomes.workers import count_processes, default_workers, spread

pytestmark = pytest.mark.one_thread
linux = pytest.mark.skipif(sys.platform != "linux", reason="workers are copies on Linux only")
HERE = os.getpid()


@pytest.fixture(autouse=True)
def nobody_else() -> None:
    """Beside another thread no copy is made, and these tests would ask nothing."""
    assert 1 == threading.active_count(), threading.enumerate()


def square(item: int, tell) -> int:
    tell(1)
    time.sleep(0.02)
    return item * item


@pytest.mark.parametrize("workers", [1, 2, 3, 9])
def test_results_come_in_the_order_of_the_items(workers) -> None:
    steps: list[int] = []
    found = spread(square, range(7), workers=workers, progress=steps.append)
    assert [0, 1, 4, 9, 16, 25, 36] == found
    assert [1] * 7 == steps


@pytest.fixture
def meet():
    """A function in which two processes wait until both are at work, a minute at most."""
    ours, theirs = os.pipe(), os.pipe()

    def wait() -> None:
        mine, other = (ours, theirs) if os.getpid() == HERE else (theirs, ours)
        os.write(mine[1], b".")
        assert select.select([other[0]], [], [], 60)[0]

    yield wait
    for end in (*ours, *theirs):
        os.close(end)


@linux
def test_more_than_one_process_does_the_work(meet) -> None:
    def where(_item: int, _tell) -> int:
        meet()
        return os.getpid()

    found = set(spread(where, range(6), workers=2))
    assert len(found) == 2
    assert HERE in found


@pytest.mark.parametrize("workers", [1, 2])
def test_what_is_done_meanwhile_is_done_once_in_this_process(workers) -> None:
    done: list[int] = []
    found = spread(square, range(3), workers=workers, meanwhile=lambda: done.append(os.getpid()))
    assert [0, 1, 4] == found
    assert [HERE] == done


@linux
def test_the_others_are_at_work_while_something_is_done_meanwhile() -> None:
    reading, writing = os.pipe()

    def where(_item: int, _tell) -> int:
        os.write(writing, b".")
        return os.getpid()

    def wait() -> None:
        for _ in range(3):
            assert select.select([reading], [], [], 60)[0]
            os.read(reading, 1)

    assert HERE not in spread(where, range(3), workers=2, meanwhile=wait)


def test_one_worker_makes_no_copy(monkeypatch) -> None:
    monkeypatch.setattr(os, "fork", None)
    assert [0, 1, 4] == spread(square, range(3), workers=1)


@linux
def test_a_worker_does_not_start_workers_of_its_own(meet) -> None:
    def inner(_item: int, _tell) -> int:
        meet()
        return count_processes(4, 4) if os.getpid() != HERE else 0

    assert set(spread(inner, range(4), workers=2)) == {0, 1}


def test_beside_another_thread_no_copy_is_made() -> None:
    leave = threading.Event()
    thread = threading.Thread(target=leave.wait)
    thread.start()
    try:
        assert 1 == count_processes(4, 4)
    finally:
        leave.set()
        thread.join()


@linux
def test_what_a_killed_worker_had_is_done_here() -> None:
    def fragile(item: int, _tell) -> tuple[int, int]:
        time.sleep(0.05)
        if os.getpid() != HERE:
            os.kill(os.getpid(), signal.SIGKILL)
        return item, os.getpid()

    assert [(item, HERE) for item in range(4)] == spread(fragile, range(4), workers=3)


@linux
@pytest.mark.parametrize("error", [MemoryError, ValueError])
def test_what_a_worker_could_not_do_is_done_here(error) -> None:
    def only_here(item: int, _tell) -> int:
        time.sleep(0.05)
        if os.getpid() != HERE:
            raise error("too much")
        return item

    assert [0, 1, 2, 3] == spread(only_here, range(4), workers=2)


@linux
def test_a_stop_that_a_library_wrapped_ends_the_work(meet) -> None:
    began = []

    def wrapped(item: int, _tell) -> int:
        meet()
        if os.getpid() == HERE:
            began.append(item)
            raise ImportError("initialization failed") from Stopped(signal.SIGTERM)
        return item

    with pytest.raises(ImportError):
        spread(wrapped, range(4), workers=2)
    assert 1 == len(began)


@linux
def test_a_result_that_cannot_be_sent_is_made_here() -> None:
    found = spread(lambda item, _: lambda: item, range(4), workers=2)
    assert [0, 1, 2, 3] == [made() for made in found]


@pytest.mark.parametrize("workers", [1, 3])
def test_the_first_item_that_fails_is_the_one_that_is_told(workers) -> None:
    def fail(item: int, _tell) -> int:
        if item >= 2:
            raise ValueError(f"item {item}")
        return item

    with pytest.raises(ValueError, match="item 2"):
        spread(fail, range(6), workers=workers)


@linux
def test_without_a_process_to_be_had_the_work_is_done_here(monkeypatch) -> None:
    def refuse() -> int:
        raise BlockingIOError(11, "no more processes")

    monkeypatch.setattr(os, "fork", refuse)
    assert [0, 1, 4, 9] == spread(square, range(4), workers=3)


def test_somebody_always_works() -> None:
    assert 1 <= default_workers() <= 4


SLOW = textwrap.dedent("""
    import sys, time
    import outcomes.cli as cli
    from outcomes.workers import spread

    def work(item, tell):
        print(item, flush=True)
        time.sleep(60)

    cli.program.main = lambda standalone_mode: spread(work, range(2), workers=2)
    cli.main()
""")


def start_slow() -> subprocess.Popen:
    """Return a process in a group of its own that has its two items in work."""
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW], text=True, start_new_session=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert {"0\n", "1\n"} == {process.stdout.readline(), process.stdout.readline()}
    return process


def wait_for_nobody(group: int) -> bool:
    """Wait until no process of a group is left, ten seconds at most."""
    for _ in range(200):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


@linux
@pytest.mark.parametrize("ending", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.parametrize("send", [os.kill, os.killpg], ids=["to it", "to its group"])
def test_stopped_with_workers_it_says_so_once_and_leaves_no_process(ending, send) -> None:
    process = start_slow()
    send(process.pid, getattr(signal, ending))
    _, errors = process.communicate(timeout=30)
    assert 128 + getattr(signal, ending) == process.returncode
    assert "Interrupted; nothing is half written." == errors.strip()
    assert wait_for_nobody(process.pid)


@linux
def test_killed_outright_it_leaves_no_worker_behind() -> None:
    process = start_slow()
    process.kill()
    process.communicate(timeout=30)
    assert wait_for_nobody(process.pid)


@pytest.fixture(scope="module")
def short_log(tmp_path_factory) -> Path:
    rows = Path(__file__).parents[1] / "data_demo" / "hollowmere_clean.csv"
    log = tmp_path_factory.mktemp("log") / "log.csv"
    log.write_text("".join(rows.read_text(encoding="utf-8").splitlines(keepends=True)[:81]))
    return log


def test_one_two_and_three_workers_write_the_same_bytes(short_log, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    written = []
    for workers in ("1", "2", "3"):
        words = ["report", str(short_log), "--for", "all", "--resamples", "200", "--quiet",
                 "--workers", workers, "--out", f"out-{workers}"]  # fmt: skip
        cli.program.main(words, standalone_mode=False)
        folder = tmp_path / f"out-{workers}"
        files = [path for path in sorted(folder.rglob("*")) if path.is_file()]
        written.append({path.relative_to(folder).as_posix(): path.read_bytes() for path in files})
    assert len(written[0]) > 40
    assert written[0] == written[1] == written[2]
