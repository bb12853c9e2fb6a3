"""Several files' shares -> one `FiringLog`."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from outcomes.finding import Finding
from outcomes.log.cell_findings import check_cells
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog, How, RowAccount
from outcomes.log.header_findings import check_headers, check_missing_columns
from outcomes.log.how_codes import HowCodes, code_of, name_hows
from outcomes.log.overlaps import set_overlaps_aside
from outcomes.log.parts import LogPart
from outcomes.log.text_rows import Texts


def join_parts(parts: Sequence[LogPart], codebook: Codebook) -> FiringLog:
    """Unite the columns and rows of all files.

    Parameters
    ----------
    parts
        At least one, in the order the files were given.
    codebook
        The codebook they were read with.
    """
    parts = set_overlaps_aside(parts, codebook)
    names = _canonical_order(parts, codebook)
    used = sum(len(part.rows) for part in parts)
    aside = tuple(row for part in parts for row in part.aside)
    return FiringLog(
        codebook=codebook,
        files=tuple(part.source for part in parts),
        headers=tuple(match for part in parts for match in part.headers),
        # Not copied: a million pieces would be held twice for a while, a second of work.
        values=pd.DataFrame(
            {name: _join_values(parts, name) for name in names},
            index=pd.RangeIndex(used),
            copy=False,
        ),
        origin=_build_origin(parts),
        written=_build_written(parts, names),
        how=_build_how(parts, names),
        aside=_build_others(parts),
        unusable=_build_unusable(parts),
        account=RowAccount(rows_read=used + len(aside), rows_used=used, set_aside=aside),
        findings=_gather_findings(parts, codebook),
    )


def _canonical_order(parts: Sequence[LogPart], codebook: Codebook) -> list[str]:
    """Order columns as the codebook shows them, whatever order the files have."""
    wanted = [
        *codebook.special_columns(),
        *(factor.name for factor in codebook.factors),
        *(outcome.name for outcome in codebook.outcomes),
    ]
    present = {name for part in parts for name in part.columns}
    return [name for name in dict.fromkeys(wanted) if name in present]


def _join_values(parts: Sequence[LogPart], name: str) -> "pd.Series[Any]":
    """Stack one column; a file without it holds missing values there."""
    kind = next(part.columns[name].values.dtype for part in parts if name in part.columns)
    stacked = [
        part.columns[name].values if name in part.columns else _all_missing(len(part.rows), kind)
        for part in parts
    ]
    return pd.Series(_stack(stacked), dtype=kind, copy=False)


def _all_missing(
    n: int, kind: "np.dtype[np.generic]"
) -> "np.ndarray[tuple[int], np.dtype[np.generic]]":
    if kind.kind == "M":
        return np.full(n, np.datetime64("NaT", "s"), dtype=kind)
    return np.full(n, None if kind.kind == "O" else np.nan, dtype=kind)


def _stack(stacked: Sequence["np.ndarray[tuple[int], Any]"]) -> "np.ndarray[tuple[int], Any]":
    """Put arrays one below the other; one alone is not copied."""
    return stacked[0] if len(stacked) == 1 else np.concatenate(stacked)


def _build_written(parts: Sequence[LogPart], names: Sequence[str]) -> pd.DataFrame:
    """Stack what was written in every column."""
    return _build_texts(parts, {name: _stack_written(parts, name) for name in names})


def _stack_written(parts: Sequence[LogPart], name: str) -> Texts:
    return _stack(
        [
            part.columns[name].written
            if name in part.columns
            else np.full(len(part.rows), "", dtype=object)
            for part in parts
        ]
    )


def _build_how(parts: Sequence[LogPart], names: Sequence[str]) -> pd.DataFrame:
    """Stack how every cell of every column was read."""
    return _build_texts(parts, {name: name_hows(_stack_how(parts, name)) for name in names})


def _stack_how(parts: Sequence[LogPart], name: str) -> HowCodes:
    return _stack(
        [
            part.columns[name].how
            if name in part.columns
            else np.full(len(part.rows), code_of(How.BLANK), dtype=np.int8)
            for part in parts
        ]
    )


def _build_texts(parts: Sequence[LogPart], texts: Mapping[str, Texts]) -> pd.DataFrame:
    used = sum(len(part.rows) for part in parts)
    frame = {name: pd.Series(column, dtype=object, copy=False) for name, column in texts.items()}
    return pd.DataFrame(frame, index=pd.RangeIndex(used), copy=False)


def _build_origin(parts: Sequence[LogPart]) -> pd.DataFrame:
    files = [np.full(len(part.rows), part.source.name, dtype=object) for part in parts]
    return pd.DataFrame(
        {
            "file": pd.Series(_stack(files), dtype=object, copy=False),
            "row": _stack([part.rows for part in parts]),
        }
    )


def _build_others(parts: Sequence[LogPart]) -> pd.DataFrame:
    """Unite the unmatched columns; the same header typed twice in one file is numbered."""
    named = [dict(_number_repeats(part)) for part in parts]
    headers = list(dict.fromkeys(header for part in named for header in part))
    frame = {
        header: _stack(
            [
                columns.get(header, np.full(len(part.rows), "", dtype=object))
                for part, columns in zip(parts, named, strict=True)
            ]
        )
        for header in headers
    }
    used = sum(len(part.rows) for part in parts)
    return pd.DataFrame(frame, index=pd.RangeIndex(used), dtype=object)


def _number_repeats(part: LogPart) -> list[tuple[str, Texts]]:
    times: dict[str, int] = {}
    named: list[tuple[str, Texts]] = []
    for header, texts in part.others:
        times[header] = times.get(header, 0) + 1
        named.append((header if times[header] == 1 else f"{header} ({times[header]})", texts))
    return named


def _build_unusable(parts: Sequence[LogPart]) -> pd.DataFrame:
    """List every cell of the used rows that is written but not usable."""
    entries = []
    for part in parts:
        for column in part.columns.values():
            for at in np.flatnonzero(column.is_read(How.SET_ASIDE)):
                cell = (column.match.written, column.written[at], column.reasons[at])
                entries.append((part.source.name, int(part.rows[at]), *cell))
    columns = ["file", "row", "column", "written", "reason"]
    frame = pd.DataFrame(entries, columns=columns, dtype=object)
    return frame.assign(row=frame["row"].astype("int64"))


def _gather_findings(parts: Sequence[LogPart], codebook: Codebook) -> tuple[Finding, ...]:
    """Gather what the files, headers and cells gave to say; one file need not be named."""
    present = frozenset(name for part in parts for name in part.columns)
    found = [
        *(finding for part in parts for finding in _findings_of(part, codebook)),
        *check_missing_columns(present, codebook),
    ]
    if len(parts) > 1:
        return tuple(found)
    return tuple(replace(finding, file=None) for finding in found)


def _findings_of(part: LogPart, codebook: Codebook) -> tuple[Finding, ...]:
    return (*part.findings, *check_headers(part.headers), *check_cells(part, codebook))
