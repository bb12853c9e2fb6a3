"""Files of gradings -> one `Gradings`: every row used, or set aside with its reason."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.graders.columns import with_grading_columns
from outcomes.graders.entries import (
    DAY_FIRED,
    build_entries,
    is_grading_date,
    reason_against,
    unusable_dates,
)
from outcomes.graders.gradings import Gradings
from outcomes.graders.pieces import name_pieces, reason_repeated, translate_codes
from outcomes.graders.views import View, build_views
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog, RowAccount, RowSetAside, SourceFile
from outcomes.log.places import has_column
from outcomes.log.quoting import list_words, quote_text
from outcomes.log.reading import name_files, read_table

Key = Mapping[str, tuple[str, str | None]]
_THREE_WAYS = (
    "Expected one of: a column 'grader' that names who graded; one column a grader, such as "
    "'luster_A' and 'luster_B'; or several files of the same pieces, one a grader."
)


def read_gradings(
    paths: Sequence[Path],
    codebook: Codebook,
    *,
    key: Key | None = None,
    may_be_single: bool = False,
) -> Gradings:
    """Read several gradings of the same pieces.

    Parameters
    ----------
    paths
        Any files that are read as logs.
    codebook
        Its outcomes are compared; columns for grader, day of grading and blind are added.
    key
        Codes of a blind list: ``{word_key(code): (piece, firing or None)}``.
    may_be_single
        True to read a single grading, for a list to grade again.

    Raises
    ------
    LogError
        When a file is no table, names no pieces, or only one grading is found.
    """
    own = with_grading_columns(codebook)
    names = name_files([Path(path) for path in paths])
    tables = [
        read_table(Path(path), own, name=name) for path, name in zip(paths, names, strict=True)
    ]
    views = [build_views(table, own) for table in tables]
    _refuse_twins([found[0].log.files[0] for found in views])
    for found in views:
        _refuse_nameless(found, codebook)
    every = [view for found in views for view in found]
    entries = _choose_firings(
        pd.concat([build_entries(view, codebook) for view in every], ignore_index=True)
    )
    entries = translate_codes(entries, key) if key else entries
    named, lost = name_pieces(_in_order(entries))
    outcomes = [outcome.name for outcome in codebook.outcomes]
    reasons = lost.where(lost != "", reason_against(named, outcomes))
    repeated = reason_repeated(named[reasons == ""], outcomes)
    reasons = reasons.mask(reasons == "", repeated.reindex(reasons.index, fill_value=""))
    kept = named[reasons == ""]
    _refuse_empty(kept, every)
    if not may_be_single:
        _refuse_single(kept, every)
    return Gradings(
        codebook=codebook,
        files=tuple(found[0].log.files[0] for found in views),
        entries=kept.reset_index(drop=True),
        unusable=_gather_unusable(every),
        account=_count_rows(views, named.assign(reason=reasons)),
        findings=tuple(dict.fromkeys(f for view in every for f in _findings_of(view))),
        how=tuple(found[0].how for found in views),
    )


def _choose_firings(entries: pd.DataFrame) -> pd.DataFrame:
    """Return the entries whose firing is the firing's name, or its day where nobody names one."""
    if entries["firing"].notna().any():
        return entries.drop(columns=DAY_FIRED)
    return entries.assign(firing=entries[DAY_FIRED]).drop(columns=DAY_FIRED)


def _in_order(entries: pd.DataFrame) -> pd.DataFrame:
    """Return the entries by the day of grading, those without one last, else as given."""
    when = entries["graded_on"].fillna(pd.Timestamp.max.floor("s"))
    return entries.loc[when.sort_values(kind="stable").index].reset_index(drop=True)


def _count_rows(views: Sequence[Sequence[View]], told: pd.DataFrame) -> RowAccount:
    """Return every row of every file: used in a grading, or set aside with its reason."""
    aside: list[RowSetAside] = []
    used = 0
    for found in views:
        log = found[0].log
        aside += log.account.set_aside
        here = told[told["file"] == log.files[0].name]
        for row, reasons in here.groupby("row")["reason"]:
            if (reasons == "").any():
                used += 1
            else:
                aside.append(
                    RowSetAside(file=log.files[0].name, row=int(str(row)), reason=reasons.iloc[0])
                )
    return RowAccount(rows_read=used + len(aside), rows_used=used, set_aside=tuple(aside))


