"""The parts of the check's text: rows, files, columns, findings, outcomes."""

from collections import Counter
from collections.abc import Sequence
from itertools import zip_longest

import numpy as np

from outcomes.finding import Finding, Severity
from outcomes.log.expectations import find_factor, find_outcome, unit_sign
from outcomes.log.firing_log import FiringLog, HeaderMatch, How, SourceFile
from outcomes.log.outcome_account import firings_graded, outcome_account
from outcomes.log.quoting import count_of, list_words, quote_text, show_text
from outcomes.report.plain_lines import align_pairs, wrap_text

# Chosen so that a log of 100 000 bad rows still fits two hundred lines.
MOST_ROWS_SET_ASIDE = 10
MOST_FILES = 5
MOST_COLUMNS = 30
MOST_IN_FULL = 20
MOST_NOTES_IN_FULL = 12
MOST_NAMES = 12
MOST_CELLS_LISTED = 25
# What the sections above the findings show already.
SHOWN_ABOVE = frozenset({"column_not_in_codebook", "units_converted"})
_DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_HEADINGS = {
    Severity.PROBLEM: ("warning to settle first", "warnings to settle first"),
    Severity.WARNING: ("warning", "warnings"),
    Severity.NOTE: ("note", "notes"),
}


def describe_rows(log: FiringLog) -> list[str]:
    """Return the row account: one line, then every row set aside with its reason."""
    account = log.account
    lines = [
        f"{count_of(account.rows_read, 'row')} read: {account.rows_used} used, "
        f"{len(account.set_aside)} set aside"
    ]
    for row in account.set_aside[:MOST_ROWS_SET_ASIDE]:
        holds = f" It holds {quote_text(row.written)}." if row.written else ""
        lines += wrap_text(
            f"{row.file} row {row.row}: {row.reason.rstrip('.')}.{holds}", first="  "
        )
    more = len(account.set_aside) - MOST_ROWS_SET_ASIDE
    if more > 0:
        reasons = Counter(row.reason for row in account.set_aside[MOST_ROWS_SET_ASIDE:])
        told = [
            f"{'once' if n == 1 else f'{n} times'}: {reason.rstrip('.')}"
            for reason, n in reasons.most_common(3)
        ]
        lines += wrap_text(f"and {count_of(more, 'more row')} ({'; '.join(told)})", first="  ")
    return lines


def describe_files(log: FiringLog) -> list[str]:
    """Return how every file was opened."""
    pairs = [(file.name, _opened(file)) for file in log.files[:MOST_FILES]]
    more = len(log.files) - MOST_FILES
    lines = ["Files", *align_pairs(pairs)]
    return [*lines, f"  and {count_of(more, 'more file')}"] if more > 0 else lines


def describe_columns(log: FiringLog) -> list[str]:
    """Return what every header was taken to mean, and which were kept aside."""
    known = list(dict.fromkeys(match.column for match in log.headers if match.column))
    pairs = [(_typed(log, column), _meaning(log, column)) for column in known[:MOST_COLUMNS]]
    lines = ["Columns as typed, and what they were taken to mean", *align_pairs(pairs)]
    if len(known) > MOST_COLUMNS:
        lines.append(f"  and {count_of(len(known) - MOST_COLUMNS, 'more column')}")
    aside = list(dict.fromkeys(match for match in log.headers if match.column is None))
    if aside:
        names = list(dict.fromkeys(_aside(match) for match in aside))
        text = f"Kept beside, no part of the analysis: {list_words(names, most=MOST_NAMES)}."
        lines += wrap_text(text, first="  ", names=[m.written for m in aside[:MOST_NAMES]])
    return lines


