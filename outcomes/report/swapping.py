"""Putting a finished folder in the place of an old one in a single step.

Linux can exchange two names in one call (renameat2 with RENAME_EXCHANGE), so a reader sees
either the old folder or the new one, even if the power fails. Elsewhere the old folder is
first renamed aside, and put back if anything goes wrong or by the next run.
"""

import ctypes
import errno
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from outcomes.stopping import hold_endings, let_endings

_AT_FDCWD = -100  # linux/fcntl.h
_RENAME_EXCHANGE = 2  # linux/fs.h
_NEW = ".writing-"
_OLD = ".before-"
_LOCK = ".lock"


@contextmanager
def open_staging(target: Path) -> Iterator[Path]:
    """Yield an empty folder beside the target; whatever is left of it is removed at the end.

    A lock is held while it is in use, so that another run can tell a leftover from work in
    progress. A signal that comes while both are made or removed waits until that is done.
    """
    before = hold_endings()
    try:
        with _hold_new_lock(target) as lock:
            staging = lock.with_name(lock.name.removesuffix(_LOCK))
            try:
                staging.mkdir()
                let_endings(before)
                yield staging
            finally:
                try:
                    hold_endings()
                finally:
                    shutil.rmtree(staging, ignore_errors=True)
    finally:
        let_endings(before)


def put_in_place(staging: Path, target: Path) -> None:
    """Make the staging the target; afterwards the staging's name holds the old folder, if any."""
    _flush_tree(staging)
    if not target.exists() and _rename_onto_nothing(staging, target):
        flush_folder(target.parent)
        return
    if not _exchange(staging, target):
        _step_aside(staging, target)
    flush_folder(target.parent)


def clean_leftovers(target: Path) -> None:
    """Remove what an interrupted run left beside the target; put back what it had renamed."""
    name = target.name[:100]
    for aside in sorted(target.parent.glob(f".{escape_name(name)}{_OLD}*")):
        if target.exists():
            shutil.rmtree(aside, ignore_errors=True)
        else:
            aside.rename(target)
    for lock in sorted(target.parent.glob(f".{escape_name(name)}{_NEW}*{_LOCK}")):
        _remove_unless_held(lock)


def _remove_unless_held(lock: Path) -> None:
    """Remove a staging and its lock when the process that made them is gone."""
    with suppress(OSError), lock.open("r+b") as file:
        if take_lock(file.fileno()):
            shutil.rmtree(lock.with_name(lock.name.removesuffix(_LOCK)), ignore_errors=True)
            lock.unlink()


def escape_name(name: str) -> str:
    """Return a name in which glob sees no pattern."""
    return "".join(f"[{letter}]" if letter in "[]*?" else letter for letter in name)


def _rename_onto_nothing(staging: Path, target: Path) -> bool:
    """Rename; False when another run has put its results there in the meantime."""
    try:
        staging.rename(target)
    except OSError as error:
        if error.errno in (errno.ENOTEMPTY, errno.EEXIST):
            return False
        raise
    return True


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two names in one step; False where the system or the disk cannot."""
    if sys.platform != "linux":
        return False
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    names = os.fsencode(one), os.fsencode(other)
    done = rename(_AT_FDCWD, names[0], _AT_FDCWD, names[1], _RENAME_EXCHANGE)
    if done == 0:
        return True
    code = ctypes.get_errno()
    if code in (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP):
        return False
    raise OSError(code, os.strerror(code), str(other))


def _step_aside(staging: Path, target: Path) -> None:
    """Rename the old folder aside, the new one into its place; undo the first if that fails."""
    aside = target.with_name(staging.name.replace(_NEW, _OLD))
    target.rename(aside)
    try:
        staging.rename(target)
    except OSError:
        aside.rename(target)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _flush_tree(folder: Path) -> None:
    """Flush every folder of a tree, the deepest first; its files are flushed already."""
    for path, _, _ in os.walk(folder, topdown=False):
        flush_folder(Path(path))


def flush_folder(folder: Path) -> None:
    """Flush a folder's list of names; Windows has no such call and needs none."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _hold_new_lock(target: Path) -> Iterator[Path]:
    """Yield a new lock file, held until the end; the system lets go of it when we die."""
    handle, name = tempfile.mkstemp(
        prefix=f".{target.name[:100]}{_NEW}", suffix=_LOCK, dir=target.parent
    )
    lock = Path(name)
    try:
        if not (take_lock(handle) and is_same_file(handle, lock)):
            # Another run's cleaning came between making the file and locking it.
            raise BlockingIOError(errno.EAGAIN, "another run is writing there", name)
        yield lock
    finally:
        os.close(handle)
        with suppress(OSError):
            lock.unlink()


def is_same_file(handle: int, path: Path) -> bool:
    """Return whether a name still is the file behind a handle."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False


def take_lock(handle: int) -> bool:
    """Take a lock without waiting; return whether it was free."""
    try:
        if os.name == "posix":
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        else:
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    except OSError:
        return False
    return True
