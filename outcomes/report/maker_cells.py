"""How cells became values: counts by way, one example each, and the cells set aside."""

import numpy as np
import pandas as pd

from outcomes.log.firing_log import FiringLog, How
from outcomes.report.document import Block, Column, Depth, ItemList, Paragraph, Section, Table
from outcomes.report.study_json_log import count_cells
from outcomes.report.teller import Teller
from outcomes.report.wording import Value

_HOW_KEYS = {
    How.EXACT: "reading.how_exact",
    How.CONVERTED: "reading.how_converted",
    How.APPROXIMATE: "reading.how_approximate",
    How.RANGE_MIDDLE: "reading.how_range",
    How.DITTO: "reading.how_ditto",
    How.WORD: "reading.how_word",
    How.BLANK: "reading.how_blank",
    How.SET_ASIDE: "reading.how_aside",
}
# Said in the plain part; exact cells and blanks stand in the table only.
_TOLD = (
    How.CONVERTED,
    How.APPROXIMATE,
    How.RANGE_MIDDLE,
    How.DITTO,
    How.WORD,
    How.SET_ASIDE,
)


def build_cells(teller: Teller) -> Section:
    """Return the part on cells: one line a column that was not plain, all counts behind it."""
    say, log = teller.wording.say, teller.study.log
    counts = count_cells(log)
    lines = tuple(
        line
        for column, ways in counts.items()
        if (line := describe_column(column, ways, teller)) is not None
    )
    lead = say("reading.cells_lead", {"n": len(lines)}) if lines else say("reading.cells_none")
    blocks: list[Block] = [Paragraph(text=lead)]
    if lines:
        items = ItemList(items=lines)
        blocks.append(
            Depth(key="more-cell-lines", summary=say("reading.cells_open"), blocks=(items,))
        )
    table = _build_counts(teller)
    blocks.append(Depth(key="more-cells", summary=table.caption, blocks=(table,)))
    return Section(key="cells", title=say("reading.cells_title"), blocks=tuple(blocks))


def describe_column(column: str, ways: dict[str, int], teller: Teller) -> str | None:
    """Return what was done with a column's cells, None when all are plain or blank."""
    say = teller.wording.say
    parts = [
        say(
            "reading.cells_part",
            {
                "n": ways[str(how)],
                "how": say(_HOW_KEYS[how]),
                "example": describe_example(column, how, teller),
            },
        )
        for how in _TOLD
        if ways[str(how)]
    ]
    if not parts:
        return None
    label = teller.label(column)
    return say("reading.cells_line", {"label": label, "parts": "; ".join(parts)})


def describe_example(column: str, how: How, teller: Teller) -> str:
    """Return " (“~8” as 8 s, row 4)": the first cell read that way, "" where it has no value."""
    log = teller.study.log
    found = np.flatnonzero(log.how[column].astype(str) == str(how))
    if how is How.SET_ASIDE or not len(found):
        return ""
    place = int(found[0])
    written = str(log.written[column].iloc[place]).strip()
    value = log.values[column].iloc[place]
    if not written or _is_missing(value):
        return ""
    values: dict[str, Value] = {
        "written": written[:60],
        "value": _describe_value(value, column, teller),
        "row": int(log.origin["row"].to_numpy()[place]),
    }
    return teller.wording.say("reading.cells_example", values)


def _describe_value(value: object, column: str, teller: Teller) -> str:
    outcomes = {o.name: o for o in teller.study.log.codebook.outcomes}
    if column in outcomes:
        return teller.grade(outcomes[column], int(float(str(value))))
    if isinstance(value, pd.Timestamp):
        return value.strftime("%Y-%m-%d")
    return teller.amount(value if isinstance(value, str) else float(str(value)), column)


def _is_missing(value: object) -> bool:
    return value is None or bool(pd.isna(value))  # type: ignore[call-overload]


def _build_counts(teller: Teller) -> Table:
    say = teller.wording.say
    counts = count_cells(teller.study.log)
    ways = [how for how in How if any(column[str(how)] for column in counts.values())]
    return Table(
        key="cell-counts",
        caption=say("reading.cells_table"),
        columns=(
            Column(heading=say("reading.column")),
            *(Column(heading=say(_HOW_KEYS[how]), numeric=True) for how in ways),
        ),
        rows=tuple(
            (teller.label(column), *(str(found[str(how)]) for how in ways))
            for column, found in counts.items()
        ),
    )


def build_unusable(teller: Teller, *, most: int) -> Table:
    """Return the cells that are written but not usable, the first ``most`` of them."""
    say = teller.wording.say
    cells = find_unusable(teller.study.log)
    note = ""
    if len(cells) > most:
        values: dict[str, Value] = {"shown": most, "n": len(cells), "file": "cells_set_aside.csv"}
        note = say("reading.more_in_tables", values)
    return Table(
        key="cells-set-aside",
        caption=say("reading.unusable_title"),
        columns=(
            Column(heading=say("reading.file")),
            Column(heading=say("reading.row"), numeric=True),
            Column(heading=say("reading.column")),
            Column(heading=say("reading.written")),
            Column(heading=say("reading.reason")),
        ),
        rows=cells[:most],
        note=note,
    )


def find_unusable(log: FiringLog) -> tuple[tuple[str, ...], ...]:
    """Return (file, row, column, written, reason) of every cell set aside; long texts are cut."""
    columns = ["file", "row", "column", "written", "reason"]
    return tuple(
        (str(file), str(int(row)), str(column), str(written)[:60], str(reason))
        for file, row, column, written, reason in log.unusable.loc[:, columns].itertuples(
            index=False
        )
    )
