"""One file written whole or not at all."""

import os
import tempfile
from pathlib import Path

from outcomes.errors import RequestError


def write_file(content: bytes, target: Path) -> None:
    """Write a file aside, flush it, and put it in place in one step.

    Raises
    ------
    RequestError
        If the target is a folder or cannot be written; what stood there is unchanged.
    """
    if target.is_dir():
        raise RequestError(f"{target} is a folder; the name of a file was expected.")
    aside = ""
    try:
        with tempfile.NamedTemporaryFile(
            dir=target.parent, prefix=f".{target.name[:40]}-", delete=False
        ) as file:
            aside = file.name
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(aside, 0o644)
        os.replace(aside, target)
    except OSError as error:
        if aside:
            Path(aside).unlink(missing_ok=True)
        raise RequestError(
            f"{target} could not be written ({error.strerror}). Name another file or folder; "
            "nothing there has changed."
        ) from error
