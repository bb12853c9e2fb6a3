"""Too many lines or cells are counted before text is cut up, which would take the memory first.

Measured: a file of 200 MB with a hundred million short lines took 8 GB to be refused.
"""

from collections.abc import Sequence

from outcomes.errors import LogError
from outcomes.log.file_limits import FileLimits

_NO_PIECES = 1000  # lines above a table, blank lines, lines inside a quoted note


def refuse_many_lines(text: str, name: str, limits: FileLimits) -> None:
    """Refuse a text of more lines than rows are read.

    Raises
    ------
    LogError
        Saying how many there are.
    """
    returns = text.count("\r")
    pairs = text.count("\r\n") if returns else 0
    refuse_many_rows(text.count("\n") + returns - pairs, name, limits)


def refuse_many_lines_unread(data: bytes, name: str, limits: FileLimits) -> None:
    """Refuse bytes of more lines than rows are read, before they become text.

    Bytes with zeros are left to `refuse_many_lines`: in UTF-16 half a letter may look like the
    end of a line.

    Raises
    ------
    LogError
        Saying how many there are.
    """
    if b"\x00" not in data:
        returns = data.count(b"\r")
        pairs = data.count(b"\r\n") if returns else 0
        refuse_many_rows(data.count(b"\n") + returns - pairs, name, limits)


def refuse_many_rows(lines: int, name: str, limits: FileLimits) -> None:
    """Refuse a count of lines that cannot be so many rows.

    Raises
    ------
    LogError
        Saying how many there are.
    """
    if lines > limits.rows + _NO_PIECES:
        raise LogError(
            f"{name} has {lines:,} rows, more than the {limits.rows:,} that are read at once. "
            "Keep one row per piece and leave out what is no piece."
        )


def refuse_wide_lines(
    lines: Sequence[str], name: str, *, delimiter: str, limits: FileLimits
) -> None:
    """Refuse a line that holds more cells than there may be columns, none of them quoted.

    Raises
    ------
    LogError
        Naming the line.
    """
    for number, line in enumerate(lines, start=1):
        if len(line) > limits.columns and '"' not in line:
            cells = line.count(delimiter) + 1
            if cells > limits.columns:
                raise LogError(
                    f"{name} row {number} has {cells:,} cells, more than the {limits.columns:,} "
                    "columns a spreadsheet has. Keep the columns of the codebook only."
                )
