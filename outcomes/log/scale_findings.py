"""The questions a log's temperatures and dates raise, each with the one line that answers it."""

import numpy as np
from numpy.typing import NDArray

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Factor
from outcomes.log.columns import ColumnRead
from outcomes.log.dates import ORDER_UNKNOWN
from outcomes.log.parts import LogPart
from outcomes.log.places import list_rows
from outcomes.log.quoting import list_words, quote_text, show_text
from outcomes.log.scales import (
    OTHER_SCALE,
    SCALE_WORD,
    find_inferred,
    find_thermal_factor,
    find_unstated,
    is_doubted,
    other_scale_reason,
    stated_scale,
)

Positions = NDArray[np.int64]
_PROBLEMS = frozenset({"scale_question", "scale_doubted", "two_scales"})


def check_scales(part: LogPart, codebook: Codebook) -> tuple[Finding, ...]:
    """Ask about every temperature whose scale is in doubt."""
    found: list[Finding] = []
    for column in part.columns.values():
        factor = find_thermal_factor(column, codebook)
        if factor is not None:
            found += _ask_unstated(part, column, factor)
            found += _say_inferred(part, column, factor)
            found += _name_clumps(part, column, factor)
    return tuple(found)


def check_date_order(part: LogPart, codebook: Codebook) -> tuple[Finding, ...]:
    """Ask whether days or months come first, where the column itself does not show it."""
    column = part.columns.get(codebook.date)
    if column is None:
        return ()
    at = column.find_reason(ORDER_UNKNOWN)
    if len(at) == 0:
        return ()
    finding = _finding(
        part,
        column,
        at,
        code="date_order_question",
        what=f"{describe_cells(part, column, at)} may be day/month or month/day; no date of the "
        "column shows which",
        advice='Add one line to the codebook: date_order = "day first" (or "month first"); or '
        "write the month as a word.",
    )
    return (finding,)


def describe_cells(part: LogPart, column: ColumnRead, at: Positions) -> str:
    """Return how many cells, what the first distinct ones hold, and in which rows.

    For instance "3 cells ('980' and '1015'; rows 4, 9 and 12)".
    """
    texts = list(dict.fromkeys(column.written[at].tolist()))
    quoted = list_words([quote_text(text) for text in texts], most=5)
    count = "1 cell" if len(at) == 1 else f"{len(at):,} cells"
    return f"{count} ({quoted}; {list_rows(part.rows[at].tolist())})"


def _ask_unstated(part: LogPart, column: ColumnRead, factor: Factor) -> list[Finding]:
    at = find_unstated(column)
    if len(at) == 0:
        return []
    stem = factor.name.removesuffix(f"_{factor.unit.lower()}")
    return [
        _finding(
            part,
            column,
            at,
            code="scale_question",
            what=f"{describe_cells(part, column, at)} could be °C or °F; neither the header nor "
            "the cell says which, so they are not used until you do",
            advice=f"Rename the header to {stem}_f or {stem}_c. Or add one line to the codebook, "
            f'under [factors.{factor.name}]: unstated_unit = "F" (or "C").',
        )
    ]


def _say_inferred(part: LogPart, column: ColumnRead, factor: Factor) -> list[Finding]:
    at = find_inferred(column, factor)
    if len(at) == 0:
        return []
    return [
        _finding(
            part,
            column,
            at,
            code="scale_inferred",
            what=f"{describe_cells(part, column, at)} have no unit and were read as °F, because "
            "no piece is above 1200 °C",
            advice="Write the unit into the header, so that nothing has to be inferred.",
        )
    ]


def _name_clumps(part: LogPart, column: ColumnRead, factor: Factor) -> list[Finding]:
    stated = stated_scale(column, factor)
    if stated not in OTHER_SCALE:
        return []
    word, other = SCALE_WORD[stated], SCALE_WORD[OTHER_SCALE[stated]]
    at = column.find_reason(other_scale_reason(stated))
    if len(at):
        return [
            _finding(
                part,
                column,
                at,
                code="two_scales",
                what=f"the column states {word}, but {describe_cells(part, column, at)} fit the "
                f"other values only as {other}; they are not used until you say",
                advice=f"Write the unit into these cells, such as "
                f"{quote_text(f'{column.written[at[0]].strip()} {OTHER_SCALE[stated]}')}; if they "
                f"are {word}, write that.",
            )
        ]
    if not is_doubted(column, factor):
        return []
    at = np.flatnonzero(np.isfinite(column.values.astype(np.float64)))
    return [
        _finding(
            part,
            column,
            at,
            code="scale_doubted",
            what=f"the column states {word}, and all its values ({describe_cells(part, column, at)}"
            f") are unusual in {word} and usual in {other}; they were read as {word}",
            advice=f"If they are {other}, rename the header; if not, widen plausible under "
            f"[factors.{factor.name}] in the codebook.",
        )
    ]


def _finding(
    part: LogPart, column: ColumnRead, at: Positions, *, code: str, what: str, advice: str
) -> Finding:
    header = column.match.written
    return Finding(
        code=code,
        severity=Severity.PROBLEM if code in _PROBLEMS else Severity.WARNING,
        message=f"{show_text(part.source.name)}, column {show_text(header)}: {what}.",
        advice=advice,
        column=header,
        rows=tuple(part.rows[at].tolist()),
        file=part.source.name,
    )
