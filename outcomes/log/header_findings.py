"""What there is to say about a log's headers: taken aside, not known, not there."""

from collections.abc import Sequence

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import HeaderMatch
from outcomes.log.headers import ANOTHER_SPELLING, EMPTY, NOT_IN_CODEBOOK
from outcomes.log.layout import letter_of
from outcomes.log.quoting import list_words, quote_text, show_text

MOST_NAMES = 12
_SILENT = (NOT_IN_CODEBOOK, EMPTY)


def check_headers(headers: Sequence[HeaderMatch]) -> tuple[Finding, ...]:
    """Return what there is to say about one file's headers."""
    if not headers:
        return ()
    file = headers[0].file
    unknown = [match.written for match in headers if match.how in _SILENT]
    refused = [
        (place, match)
        for place, match in enumerate(headers)
        if match.column is None and match.how not in _SILENT
    ]
    respelt = [match for match in headers if match.column and match.how == ANOTHER_SPELLING]
    return (
        *_note_unknown(unknown, file),
        *(_warn_refused(place, match) for place, match in refused),
        *_note_respelt(respelt, file),
    )


def check_missing_columns(present: frozenset[str], codebook: Codebook) -> tuple[Finding, ...]:
    """Return which factors of the codebook no file has.

    What it means that a firing or an outcome is missing, the checks say.

    Parameters
    ----------
    present
        Canonical names found in any file.
    codebook
        The codebook.
    """
    names = [item.name for item in codebook.factors if item.name not in present]
    if not names:
        return ()
    what = "is no column" if len(names) == 1 else "are no columns"
    finding = Finding(
        code="column_missing",
        severity=Severity.NOTE,
        message=f"There {what} {_list_names(names)}, which the codebook describes.",
        advice="Nothing, if they are not logged: nothing can be said about them then.",
        column=names[0] if len(names) == 1 else None,
    )
    return (finding,)


def _note_unknown(names: Sequence[str], file: str) -> tuple[Finding, ...]:
    if not names:
        return ()
    count = "1 column is" if len(names) == 1 else f"{len(names):,} columns are"
    finding = Finding(
        code="column_not_in_codebook",
        severity=Severity.NOTE,
        message=f"{show_text(file)}: {count} not in the codebook and kept aside: "
        f"{_list_names(names)}.",
        advice="Nothing, unless one of them is a column of the codebook: then rename it, or give "
        "the codebook its header as an alias.",
        column=names[0] if len(names) == 1 else None,
        file=file,
    )
    return (finding,)


def _warn_refused(place: int, match: HeaderMatch) -> Finding:
    reason = match.how.removeprefix("kept aside: ")
    return Finding(
        code="column_kept_aside",
        severity=Severity.WARNING,
        message=f"{show_text(match.file)}: column {letter_of(place)}, "
        f"{quote_text(match.written)}, is not used: "
        f"{reason}.",
        advice="Give every column of the codebook one header, with a unit the codebook accepts.",
        column=match.written,
        file=match.file,
    )


def _note_respelt(matches: Sequence[HeaderMatch], file: str) -> tuple[Finding, ...]:
    if not matches:
        return ()
    pairs = [f"{quote_text(match.written)} as {match.column}" for match in matches]
    finding = Finding(
        code="header_respelt",
        severity=Severity.NOTE,
        message=f"{show_text(file)}: headers in another spelling were read: "
        f"{list_words(pairs, most=MOST_NAMES)}.",
        advice="If one of them means something else, rename it.",
        file=file,
    )
    return (finding,)


def _list_names(names: Sequence[str]) -> str:
    return list_words([quote_text(name) for name in names], most=MOST_NAMES)