def describe_findings(log: FiringLog, findings: Sequence[Finding], *, most_lines: int) -> list[str]:
    """Return the findings by severity: the first in full, then how many of each kind.

    Parameters
    ----------
    log, findings
        What is said of which log.
    most_lines
        Lines after which further findings are counted instead of printed, per severity what
        the graver ones leave.
    """
    lines: list[str] = []
    left = MOST_IN_FULL
    for severity in (Severity.PROBLEM, Severity.WARNING, Severity.NOTE):
        group = [f for f in findings if f.severity is severity and f.code not in SHOWN_ABOVE]
        if group:
            most = MOST_NOTES_IN_FULL if severity is Severity.NOTE else left
            full = _in_full(log, group[:most], most_lines=most_lines - len(lines))
            lines += [*([""] if lines else []), _heading(severity, len(group))]
            lines += [line for finding in full for line in finding]
            lines += _count_kinds(group[len(full) :])
            left = max(0, left - len(group))
    return lines or ["Nothing in the cells or rows asks for a second look."]


def describe_outcomes(log: FiringLog) -> list[str]:
    """Return, per outcome, the pieces graded, the firings they stand for, the pieces left out."""
    piece, firing = log.codebook.piece_word, log.codebook.cluster_word
    lines = []
    for name, graded, left_out in outcome_account(log):
        firings = firings_graded(log, log.codebook.outcome(name))
        told = f"{count_of(graded, piece)} graded in {count_of(firings, firing)}"
        n_left = sum(number for _, number in left_out)
        reasons = ", ".join(f"{number} {reason}" for reason, number in left_out)
        rest = f"{n_left} left out: {reasons}" if n_left else "none left out"
        lines += wrap_text(f"{name}: {told}; {rest}.", first="  ", rest="    ")
    return ["Outcomes", *lines] if lines else ["Outcomes", "  none"]


def _heading(severity: Severity, number: int) -> str:
    """Return how many findings of one severity there are."""
    one, several = _HEADINGS[severity]
    return f"{number} {one if number == 1 else several}"


def _in_full(log: FiringLog, group: Sequence[Finding], *, most_lines: int) -> list[list[str]]:
    """Return the lines of each finding, as many findings as the lines allow."""
    full: list[list[str]] = []
    room = most_lines
    for finding, after in zip_longest(group, group[1:]):
        lines = _one_finding(log, finding)
        if after is None or after.advice != finding.advice:
            lines += _advice(log, finding)
        room -= len(lines)
        if room < 0:
            break
        full.append(lines)
    return full


def _count_kinds(rest: Sequence[Finding]) -> list[str]:
    """Return how many findings of each kind are not printed in full."""
    if not rest:
        return []
    kinds = Counter(finding.code.replace("_", " ") for finding in rest).most_common(12)
    told = ", ".join(f"{n} {kind}" for kind, n in kinds)
    return wrap_text(f"and {len(rest)} more (in full with --json): {told}.", first="  ")


def _one_finding(log: FiringLog, finding: Finding) -> list[str]:
    """Return one finding: the sentence, and the rows it could not name."""
    names = [match.written for match in log.headers if match.column]
    lines = wrap_text(_sentence(log, finding.message), first="  - ", names=names)
    if len(finding.rows) > 5 and finding.severity is not Severity.NOTE:
        rows = list_words(_cells(log, finding), most=MOST_CELLS_LISTED, total=len(finding.rows))
        lines += wrap_text(f"Rows {rows}.", first="    ", names=names)
    return lines


def _sentence(log: FiringLog, message: str) -> str:
    """Return a message without the file's name where there is one file only."""
    name = show_text(log.files[0].name) if len(log.files) == 1 else ""
    for opening, instead in ((f"{name}, column ", "Column "), (f"{name} row", "Row")):
        if name and message.startswith(opening):
            return instead + message.removeprefix(opening)
    rest = message.removeprefix(f"{name}: ")
    return rest[:1].upper() + rest[1:] if name and rest != message else message


