"""Too little memory is said before the work begins.

The libraries for the arithmetic do not always raise where memory ends: one of them gives up in
words of its own, one of them waits for ever (both measured below 700 MB with `ulimit -v`). So
what this process may use is looked at first.
"""

import sys

from outcomes.errors import OutcomesError

LIGHT = frozenset({"check", "export", "sheet", "declare"})  # no fit is made
NEEDED_LIGHT = 500  # MB; measured: works with 500 and a log of 24 firings
NEEDED = 950  # measured: a report of 24 firings works with 1000, and not with 700
OUT_OF_MEMORY = "This machine ran out of memory; nothing is half written."
# What the loader of libraries and the maker of threads say where memory ends.
_SIGNS = ("map segment", "allocate memory", "start new thread")


class LowMemoryError(OutcomesError, MemoryError):
    """The process may use less memory than the command needs."""


def check_memory(command: str) -> None:
    """Refuse a command that needs more memory than this process may use.

    Raises
    ------
    LowMemoryError
        Saying how much there is and how much is needed.
    """
    needed = NEEDED_LIGHT if command in LIGHT else NEEDED
    allowed = _allowed()
    if allowed is not None and allowed < needed * 1_000_000:
        raise LowMemoryError(
            f"`outcomes {command}` may use {allowed / 1e6:,.0f} MB of memory here and needs "
            f"{needed} MB. Ask for more (`ulimit -v` shows the limit in kB), or run it on "
            "another machine. Nothing was written."
        )


def is_out_of_memory(error: BaseException) -> bool:
    """Return whether an error means that there is no more memory."""
    if isinstance(error, MemoryError):
        return True
    return isinstance(error, ImportError | RuntimeError) and any(
        sign in str(error).lower() for sign in _SIGNS
    )


def _allowed() -> int | None:
    """Return how many bytes of addresses this process may use, None where there is no limit."""
    if sys.platform == "win32":
        return None
    import resource

    soft, _ = resource.getrlimit(resource.RLIMIT_AS)
    return None if soft == resource.RLIM_INFINITY else soft
