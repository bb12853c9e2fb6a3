"""The key of a blind list: which piece each code stands for."""

import csv
import io
from pathlib import Path

from outcomes.errors import LogError
from outcomes.graders.reading import Key
from outcomes.graders.regrade import RegradeList
from outcomes.log.encodings import decode_text
from outcomes.log.files import read_file
from outcomes.log.formula_guard import neutralise_cell, strip_guard
from outcomes.log.words import word_key

COLUMNS = ("code", "piece_id", "firing_id", "file", "row")


def render_key(regrades: RegradeList) -> str:
    """Return the key as CSV, one line a code, in the order of the list."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    for piece in regrades.pieces:
        cells = (piece.code, piece.piece, piece.firing or "", piece.file, str(piece.row))
        writer.writerow([neutralise_cell(cell) for cell in cells])
    return text.getvalue()


def read_key(path: Path) -> Key:
    """Return ``{word_key(code): (piece, firing or None)}`` from a key file.

    Raises
    ------
    LogError
        When it is no such file, or a code stands for two pieces.
    """
    file = read_file(path)
    text = decode_text(file.data, file.name).text if file.kind == "csv" else ""
    reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff")))
    if not {"code", "piece_id"} <= set(reader.fieldnames or ()):
        raise LogError(
            f"{file.name} is no key of a blind list: expected a CSV file with the columns 'code' "
            "and 'piece_id', as --regrade writes it. Give that file with --key."
        )
    key: dict[str, tuple[str, str | None]] = {}
    for number, row in enumerate(reader, start=2):
        code, told = word_key(row["code"] or ""), _piece_of(row)
        if code and key.setdefault(code, told) != told:
            raise LogError(
                f"{file.name} row {number}: the code {row['code']!r} stands for a second piece, "
                f"{told[0]!r}; expected one. Use the key as --regrade wrote it."
            )
    return key


def _piece_of(row: dict[str, str | None]) -> tuple[str, str | None]:
    piece, firing = (strip_guard(row.get(name) or "") for name in ("piece_id", "firing_id"))
    return piece, firing or None
