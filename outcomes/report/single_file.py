"""Single files written whole or not at all, into a folder that is the maker's own.

Each file is written aside, flushed to the disk, and put in place in one step. A lock is held
on what stands aside, so that the next run can tell a leftover from work in progress.
"""

import os
import tempfile
from collections.abc import Mapping
from contextlib import ExitStack, suppress
from pathlib import Path

from outcomes.errors import RequestError
from outcomes.report.swapping import escape_name, flush_folder, is_same_file, take_lock
from outcomes.stopping import no_endings

_MARK = ".part-"
_ATTEMPTS = 20


def write_file(content: bytes, target: Path, *, may_replace: bool = True) -> None:
    """Write one file aside, flush it, and put it in place in one step.

    Parameters
    ----------
    content, target
        What to write, and where.
    may_replace
        Whether a file of that name may be replaced.

    Raises
    ------
    RequestError
        If the target is a folder, is there and may not be replaced, or cannot be written;
        what stood there is unchanged.
    """
    write_files({target.name: content}, target.parent, may_replace=may_replace)


def write_files(files: Mapping[str, bytes], folder: Path, *, may_replace: bool = True) -> None:
    """Write files into a folder: all of them aside first, then each in its place in one step.

    Raises
    ------
    RequestError
        As in `write_file`; where the disk refuses, nothing has changed.
    """
    for name in files:
        if (folder / name).is_dir():
            raise RequestError(f"{folder / name} is a folder; the name of a file was expected.")
    try:
        with ExitStack() as stack:
            aside = {
                folder / name: _write_aside(content, folder / name, stack)
                for name, content in files.items()
            }
            for target, path in aside.items():
                _put_in_place(path, target, may_replace=may_replace)
            flush_folder(folder)
    except OSError as error:
        raise RequestError(_describe_refusal(folder / next(iter(files)), error)) from error


def _describe_refusal(target: Path, error: OSError) -> str:
    if isinstance(error, FileExistsError):
        return f"{target}: found a file of that name, which is never written over. Name another."
    return (
        f"{target} could not be written ({error.strerror}). Name another file or folder; "
        "nothing there has changed."
    )


def _put_in_place(path: Path, target: Path, *, may_replace: bool) -> None:
    if may_replace:
        os.replace(path, target)
        return
    try:
        os.link(path, target)  # unlike a rename, it refuses a name that is taken
    except FileExistsError:
        raise
    except OSError:  # a disk without links
        with target.open("xb") as file:
            file.write(path.read_bytes())


def _write_aside(content: bytes, target: Path, stack: ExitStack) -> Path:
    """Return a flushed file beside the target; it is gone and unlocked when the stack closes."""
    prefix = f".{target.name[:40]}{_MARK}"
    _clean_leftovers(target.parent, prefix)
    with no_endings():
        handle, path = _make_locked(target.parent, prefix)
        stack.callback(path.unlink, missing_ok=True)
        file = stack.enter_context(os.fdopen(handle, "wb"))
    file.write(content)
    file.flush()
    os.fsync(handle)
    path.chmod(0o644)
    return path


def _make_locked(folder: Path, prefix: str) -> tuple[int, Path]:
    """Return a new file that we hold; another run's cleaning may come between, so try again."""
    for _ in range(_ATTEMPTS):
        handle, name = tempfile.mkstemp(prefix=prefix, dir=folder)
        if take_lock(handle) and is_same_file(handle, Path(name)):
            return handle, Path(name)
        os.close(handle)
        Path(name).unlink(missing_ok=True)
    raise BlockingIOError(None, "another run is writing there")


def _clean_leftovers(folder: Path, prefix: str) -> None:
    """Remove what runs that are gone left aside."""
    for path in folder.glob(f"{escape_name(prefix)}*"):
        with suppress(OSError), path.open("r+b") as file:
            if take_lock(file.fileno()):
                path.unlink()
