"""Sheets that people fill in are never written over."""

from collections.abc import Mapping
from pathlib import Path

from outcomes.errors import ReportError
from outcomes.report.writing import is_untouched


def refuse_filled(
    blank: Mapping[str, bytes], folder: Path, *, what: str, option: str, redraw: bool = False
) -> None:
    """Refuse to write blank sheets over files that somebody may have filled in.

    Parameters
    ----------
    blank
        The blank sheets about to be written, by file name.
    folder
        Where they are to go.
    what
        What they are, for the message: "the blank log".
    option
        The option that names the folder.
    redraw
        Whether another sheet of ours may be written over too, as long as nobody has touched it
        since; not where it may have been printed and filled in by hand.

    Raises
    ------
    ReportError
        When a file of such a name is there and is not the same, to the last byte.
    """
    for name, content in blank.items():
        path = folder / name
        if redraw and is_untouched(folder, name):
            continue
        if path.exists() and not (path.is_file() and path.read_bytes() == content):
            raise ReportError(
                f"{path}: found a file of that name that is not {what}. Expected none, as what "
                f"somebody has filled in is never written over. Name another folder with {option}, "
                "or rename that file. Nothing was written."
            )
