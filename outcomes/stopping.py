"""Signals that ask a program to end become one exception, from the first moment on.

Python's own answer to Ctrl-C is an exception that prints a traceback while modules are still
being imported, and that gets lost where Python may not raise (in a finalizer, say). `listen` is
called before anything else is imported, and what gets lost is raised again a moment later.
"""

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, TypeAlias

SENTENCE = "Interrupted; nothing is half written."
_NAMES = ("SIGINT", "SIGTERM", "SIGHUP")
_AGAIN = 0.01  # seconds
Held: TypeAlias = set[int | signal.Signals] | None


class Stopped(BaseException):
    """Somebody pressed Ctrl-C, or the system asks us to end: a shutdown, a closed terminal.

    Attributes
    ----------
    number
        The signal's.
    """

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number

    @property
    def status(self) -> int:
        """The exit status, counted as shells do: 128 and the signal's number."""
        return 128 + self.number


def listen() -> None:
    """Raise `Stopped` in the main thread at the signals that ask us to end.

    A signal that whoever started us had ignored (nohup) stays ignored.
    """
    for name in _NAMES:
        number = getattr(signal, name, None)
        usual = (signal.SIG_DFL, signal.default_int_handler)
        if number is not None and signal.getsignal(number) in usual:
            signal.signal(number, _stop)
    sys.unraisablehook = _raise_again


def find_stop(error: BaseException | None) -> Stopped | None:
    """Return the `Stopped` behind an error: some libraries wrap what is raised as they load."""
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        if isinstance(error, Stopped):
            return error
        seen.add(id(error))
        error = error.__cause__ or error.__context__
    return None


def hold_endings() -> Held:
    """Let the signals that ask us to end wait; return what `let_endings` puts back."""
    if not hasattr(signal, "pthread_sigmask"):
        return None
    return signal.pthread_sigmask(signal.SIG_BLOCK, list_endings())


def let_endings(before: Held) -> None:
    """Let signals come as before; one that waited comes now."""
    if before is not None:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def no_endings() -> Iterator[None]:
    """Let signals wait: for what must be done together, and takes no time."""
    before = hold_endings()
    try:
        yield
    finally:
        let_endings(before)


def list_endings() -> list[signal.Signals]:
    """Return the signals that ask a program to end, as far as this system has them."""
    return [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]


def stop_listening() -> None:
    """Let nothing interrupt the last steps: everything is said, and Python is tidying up."""
    for name in _NAMES:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is _stop:
            signal.signal(number, signal.SIG_IGN)


def _stop(number: int, _frame: FrameType | None) -> None:
    raise Stopped(number)


def _raise_again(lost: Any) -> None:
    """Raise a `Stopped` once more where Python could not; anything else is told as ever."""
    ending = lost.exc_value
    if not isinstance(ending, Stopped) or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(lost)
        return
    signal.signal(signal.SIGALRM, lambda _number, _frame: _stop(ending.number, None))
    signal.setitimer(signal.ITIMER_REAL, _AGAIN)
