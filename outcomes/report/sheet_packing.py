"""A workbook as bytes that are the same every time."""

import io
import re
import zipfile

from openpyxl import Workbook

# A zip entry can be no older; the two dates inside say the same.
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)
_DATES = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*(</dcterms:)")
_FIXED_DATE = rb"\g<1>1980-01-01T00:00:00Z\g<3>"


def pack_workbook(workbook: Workbook) -> bytes:
    """Return the bytes of an .xlsx file, free of the time it was made.

    Notes
    -----
    The writer stamps the current time on each entry of the zip and into the workbook's
    properties; both are put back to a fixed day.

    References
    ----------
    ECMA-376 part 2 (core properties); .ZIP file format, section 4.4.6 (time of an entry).
    """
    saved = io.BytesIO()
    workbook.save(saved)
    packed = io.BytesIO()
    with zipfile.ZipFile(saved) as old, zipfile.ZipFile(packed, "w") as new:
        for name in old.namelist():
            new.writestr(_build_entry(name), _DATES.sub(_FIXED_DATE, old.read(name)))
    return packed.getvalue()


def _build_entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, date_time=_ZIP_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 0
    entry.external_attr = 0
    return entry
