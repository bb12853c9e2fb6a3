"""Rules about free text: a defect told in the notes that its own column does not know."""

import re

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Direction, Outcome
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import (
    MOST_CELLS,
    Positions,
    about_rows,
    has_column,
    header_of,
    positions_of,
    rows_at,
)
from outcomes.log.quoting import list_words, quote_text

# Words makers use (trade vocabulary: common practice, no source). "Crackle" is a glaze effect and
# never a defect. Each family serves the yes/no outcome whose name holds one of its words.
_FAMILIES = (
    r"crack(?:s|ed|ing)?|broke(?:n)?|breakage|shatter(?:ed|s)?|shiver(?:ed|s|ing)?|split|"
    r"dunt(?:s|ed|ing)?|explode[ds]?|blew up|fell apart|snapped|in (?:two|half|pieces)",
    r"blister(?:s|ed|ing|y)?|bubbl(?:es|ed|ing|y)",
    r"pin-?hol(?:e|es|ed|ing)",
    r"flak(?:e|es|ed|ing|y)|peel(?:s|ed|ing)?|chip(?:s|ped|ping)?",
)
# "no cracks", "not a single crack", "didn't crack", "free of cracks", "nearly cracked"
_DENIAL = re.compile(
    r"\b(?:no|not|non|none|never|without|zero|0|nothing|free of|free from|avoided|nearly|almost|"
    r"un)\b|n['\u2019]t\b"
)
# "crack free", "cracks: none", "cracked? no"
_DENIED_AFTER = re.compile(r"\W*(?:free\b|-?less\b|[:=?-]\W*(?:no|none|nil|0)\b)")
_CLAUSE = re.compile(r"[.;!,\n]|\bbut\b|\bthen\b")
WORDS_BEFORE = 4  # a denial reaches this many words ahead


def check_notes(log: FiringLog) -> tuple[Finding, ...]:
    """Name pieces whose notes tell of a defect while its column says no, or nothing."""
    if not has_column(log, log.codebook.notes):
        return ()
    found: list[Finding] = []
    for outcome in log.codebook.outcomes:
        pattern = defect_pattern(outcome)
        if pattern is not None and has_column(log, outcome.name):
            notes = log.values[log.codebook.notes]
            lost = log.values[outcome.name] == len(outcome.levels) - 1
            hints = notes.map(
                {note: tells_defect(note, pattern) for note in notes.dropna().unique()}
            )
            found += _hints(log, outcome, positions_of(hints.eq(True) & ~lost))
    return tuple(found)


def defect_pattern(outcome: Outcome) -> re.Pattern[str] | None:
    """Return the words that tell of a yes/no defect, None for any other outcome."""
    if len(outcome.levels) != 2 or outcome.wanted is not Direction.LOWER:
        return None
    name = f"{outcome.name} {outcome.label}".replace("_", " ").casefold()
    for family in _FAMILIES:
        pattern = re.compile(rf"\b(?:{family})\b")
        if pattern.search(name):
            return pattern
    return None


def tells_defect(note: str, pattern: re.Pattern[str]) -> bool:
    r"""Whether a note tells of a defect and does not deny it.

    >>> crack = re.compile(r"\bcrack(?:s|ed)?\b")
    >>> tells_defect("hairline crack at foot", crack), tells_defect("no cracks", crack)
    (True, False)
    """
    return any(
        _is_told(clause, match)
        for clause in _CLAUSE.split(note.casefold())
        for match in pattern.finditer(clause)
    )


def _is_told(clause: str, match: re.Match[str]) -> bool:
    """Whether one mention within one clause is not denied before or after it."""
    before = " ".join(clause[: match.start()].split()[-WORDS_BEFORE:])
    return not _DENIAL.search(before) and not _DENIED_AFTER.match(clause[match.end() :])


def _hints(log: FiringLog, outcome: Outcome, positions: Positions) -> tuple[Finding, ...]:
    """Word the notes that tell of a defect."""

    def words(here: Positions) -> tuple[str, str]:
        told = [_told(log, outcome, int(at)) for at in here[:MOST_CELLS]]
        verb = "tell" if len(here) > 1 else "tells"
        lost = quote_text(outcome.levels[-1].name)
        return (
            f"{len(here)} {'notes' if len(here) > 1 else 'note'} {verb} of a defect that "
            f"{header_of(log, outcome.name)} does not: {list_words(told, total=len(here))}.",
            f"Write {lost} where it is meant; the column was left as it is.",
        )

    return about_rows(
        log,
        positions,
        column=log.codebook.notes,
        code="notes_hint_missed_defect",
        severity=Severity.WARNING,
        words=words,
    )


def _told(log: FiringLog, outcome: Outcome, at: int) -> str:
    """Name one note and what the defect's column holds beside it."""
    held = str(log.written[outcome.name].iloc[at]).strip()
    beside = f"beside {quote_text(held)}" if held else "beside a blank"
    note = quote_text(str(log.values[log.codebook.notes].iloc[at]))
    return f"row {rows_at(log, [at])[0]} {note} {beside}"
