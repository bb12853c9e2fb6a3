"""The sixth section: how the log was read, every row and every cell accounted for."""

from outcomes.log.firing_log import FiringLog, SourceFile
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.maker_cells import build_cells, build_unusable
from outcomes.report.maker_findings import build_findings
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words

SHOWN_ROWS = 20
_DELIMITERS = {"\t": "tab", ",": "comma", ";": "semicolon", "|": "bar"}
_DECIMALS = {",": "comma", ".": "point"}


def build_reading(teller: Teller) -> Section:
    """Return the section: account, findings, headers, cells, outcomes, files."""
    say, log = teller.wording.say, teller.study.log
    blocks: tuple[Block, ...] = (
        Paragraph(text=say("reading.lead"), tone=Tone.LEAD),
        Paragraph(text=describe_rows(log, teller)),
        *_depth("rows-aside", _build_aside(teller)),
        build_findings(teller),
        _build_headers(teller),
        build_cells(teller),
        *_depth("cells-aside", build_unusable(teller, most=SHOWN_ROWS)),
        *_depth("outcome-account", _build_outcome_account(teller)),
        *_depth("files", _build_files(teller)),
    )
    return Section(key="reading", title=say("reading.title"), blocks=blocks)


def describe_rows(log: FiringLog, teller: Teller) -> str:
    """Return "43 rows read = 40 used + 3 set aside."."""
    account = log.account
    values: dict[str, Value] = {
        "read": account.rows_read,
        "used": account.rows_used,
        "aside": len(account.set_aside),
    }
    return teller.wording.say("reading.account", values)


def _depth(key: str, table: Table) -> tuple[Depth, ...]:
    """Return a table as detail on demand, nothing when it has no row."""
    if not table.rows:
        return ()
    return (Depth(key=make_key(f"more-{key}"), summary=table.caption, blocks=(table,)),)


def _build_aside(teller: Teller) -> Table:
    say = teller.wording.say
    aside = teller.study.log.account.set_aside
    note = ""
    if len(aside) > SHOWN_ROWS:
        values: dict[str, Value] = {
            "shown": SHOWN_ROWS,
            "n": len(aside),
            "file": "rows_set_aside.csv",
        }
        note = say("reading.more_in_tables", values)
    return Table(
        key="rows-set-aside",
        caption=say("reading.aside_title"),
        columns=(
            Column(heading=say("reading.file")),
            Column(heading=say("reading.row"), numeric=True),
            Column(heading=say("reading.reason")),
        ),
        rows=tuple((row.file, str(row.row), row.reason) for row in aside[:SHOWN_ROWS]),
        note=note,
    )


def _build_headers(teller: Teller) -> Section:
    say, headers = teller.wording.say, teller.study.log.headers
    matched = [header for header in headers if header.column is not None]
    aside = [header.written for header in headers if header.column is None]
    lines = [say("reading.headers_lead", {"matched": len(matched), "n": len(headers)})]
    if aside:
        lines.append(say("reading.headers_aside", {"names": join_words(aside)}))
    table = Table(
        key="headers",
        caption=say("reading.headers_title"),
        columns=(
            Column(heading=say("reading.header")),
            Column(heading=say("reading.taken_as")),
            Column(heading=say("reading.because")),
            Column(heading=say("reading.file")),
        ),
        rows=tuple(
            (h.written, _taken_as(h.column, h.unit, teller), h.how, h.file) for h in headers
        ),
    )
    return Section(
        key="your-headers",
        title=table.caption,
        blocks=(
            Paragraph(text=" ".join(lines)),
            Depth(key="more-headers", summary=say("reading.headers_table"), blocks=(table,)),
        ),
    )


def _taken_as(column: str | None, unit: str, teller: Teller) -> str:
    if column is None:
        return teller.wording.say("reading.not_used")
    label = teller.label(column)
    sign = teller.sign(unit)
    return f"{label} ({sign})" if sign else label


def _build_outcome_account(teller: Teller) -> Table:
    say = teller.wording.say
    rows = []
    for part in teller.study.outcomes:
        left = [
            say("reading.left_out_item", {"n": n, "reason": reason}) for reason, n in part.left_out
        ]
        rows.append(
            (
                part.outcome.label,
                str(part.pieces),
                "; ".join(left) or say("reading.none_left_out"),
            )
        )
    return Table(
        key="account-by-outcome",
        caption=say("reading.outcome_title"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("reading.in_analysis"), numeric=True),
            Column(heading=say("reading.left_out")),
        ),
        rows=tuple(rows),
    )


def _build_files(teller: Teller) -> Table:
    say, log = teller.wording.say, teller.study.log
    rows = []
    for file in log.files:
        used = int((log.origin["file"] == file.name).sum())
        aside = sum(row.file == file.name for row in log.account.set_aside)
        opened = _describe_opening(file, teller)
        rows.append((file.name, str(used + aside), str(used), str(aside), opened))
    return Table(
        key="files",
        caption=say("reading.files_title"),
        columns=(
            Column(heading=say("reading.file")),
            Column(heading=say("reading.rows_read"), numeric=True),
            Column(heading=say("reading.rows_used"), numeric=True),
            Column(heading=say("reading.rows_aside"), numeric=True),
            Column(heading=say("reading.opened")),
        ),
        rows=tuple(rows),
    )


def _describe_opening(file: SourceFile, teller: Teller) -> str:
    say = teller.wording.say
    if file.sheet:
        return say("reading.opened_sheet", {"kind": file.kind, "sheet": file.sheet})
    if not file.delimiter:
        return file.kind
    delimiter = say(f"reading.{_DELIMITERS.get(file.delimiter, 'bar')}")
    values: dict[str, Value] = {
        "kind": file.kind,
        "encoding": file.encoding,
        "delimiter": delimiter,
    }
    text = say("reading.opened_csv", values)
    if file.decimal in _DECIMALS:
        text += say(
            "reading.opened_decimal", {"decimal": say(f"reading.{_DECIMALS[file.decimal]}")}
        )
    return text
