"""A workbook as bytes that are the same every time."""

import gc
import io
import re
import sys
import tempfile
import traceback
import zipfile
from typing import Any

from openpyxl import Workbook

from outcomes.errors import ReportError
from outcomes.stopping import Stopped

# A zip entry can be no older; the two dates inside say the same.
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)
_DATES = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:)")
_FIXED_DATE = rb"\g<1>1980-01-01T00:00:00Z\g<3>"


def pack_workbook(workbook: Workbook) -> bytes:
    """Return the bytes of an .xlsx file, free of the time it was made.

    Raises
    ------
    ReportError
        When the folder for temporary files takes no more.

    Notes
    -----
    The writer stamps the current time on each entry of the zip and into the workbook's
    properties; both are put back to a fixed day.

    References
    ----------
    ECMA-376 part 2 (core properties); .ZIP file format, section 4.4.6 (time of an entry).
    """
    saved = io.BytesIO()
    try:
        workbook.save(saved)
    except OSError as error:  # its sheets are put together in the folder for temporary files
        _leave_half_made_sheets(error)
        raise ReportError(
            f"{tempfile.gettempdir()}: the workbook could not be written ({error.strerror}). It is "
            "put together in that folder first: make room there, or name another one in TMPDIR."
        ) from error
    packed = io.BytesIO()
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(packed, "w") as new:
        for name in old.namelist():
            new.writestr(_build_entry(name), _DATES.sub(_FIXED_DATE, old.read(name)))
    return packed.getvalue()


def _leave_half_made_sheets(error: OSError) -> None:
    """Let go of the writer's unfinished sheets here: left alone they complain at the very end."""
    usual = sys.unraisablehook

    def hear(complaint: Any) -> None:
        if isinstance(complaint.exc_value, Stopped):
            usual(complaint)

    sys.unraisablehook = hear
    try:
        traceback.clear_frames(error.__traceback__)
        gc.collect()
    finally:
        sys.unraisablehook = usual


def _build_entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, date_time=_ZIP_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 0
    entry.external_attr = 0
    return entry