def _gather_unusable(views: Sequence[View]) -> pd.DataFrame:
    """Return the cells that cannot be used, each once however many gradings share its row."""
    relevant = [
        frame[frame["column"].isin(_headers_used(view))]
        for view in views
        for frame in (view.log.unusable, unusable_dates(view))
        if len(frame)
    ]
    columns = ["file", "row", "column", "written", "reason"]
    if not relevant:
        return pd.DataFrame(columns=columns)
    return pd.concat(relevant, ignore_index=True).drop_duplicates(ignore_index=True)[columns]


def _headers_used(view: View) -> set[str]:
    """Return the headers that a comparison of gradings looks at."""
    book = view.log.codebook
    used = {"grader", "graded_on", "blind", book.piece, book.firing, book.date}
    used |= {outcome.name for outcome in book.outcomes}
    return {match.written for match in view.log.headers if match.column in used}


def _findings_of(view: View) -> tuple[Finding, ...]:
    """Return what reading found of the columns looked at, and what the date was taken for."""
    used = _headers_used(view)
    told = [f for f in view.log.findings if f.column is None or f.column in used]
    told = [f for f in told if f.code not in _NOT_HERE]
    if is_grading_date(view.log):
        name = view.log.files[0].name
        told.append(
            Finding(
                code="date_is_day_of_grading",
                severity=Severity.NOTE,
                message=f"{name}: one piece stands under several dates, so the column of dates "
                "was read as the day of grading.",
                advice="Call it 'graded_on' to be sure, and the day of firing 'fired_on'.",
                file=name,
            )
        )
    return tuple(told)


# What a log needs to be learnt from, a table of grades does not.
_NOT_HERE = frozenset({"column_missing", "column_not_in_codebook", "units_converted"})


def _refuse_twins(files: Sequence[SourceFile]) -> None:
    seen: dict[tuple[str, str], str] = {}
    for file in files:
        twin = seen.setdefault((file.sha256, file.sheet), file.name)
        if twin != file.name:
            raise LogError(
                f"{file.name} holds the same as {twin}: found one grading given twice, expected "
                "another person's or another day's. Give the file that was meant."
            )


def _refuse_nameless(found: Sequence[View], codebook: Codebook) -> None:
    log = found[0].log
    name = log.files[0].name
    if not has_column(log, codebook.piece):
        raise LogError(
            f"{name}: no column names the piece; found {_list_headers(log)}. Expected "
            f"{codebook.piece!r} or another name of it, so that gradings of one piece can be put "
            "side by side. Add the piece's id to every row."
        )
    if not any(has_column(view.log, o.name) for view in found for o in codebook.outcomes):
        graded = ", ".join(outcome.name for outcome in codebook.outcomes)
        raise LogError(
            f"{name}: no column holds grades; found {_list_headers(log)}. Expected one of "
            f"{graded}. Name the column so, or give a codebook that has it with --codebook."
        )


def _list_headers(log: FiringLog) -> str:
    return list_words([quote_text(match.written) for match in log.headers], most=6)


def _refuse_empty(kept: pd.DataFrame, views: Sequence[View]) -> None:
    if not len(kept):
        raise LogError(
            f"{_list_files(views)}: found no row that names a piece and holds a usable grade. "
            f"{_THREE_WAYS} `outcomes check` names every cell that could not be read."
        )


def _refuse_single(kept: pd.DataFrame, views: Sequence[View]) -> None:
    """Refuse when nothing can be compared: one grader who graded each piece once."""
    graders = kept["grader"].unique()
    if len(graders) == 1 and not kept["piece"].duplicated().any():
        raise LogError(
            f"{_list_files(views)}: found one grading only, by {graders[0]!r}, of {len(kept)} "
            f"pieces. {_THREE_WAYS} To make a list for a second, blind grading: --regrade 36."
        )


def _list_files(views: Sequence[View]) -> str:
    return list_words(list(dict.fromkeys(view.log.files[0].name for view in views)))
