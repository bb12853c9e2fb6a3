"""Work spread over processes; the result never depends on how many there are.

A worker is a copy of this process (a fork): it has the log and the libraries already, takes the
next piece of work from a pipe that all of them read, and sends what it found when nothing is
left. Whatever goes wrong in it (memory, a kill), its pieces of work are done here afterwards,
where an error has a reader. Only where a copy is safe are there any: on Linux, in a process
with one thread. Elsewhere everything is done here.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Generic, TypeVar

from outcomes.stopping import find_stop, list_endings, no_endings

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Item = TypeVar("Item")
Result = TypeVar("Result")
Told = Callable[[int], None]

MOST = 4  # a log has few outcomes, and each worker takes memory
_SIZE = 4  # bytes of a place in the queue


def default_workers() -> int:
    """Return how many workers there are when nobody says: one a usable core, up to four."""
    if sys.platform == "linux":
        return min(len(os.sched_getaffinity(0)), MOST)
    return min(os.cpu_count() or 1, MOST)


def count_processes(items: int, workers: int) -> int:
    """Return over how many processes, this one included, `spread` divides so many items."""
    if sys.platform != "linux" or threading.active_count() > 1:
        return 1
    from multiprocessing import parent_process

    return 1 if parent_process() is not None else max(1, min(items, workers))


def spread(
    work: Callable[[Item, Told], Result],
    items: Sequence[Item],
    *,
    workers: int,
    progress: Told = lambda _: None,
    meanwhile: Callable[[], None] = lambda: None,
) -> list[Result]:
    """Return what the work makes of each item, in their order.

    Parameters
    ----------
    work
        Called with an item and a function that takes the number of steps just done; the same
        item must give the same result in any process.
    items
        The longest first: whoever is free takes the next.
    workers
        Processes, this one included; changes the speed, never the result.
    progress
        Called in this process with the number of steps just done.
    meanwhile
        Called once in this process before it takes an item, when the others are at work: for
        what later copies of it are to have, such as a library that takes long to load.

    Raises
    ------
    Exception
        Whatever the work raises for the first item that fails.
    """
    count = count_processes(len(items), workers)
    if count > 1:
        done = _divide(work, items, count, progress, meanwhile)
    else:
        done = {}
        meanwhile()
    return [done[at] if at in done else work(item, progress) for at, item in enumerate(items)]


def _divide(
    work: Callable[[Item, Told], Result],
    items: Sequence[Item],
    count: int,
    progress: Told,
    meanwhile: Callable[[], None],
) -> dict[int, Result]:
    """Return what so many processes found, by place; what failed is missing."""
    done: dict[int, Result] = {}
    queue = _Queue(len(items))
    crew: list[_Worker[Result]] = []

    def tell(steps: int) -> None:
        progress(steps)
        for worker in crew:
            worker.listen(progress)

    try:
        with suppress(OSError):  # no memory or no process left: fewer workers do
            for _ in range(count - 1):
                crew.append(_Worker(work, items, queue, [worker.answers for worker in crew]))
        meanwhile()
        try:
            for at in queue:
                done[at] = work(items[at], tell)
        except Exception as error:  # noqa: BLE001 - raised again by the caller, in the items' order
            if find_stop(error) is not None:
                raise
        for worker in crew:
            done |= worker.collect(progress)
    finally:
        for worker in crew:
            worker.end()
        queue.close()
    return done


class _Queue:
    """The places of the items in a pipe, and a pipe that ends with the process that wrote it."""

    def __init__(self, count: int) -> None:
        # A pipe takes 64 kB unread: the places of sixteen thousand items.
        self._places, writing = os.pipe()
        os.write(writing, b"".join(at.to_bytes(_SIZE, "little") for at in range(count)))
        os.close(writing)
        self._life, self._held = os.pipe()

    def __iter__(self) -> Iterator[int]:
        """Take places until none is left."""
        while place := os.read(self._places, _SIZE):
            yield int.from_bytes(place, "little")

    def end_with_the_other(self) -> None:
        """Let this process, a copy, end when the one that wrote the queue does."""
        os.close(self._held)

        def wait() -> None:
            os.read(self._life, 1)
            os._exit(1)

        threading.Thread(target=wait, daemon=True).start()

    def close(self) -> None:
        """Let go of the pipes."""
        for handle in (self._places, self._life, self._held):
            os.close(handle)


class _Worker(Generic[Result]):
    """A copy of this process at work, and the pipe it answers through."""

    def __init__(
        self,
        work: Callable[[Item, Told], Result],
        items: Sequence[Item],
        queue: _Queue,
        others: Sequence[Connection],
    ) -> None:
        from multiprocessing import get_context

        context = get_context("fork")
        self.answers, answering = context.Pipe(duplex=False)
        self._found: dict[int, Result] = {}

        def serve() -> None:
            with suppress(BaseException):
                # A worker must notice when nobody reads its answers any more.
                for connection in (self.answers, *others):
                    connection.close()
                _leave_endings_to_the_other()
                queue.end_with_the_other()
                found = {at: work(items[at], answering.send) for at in queue}
                answering.send(found)

        self._process = context.Process(target=serve, daemon=True)
        with no_endings(), warnings.catch_warnings():
            # Python counts the threads of the linear algebra too; that is ready to be copied.
            warnings.simplefilter("ignore", DeprecationWarning)
            self._process.start()
        answering.close()

    def listen(self, progress: Told) -> None:
        """Pass on the steps told of so far, without waiting."""
        while not self._found and not self.answers.closed and self.answers.poll():
            self._hear(progress)

    def collect(self, progress: Told) -> dict[int, Result]:
        """Return what it found, by place: everything, or nothing if it died."""
        while not self._found and not self.answers.closed:
            self._hear(progress)
        return self._found

    def _hear(self, progress: Told) -> None:
        try:
            heard = self.answers.recv()
        except (EOFError, OSError):
            self.answers.close()
            return
        if isinstance(heard, int):
            progress(heard)
        else:
            self._found = heard
            self.answers.close()

    def end(self) -> None:
        """Leave nothing of it behind."""
        self._process.kill()
        self._process.join()
        self.answers.close()


def _leave_endings_to_the_other() -> None:
    """Ignore signals in a worker: a key pressed reaches every process, and one tidies up."""
    for number in list_endings():
        signal.signal(number, signal.SIG_IGN)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, list_endings())
