"""What is wrong with an answer to an awkward file, as a list of complaints."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
from awkward_case import FINDINGS, FINE, REFUSED, Case

from outcomes import api
from outcomes.errors import LogError
from outcomes.log.cleaned import build_cleaned_table
from outcomes.log.codebook import Codebook
from outcomes.log.quoting import show_text
from outcomes.report.check_text import check_document, describe_check
from outcomes.report.tables import neutralise_table, render_csv

# A finding that costs a maker something uses one of these words; an answer to a sound file none.
COSTS = re.compile(r"(?<!\bno )(?<!\b0 )\b(warnings?|set aside|ignored|not used|skipped)\b", re.I)
ACCOUNT = re.compile(r"([\d,]+) rows? read: ([\d,]+) used, ([\d,]+) set aside")
# Never in an answer: what a program says to its programmers.
FORBIDDEN = ("Traceback", "UnicodeDecodeError", "<class ", "numpy.", "dtype", "NaT", "<NA>")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """What was said about the files, and the table read from them (None where refused)."""

    kind: str
    text: str
    table: pd.DataFrame | None = None


def answer(paths: Sequence[Path], codebook: Codebook) -> Answer:
    """Read and check files as `outcomes check` and `outcomes export` do."""
    try:
        checked = api.check(paths, codebook=codebook)
    except LogError as error:
        return Answer(kind=REFUSED, text=str(error))
    text = describe_check(checked.log, checked.findings, checked.refused)
    check_document(checked.log, checked.findings, checked.refused)
    table = build_cleaned_table(checked.log)
    render_csv(neutralise_table(table))
    kind = FINDINGS if COSTS.search(text) else FINE
    return Answer(kind=REFUSED if checked.refused else kind, text=text, table=table)


def complain(case: Case, given: Answer) -> list[str]:
    """Return what is wrong with an answer; nothing when it is right."""
    wrong = [f"it says {word!r}" for word in FORBIDDEN if word in given.text]
    wrong += [f"raw control character {sign!r}" for sign in set(given.text) if _is_raw(sign)]
    if given.kind not in case.expect:
        wrong.append(f"class is {given.kind!r}, expected {' or '.join(case.expect)}")
    wrong += [
        f"it does not say {words!r}"
        for words in case.says
        if words.lower() not in given.text.lower()
    ]
    wrong += [f"{cell} is not named" for cell in case.cells if not _names(given.text, cell)]
    if given.kind != REFUSED:
        wrong += _account(case, given)
        wrong += _read_back(case, given)
    return wrong


def _is_raw(sign: str) -> bool:
    """Whether a sign steers a terminal or cannot be seen; a blank of any width does neither."""
    return not sign.isprintable() and sign != "\n" and unicodedata.category(sign) != "Zs"


def _names(text: str, cell: tuple[int, str, str]) -> bool:
    """Whether row, header and text of a cell are all in the answer."""
    row, header, written = cell
    flat = " ".join(text.split())
    shown = " ".join(show_text(written[:50]).split())
    row_is = re.search(rf"(?<![\d.]){row}(?!\d|\.\d)", flat)
    return bool(row_is) and show_text(header) in flat and shown in flat


def _account(case: Case, given: Answer) -> list[str]:
    """Complain about rows that do not add up."""
    found = ACCOUNT.search(given.text.splitlines()[0])
    if not found:
        return ["the first line is no row account"]
    read, used, aside = (int(number.replace(",", "")) for number in found.groups())
    wrong = [] if read == used + aside else [f"{read} read, {used} used, {aside} set aside"]
    if case.rows is not None and read != case.rows:
        wrong.append(f"{read} rows read, the file has {case.rows}")
    if case.used is not None and used != case.used:
        wrong.append(f"{used} rows used, expected {case.used}")
    return wrong


def _read_back(case: Case, given: Answer) -> list[str]:
    """Complain about values that changed and texts that were lost."""
    table = given.table
    wrong = []
    for row, header, value in case.values:
        here = table[table["source_row"] == str(row)]
        if header not in table:
            wrong.append(f"no column {header} in the table")
        elif here.empty:
            wrong.append(f"row {row} is not in the table")
        elif here[header].iloc[0] != value:
            wrong.append(f"row {row} {header} is {here[header].iloc[0]!r}, expected {value!r}")
    held = set(table.to_numpy(dtype=object).ravel())
    return wrong + [f"lost: {text[:60]!r}" for text in case.keeps if text not in held]
