"""Files -> one `FiringLog`: every row and cell used, or set aside with its reason."""

from collections.abc import Sequence
from pathlib import Path

import pandas as pd

from outcomes.errors import LogError
from outcomes.log.codebook import Codebook
from outcomes.log.delimited import read_delimited
from outcomes.log.file_limits import DEFAULT_LIMITS, FileLimits
from outcomes.log.files import FileBytes, read_file
from outcomes.log.firing_log import FiringLog
from outcomes.log.frames import build_grid
from outcomes.log.joining import join_parts
from outcomes.log.known_headers import known_headers
from outcomes.log.layout import build_table
from outcomes.log.no_pieces import set_no_pieces_aside
from outcomes.log.parquet import read_parquet
from outcomes.log.parts import build_part
from outcomes.log.quoting import show_text
from outcomes.log.spellings import unite_spellings
from outcomes.log.tables import Grid, RawTable


def read_log(
    paths: Sequence[Path], codebook: Codebook, *, limits: FileLimits = DEFAULT_LIMITS
) -> FiringLog:
    """Read several files as one log.

    Parameters
    ----------
    paths
        CSV, TSV, XLSX or Parquet files, at least one; ``log.xlsx#Sheet name`` asks for one
        sheet of a workbook.
    codebook
        Which columns exist and what they mean.
    limits
        What is refused unread.

    Raises
    ------
    LogError
        When a file is no table, or none of its columns is in the codebook. A bad row or cell
        never raises: it is set aside with the reason.
    """
    if not paths:
        raise LogError("No log file was given. Name at least one CSV, XLSX or Parquet file.")
    names = name_files([Path(path) for path in paths])
    tables = [
        read_table(Path(path), codebook, name=name, limits=limits)
        for path, name in zip(paths, names, strict=True)
    ]
    return _join_tables(tables, codebook)


def read_frame(frame: pd.DataFrame, codebook: Codebook) -> FiringLog:
    """Return a DataFrame as a log, read like a file of the same cells.

    Raises
    ------
    LogError
        When it is empty, or none of its columns is in the codebook.
    """
    return _join_tables([build_table(build_grid(frame), codebook)], codebook)


def _join_tables(tables: Sequence[RawTable], codebook: Codebook) -> FiringLog:
    parts = [set_no_pieces_aside(build_part(table, codebook), codebook) for table in tables]
    return unite_spellings(join_parts(parts, codebook))


def name_files(paths: Sequence[Path]) -> tuple[str, ...]:
    """Return what messages call each file: its name, with the folder where names repeat.

    >>> name_files([Path("a/log.csv"), Path("b/log.csv"), Path("c.csv")])
    ('a/log.csv', 'b/log.csv', 'c.csv')
    """
    short = [show_text(path.name) for path in paths]
    named: list[str] = []
    for path, name in zip(paths, short, strict=True):
        longer = name if short.count(name) == 1 else f"{show_text(path.parent.name)}/{name}"
        times = sum(other == longer or other.startswith(f"{longer} (") for other in named)
        named.append(longer if times == 0 else f"{longer} ({times + 1})")
    return tuple(named)


def read_table(
    path: Path, codebook: Codebook, *, name: str = "", limits: FileLimits = DEFAULT_LIMITS
) -> RawTable:
    """Read one file as text with the maker's own row numbers, its header found.

    Raises
    ------
    LogError
        When it is no table, or none of its columns is in the codebook.
    """
    file = read_file(path, name=name, limits=limits)
    return build_table(_read_grid(file, codebook, limits), codebook)


def _read_grid(file: FileBytes, codebook: Codebook, limits: FileLimits) -> Grid:
    if file.kind == "xlsx":
        # Imported here: what reads workbooks takes longer to load than a whole CSV file to read.
        from outcomes.log.workbooks import read_workbook

        return read_workbook(file, codebook, limits=limits)
    if file.kind == "parquet":
        return read_parquet(file, limits=limits)
    return read_delimited(file, known_headers(codebook), limits=limits)