def _advice(log: FiringLog, finding: Finding) -> list[str]:
    """Return what to do; no line for a note that asks for nothing."""
    if finding.severity is Severity.NOTE and finding.advice.startswith("Nothing"):
        return []
    names = [match.written for match in log.headers if match.column]
    return wrap_text(finding.advice, first="    -> ", names=names)


def _cells(log: FiringLog, finding: Finding) -> list[str]:
    """Return the finding's first rows, each with the text of its cell where there is one."""
    rows = finding.rows[:MOST_CELLS_LISTED]
    texts = _texts(log, finding, rows)
    return [f"{row} {quote_text(texts[row])}" if row in texts else str(row) for row in rows]


def _texts(log: FiringLog, finding: Finding, rows: Sequence[int]) -> dict[int, str]:
    """Return what was written in the finding's column in these rows."""
    files = [finding.file] if finding.file else [file.name for file in log.files]
    columns = {m.column for m in log.headers if m.column and m.written == finding.column}
    if len(files) != 1 or not columns:
        return {}
    numbers = log.origin["row"].to_numpy()
    at = np.flatnonzero(np.isin(numbers, rows))
    at = at[log.origin["file"].to_numpy(dtype=object)[at] == files[0]]
    texts = log.written[sorted(columns)[0]].to_numpy(dtype=object)[at]
    cells = zip(numbers[at], texts, strict=True)
    return {int(row): str(text) for row, text in cells if str(text).strip()}


def _opened(file: SourceFile) -> str:
    """Return how one file was opened."""
    parts = [file.kind.upper()]
    if file.sheet:
        parts.append(f"sheet {quote_text(file.sheet)}")
    if file.encoding:
        parts.append(f"encoding {file.encoding}")
    if file.delimiter:
        parts.append(f"separated by {_DELIMITERS.get(file.delimiter, repr(file.delimiter))}")
    if file.decimal == ",":
        parts.append("decimal comma")
    return ", ".join([*parts, f"header in row {file.header_row}"])


def _typed(log: FiringLog, column: str) -> str:
    """Return a column's header as typed; several where the files differ."""
    return " / ".join(dict.fromkeys(m.written for m in log.headers if m.column == column))


def _meaning(log: FiringLog, column: str) -> str:
    """Return what a column was taken to mean, its unit, and how many cells needed reading."""
    factor, outcome = find_factor(log, column), find_outcome(log, column)
    item = factor or outcome
    label = item.label if item else _special(log, column)
    units = {m.unit for m in log.headers if m.column == column} - {""}
    base = factor.unit if factor else ""
    written = "/".join(unit_sign(unit) for unit in sorted(units))
    unit = f", {unit_sign(base)}" if unit_sign(base) else ""
    if written and units != {base}:
        unit = f", written in {written}, kept in {unit_sign(base)}"
    spelled = {m.how for m in log.headers if m.column == column} - {"same name"}
    how = f" ({', '.join(sorted(spelled))})" if spelled else ""
    return f"{label}{unit}{how}{_readings(log, column)}"


def _readings(log: FiringLog, column: str) -> str:
    """Return how many cells of a column were not plain values."""
    counts = log.how[column].value_counts().to_dict() if column in log.how else {}
    told = [f"{counts[how]} {how}" for how in How if how is not How.EXACT and how in counts]
    return f": {', '.join(told)}" if told else ""


def _special(log: FiringLog, column: str) -> str:
    """Return what a column that is neither factor nor outcome is for."""
    codebook = log.codebook
    return {
        codebook.firing: f"which {codebook.cluster_word}",
        codebook.date: "the date",
        codebook.piece: f"which {codebook.piece_word}",
        codebook.loaded: f"{codebook.piece_word}s loaded",
        codebook.notes: "notes",
    }.get(column, column)


def _aside(match: HeaderMatch) -> str:
    """Return a header kept beside, with the reason where it is not simply unknown."""
    name = quote_text(match.written)
    return name if match.how == "not in the codebook" else f"{name} ({show_text(match.how)})"
