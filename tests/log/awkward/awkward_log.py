"""A clean invented log as text, and ways to spoil it.

Row numbers count the header as row 1, as a spreadsheet shows them.
"""

import csv
import datetime as dt
import io
import random
from collections.abc import Mapping, Sequence

HEADERS = (
    *("firing_id", "fired_on", "piece_id", "glaze", "maker", "pull_temp_f", "seconds_to_can"),
    *("combustible_g", "lid_delay_s", "time_in_can_min", "glaze_thickness_mm"),
    *("wall_thickness_mm", "air_temp_c", "humidity_pct", "luster", "crackle_density"),
    *("color_shift", "cracked", "notes"),
)
NUMBERS = frozenset(HEADERS[5:17])
N_ROWS = 48
LAST = N_ROWS + 1  # the last piece's row

Rows = list[dict[str, str]]
Edits = Mapping[tuple[int, str], str]


def clean_rows(firings: int = 8, pieces: int = 6) -> Rows:
    """Rows without a trap, always the same; row 2 of the file is the first."""
    draw = random.Random(23)
    rows = []
    for firing in range(1, firings + 1):
        air, damp = f"{draw.uniform(2, 24):.1f}", str(draw.randint(30, 85))
        day = dt.date(2025, 3, 1) + dt.timedelta(days=7 * firing)
        rows += [
            _piece(draw, firing, piece, day=day, air=air, damp=damp) for piece in range(pieces)
        ]
    return rows


def _piece(
    draw: random.Random, firing: int, piece: int, *, day: dt.date, air: str, damp: str
) -> dict[str, str]:
    return {
        "firing_id": f"V{firing}",
        "fired_on": day.isoformat(),
        "piece_id": f"V{firing}.{piece + 1}",
        "glaze": ("Tarn Lantern", "Moth Ledger", "Brackwater Nine")[draw.randrange(3)],
        "maker": ("Gwen", "Odd", "Iris")[draw.randrange(3)],
        "pull_temp_f": str(draw.randint(1771, 1879)),
        "seconds_to_can": str(draw.randint(4, 39)),
        "combustible_g": str(draw.randint(81, 380)),
        "lid_delay_s": str(draw.randint(0, 15)),
        "time_in_can_min": str(draw.randint(11, 39)),
        "glaze_thickness_mm": f"{draw.uniform(0.5, 1.4):.2f}",
        "wall_thickness_mm": f"{draw.uniform(4.5, 9):.1f}",
        "air_temp_c": air,
        "humidity_pct": damp,
        "luster": str(draw.randint(0, 4)),
        "crackle_density": str(draw.randint(0, 4)),
        "color_shift": str(draw.randint(0, 4)),
        "cracked": draw.choice(["no", "no", "no", "yes"]),
        "notes": "",
    }


def edited(edits: Edits, rows: Rows | None = None) -> Rows:
    """The clean rows with some cells replaced: (row in the file, header) -> text."""
    rows = clean_rows() if rows is None else rows
    changed = [dict(row) for row in rows]
    for (row, header), text in edits.items():
        changed[row - 2][header] = text
    return changed


def column(header: str, texts: Sequence[str]) -> dict[tuple[int, str], str]:
    """Edits that put texts into one column, from row 2 down."""
    return {(row, header): text for row, text in enumerate(texts, start=2)}


def csv_text(
    rows: Rows | None = None,
    *,
    delimiter: str = ",",
    headers: Sequence[str] = HEADERS,
    names: Mapping[str, str] | None = None,
    end: str = "\n",
) -> str:
    """Delimited text, quoted where it must be; ``names`` renames headers."""
    rows = clean_rows() if rows is None else rows
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator=end)
    writer.writerow([(names or {}).get(header, header) for header in headers])
    writer.writerows([[row[header] for header in headers] for row in rows])
    return text.getvalue()


def csv_lines(rows: Rows | None = None) -> list[str]:
    """The lines of the clean file, ends dropped: line 0 is the header."""
    return csv_text(rows).splitlines()


def join_lines(lines: Sequence[str]) -> str:
    return "\n".join(lines) + "\n"
