"""Results go to a folder all at once or not at all.

Everything is written into a new folder beside the target, flushed to the disk, and put in the
target's place in one step. Whatever goes wrong before that step, the old results stay whole.

A list of what was written and by what (``files.json``, with SHA-256) marks a folder as ours:
only such a folder is ever replaced. A file in it that is not on the list is the maker's own and
stays, and so does what another command wrote there: a key to a blind list lies in the folder
that the comparison goes to.
"""

import errno
import hashlib
import json
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath

from outcomes.errors import ReportError
from outcomes.report.swapping import clean_leftovers, open_staging, put_in_place

LISTING = "files.json"
LISTING_FORMAT = "outcomes-files/2"
_OLDER_FORMAT = "outcomes-files/1"  # does not say by what
_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]*(?:/[A-Za-z0-9_][A-Za-z0-9._-]*)*")


def write_results(
    files: Mapping[str, bytes], folder: Path, *, made_by: str = "report", force: bool = False
) -> None:
    """Write files into a folder, all of them or none.

    Parameters
    ----------
    files
        Contents by name; a name may hold sub-folders ("tables/effects.csv").
    folder
        Made when it does not exist. A folder with earlier results is replaced, and files the
        maker or another command added to it are kept.
    made_by
        The command; its earlier results in the folder go, as they would be taken for the new.
    force
        Also write into a folder that holds other things; those are kept.

    Raises
    ------
    ReportError
        If a name leaves the folder, the folder is a file, holds other things, is where the
        command runs, or the disk refuses. Nothing has changed then.
    """
    for name in files:
        _check_name(name)
    target = _check_folder(folder, force=force)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        clean_leftovers(target)
        with open_staging(target) as staging:
            others = _find_others(target, files, made_by=made_by)
            listing = _render_listing({made_by: _digest_all(files), **others})
            _write_all({**files, LISTING: listing}, staging)
            _keep_strangers(target, staging, made_by=made_by)
            put_in_place(staging, target)
    except OSError as error:
        raise ReportError(_describe_refusal(folder, error)) from error


def read_listing(folder: Path) -> dict[str, dict[str, str]]:
    """Return {command: {name: SHA-256}} of the results in a folder; empty when none are ours."""
    try:
        document = json.loads((folder / LISTING).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(document, dict) or not isinstance(document.get("files"), dict):
        return {}
    listed = document["files"]
    if document.get("format") == _OLDER_FORMAT:
        listed = {"report": listed}
    elif document.get("format") != LISTING_FORMAT:
        return {}
    return {str(command): dict(files) for command, files in listed.items()}


def is_untouched(folder: Path, name: str) -> bool:
    """Return whether a result stands in a folder as it was written, to the last byte."""
    written = [listed[name] for listed in read_listing(folder).values() if name in listed]
    path = folder / name
    return bool(written) and path.is_file() and _digest(path) in written


def _check_name(name: str) -> None:
    """Refuse a name that could leave the folder or that some system could not store."""
    if not _NAME.fullmatch(name) or name == LISTING:
        raise ReportError(
            f"{name!r} is no name for a result file. Letters, digits, '.', '-', '_' and '/' are "
            "allowed, each part beginning with a letter, a digit or '_'. Nothing was written."
        )


def _check_folder(folder: Path, *, force: bool) -> Path:
    """Return the real folder, or say why it cannot be used and what to do."""
    target = Path(os.path.realpath(folder))
    if target.exists() and not target.is_dir():
        raise ReportError(
            f"{folder} is a file, a folder was expected. Name another folder, for example "
            f"--out {folder}-report. Nothing was written."
        )
    here = Path.cwd()
    if target == here or target in here.parents:
        raise ReportError(
            f"{folder} is the folder you are working in, or one around it. Name a folder of its "
            "own for the results, for example --out report. Nothing was written."
        )
    if not force and target.is_dir() and any(target.iterdir()) and not read_listing(target):
        raise ReportError(
            f"{folder} holds files that are not earlier results, and nothing of yours is written "
            "over. Name a new or an empty folder, for example "
            f"--out {folder.name}-report. Nothing was written."
        )
    return target


def _find_others(
    target: Path, files: Mapping[str, bytes], *, made_by: str
) -> dict[str, dict[str, str]]:
    """Return what the list says of other commands' results, without those written over now."""
    others = {
        command: {name: digest for name, digest in listed.items() if name not in files}
        for command, listed in read_listing(target).items()
        if command != made_by
    }
    return {command: listed for command, listed in others.items() if listed}


def _digest_all(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)}


def _render_listing(listed: Mapping[str, Mapping[str, str]]) -> bytes:
    document = {"format": LISTING_FORMAT, "files": listed}
    return (json.dumps(document, indent=1, sort_keys=True) + "\n").encode()


def _write_all(files: Mapping[str, bytes], staging: Path) -> None:
    """Write every file and flush it to the disk."""
    for name, content in files.items():
        path = staging / PurePosixPath(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())


def _keep_strangers(target: Path, staging: Path, *, made_by: str) -> None:
    """Bring along what the maker or another command put there, linked where the disk allows it.

    A result that the maker has changed since counts as the maker's own, unless this run writes
    a file of that name.
    """
    listed = read_listing(target).get(made_by, {})
    for path in _iterate_files(target):
        name = path.relative_to(target).as_posix()
        ours = name == LISTING or (name in listed and _digest(path) == listed[name])
        copy = staging / PurePosixPath(name)
        if ours or copy.exists():
            continue
        copy.parent.mkdir(parents=True, exist_ok=True)
        _link_or_copy(path, copy)


def _link_or_copy(path: Path, copy: Path) -> None:
    try:
        os.link(path, copy, follow_symlinks=False)
    except OSError:
        shutil.copy2(path, copy, follow_symlinks=False)


def _iterate_files(folder: Path) -> Iterator[Path]:
    """Yield every file below a folder, in name order; links are yielded, not followed."""
    if not folder.is_dir():
        return
    for path in sorted(folder.iterdir()):
        if path.is_dir() and not path.is_symlink():
            yield from _iterate_files(path)
        else:
            yield path


def _digest(path: Path) -> str:
    if path.is_symlink():
        return ""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _describe_refusal(folder: Path, error: OSError) -> str:
    """Return what the disk said, in plain words, and what to do."""
    reasons = {
        errno.ENOSPC: ("the disk is full", "Make room, or name a folder on another disk"),
        errno.EFBIG: ("a file would grow beyond what is allowed here", "Ask for a larger limit"),
        errno.EACCES: ("you may not write there", "Name a folder of your own"),
        errno.EPERM: ("you may not write there", "Name a folder of your own"),
        errno.EROFS: ("that disk can only be read", "Name a folder on another disk"),
        errno.ENAMETOOLONG: ("the name is too long", "Name a shorter folder"),
        errno.EAGAIN: ("another run is writing there", "Wait for it, or name another folder"),
        errno.ENOTDIR: ("a part of that path is a file", "Name another folder"),
    }
    what, advice = reasons.get(error.errno or 0, (str(error), "Try another folder"))
    return (
        f"{folder}: the results could not be written: {what}. {advice}, with --out. What stood "
        "there before is unchanged."
    )
