"""Invented logs on disk, for the tests of reading."""

import random
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log

HEADERS = (
    *("firing_id", "fired_on", "piece_id", "glaze", "maker", "pull_temp_f", "seconds_to_can"),
    *("combustible_g", "lid_delay_s", "air_temp_c", "luster", "cracked", "notes"),
)
ReadBytes = Callable[..., FiringLog]


def plain_rows(firings: int = 4, pieces: int = 5) -> list[dict[str, str]]:
    """Rows without any trap, always the same."""
    draw = random.Random(3)
    return [
        {
            "firing_id": f"V{firing}",
            "fired_on": f"2025-05-{firing + 12}",
            "piece_id": f"V{firing}.{piece}",
            "glaze": draw.choice(["Tarn Lantern", "Moth Ledger"]),
            "maker": draw.choice(["Gwen", "Odd"]),
            "pull_temp_f": str(draw.randint(1770, 1880)),
            "seconds_to_can": str(draw.randint(4, 30)),
            "combustible_g": str(draw.randint(80, 300)),
            "lid_delay_s": str(draw.randint(0, 15)),
            "air_temp_c": f"{draw.uniform(2, 20):.1f}",
            "luster": str(draw.randint(0, 4)),
            "cracked": draw.choice(["no", "no", "yes"]),
            "notes": "",
        }
        for firing in range(1, firings + 1)
        for piece in range(1, pieces + 1)
    ]


def text_of(
    rows: Sequence[Mapping[str, str]],
    edits: Mapping[tuple[int, str], str] | None = None,
    *,
    delimiter: str = ",",
    headers: Mapping[str, str] | None = None,
) -> str:
    """Delimited text as typed by hand: nothing is quoted; row 2 is the first piece."""
    edits, headers = edits or {}, headers or {}
    lines = [delimiter.join(headers.get(name, name) for name in HEADERS)]
    lines += [
        delimiter.join(edits.get((number, name), row[name]) for name in HEADERS)
        for number, row in enumerate(rows, start=2)
    ]
    return "\n".join(lines) + "\n"


def write_sheet(path: Path, change: Callable[[Worksheet], None] | None = None) -> Path:
    """A workbook with the plain rows, numbers as numbers; ``change`` sets its traps."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.append(list(HEADERS))
    for row in plain_rows():
        sheet.append([_number_or_text(row[name]) for name in HEADERS])
    if change is not None:
        change(sheet)
    book.save(path)
    return path


def _number_or_text(text: str) -> float | str | None:
    try:
        return float(text)
    except ValueError:
        return text or None


@pytest.fixture
def plain() -> list[dict[str, str]]:
    """Twenty rows without any trap: four firings of five pieces."""
    return plain_rows()


@pytest.fixture
def read(tmp_path: Path, codebook: Codebook) -> ReadBytes:
    """A function that writes text or bytes to a file and reads it as a log."""

    def read_it(content: str | bytes, name: str = "log.csv") -> FiringLog:
        data = content.encode("utf-8") if isinstance(content, str) else content
        path = tmp_path / name
        path.write_bytes(data)
        return read_log([path], codebook)

    return read_it


@pytest.fixture
def read_sheet(tmp_path: Path, codebook: Codebook) -> ReadBytes:
    """A function that writes the plain rows to a workbook, changes it, and reads it."""

    def read_it(change: Callable[[Worksheet], None] | None = None, sheet: str = "") -> FiringLog:
        path = write_sheet(tmp_path / "log.xlsx", change)
        return read_log([Path(f"{path}#{sheet}") if sheet else path], codebook)

    return read_it


@pytest.fixture
def type_text() -> Callable[..., str]:
    """See `text_of`."""
    return text_of
