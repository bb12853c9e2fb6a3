"""The same piece exported into two files: kept once, the other rows set aside."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.parts import LogPart, Mask, drop_rows
from outcomes.log.places import list_rows


def set_overlaps_aside(parts: Sequence[LogPart], codebook: Codebook) -> tuple[LogPart, ...]:
    """Set aside rows that an earlier file already holds.

    Notes
    -----
    A file given twice is set aside whole. Otherwise a row counts as the same when its firing
    and piece are written and every column both files have is written alike; a row that
    differs in any of them is kept, for the checks to ask about.
    """
    kept: list[LogPart] = []
    for part in parts:
        kept.append(_without_overlaps(part, kept, codebook))
    return tuple(kept)


def _without_overlaps(part: LogPart, earlier: Sequence[LogPart], codebook: Codebook) -> LogPart:
    for other in earlier:
        twin = other.source
        if (twin.sha256, twin.sheet) == (part.source.sha256, part.source.sheet):
            return _drop_twin(part, twin.name)
    for other in earlier:
        shared = sorted(set(part.columns) & set(other.columns))
        if codebook.firing in shared and codebook.piece in shared:
            part = _drop_shared(part, other, shared, codebook=codebook)
    return part


def _drop_twin(part: LogPart, twin: str) -> LogPart:
    """Set every row of a file aside that was given before."""
    reason = f"the whole file holds the same as {twin}, which was given before it"
    finding = Finding(
        code="file_given_twice",
        severity=Severity.WARNING,
        message=f"{part.source.name} holds the same as {twin}; its {len(part.rows):,} rows are "
        "set aside, so that no piece counts twice.",
        advice="Leave it out, or give the file that was meant.",
        file=part.source.name,
    )
    every = np.ones(len(part.rows), dtype=bool)
    return drop_rows(replace(part, findings=(finding,)), every, lambda _: reason)


def _drop_shared(
    part: LogPart, other: LogPart, shared: Sequence[str], *, codebook: Codebook
) -> LogPart:
    """Set the rows aside that stand alike in the other file."""
    here, there = _keys(part, shared), _keys(other, shared)
    first = dict(zip(reversed(there), reversed(other.rows.tolist()), strict=True))
    named = _is_written(part, codebook.firing) & _is_written(part, codebook.piece)
    mask: Mask = named & np.array([key in first for key in here], dtype=bool)
    if not mask.any():
        return part
    rows = tuple(part.rows[mask].tolist())
    finding = Finding(
        code="overlapping_rows",
        severity=Severity.WARNING,
        message=f"{part.source.name} {list_rows(rows)}: the same pieces stand in "
        f"{other.source.name}, written alike; set aside here, so that no piece counts twice.",
        advice="Nothing, if the files overlap; else give these pieces names of their own.",
        rows=rows,
        file=part.source.name,
    )
    return drop_rows(
        replace(part, findings=(*part.findings, finding)),
        mask,
        lambda at: f"the same piece stands in {other.source.name}, row {first[here[at]]}",
    )


def _keys(part: LogPart, shared: Sequence[str]) -> list[tuple[str, ...]]:
    return list(zip(*(part.columns[name].written.tolist() for name in shared), strict=True))


def _is_written(part: LogPart, name: str) -> Mask:
    mask: Mask = np.array([bool(text.strip()) for text in part.columns[name].written], dtype=bool)
    return mask
