"""How much a file may hold before it is refused unread."""

from dataclasses import dataclass

MAX_FILE_BYTES = 300_000_000
MAX_UNPACKED_BYTES = 400_000_000
MAX_UNPACKED_RATIO = 100  # measured on workbooks of repeated cells: 10 to 25
RATIO_MATTERS_FROM = 5_000_000  # a small file may compress as well as it likes
MAX_PACKED_PARTS = 10_000
MAX_ROWS = 2_000_000
MAX_COLUMNS = 16_384  # a spreadsheet's own limit
MAX_CELL_CHARACTERS = 4_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class FileLimits:
    """How much a file may hold before it is refused unread."""

    file_bytes: int = MAX_FILE_BYTES
    unpacked_bytes: int = MAX_UNPACKED_BYTES
    unpacked_ratio: int = MAX_UNPACKED_RATIO
    ratio_matters_from: int = RATIO_MATTERS_FROM
    packed_parts: int = MAX_PACKED_PARTS
    rows: int = MAX_ROWS
    columns: int = MAX_COLUMNS
    cell_characters: int = MAX_CELL_CHARACTERS


DEFAULT_LIMITS = FileLimits()
