"""A power simulation as plain lines for a terminal."""

import textwrap
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from outcomes.planning.power_study import PowerStudy
from outcomes.report.document import Table
from outcomes.report.plain_lines import wrap_text
from outcomes.report.power_page import build_tellers, describe_question
from outcomes.report.power_pictures import build_table
from outcomes.report.power_sentences import describe_answer, describe_rest
from outcomes.report.power_supposed import describe_supposed
from outcomes.report.power_teller import PowerTeller
from outcomes.report.wording import capitalise

HEADING = 12  # letters of a heading before it goes on in the next line


def describe_power(study: PowerStudy) -> str:
    """Return the answer, the tables and the suppositions of every question."""
    return "\n\n".join("\n".join(_describe_part(teller)) for teller in build_tellers(study))


def _describe_part(teller: PowerTeller) -> Iterator[str]:
    name, question = teller.part.question.name, describe_question(teller)
    yield from wrap_text(f"{capitalise(name)}: {question}" if name else question)
    yield ""
    yield from wrap_text(describe_answer(teller))
    for luck in teller.lucks():
        yield ""
        yield from _render_table(build_table(teller, luck, key=f"{luck}"))
    yield ""
    for sentence in (*describe_rest(teller), *describe_supposed(teller)):
        yield from wrap_text(sentence, first="- ")


def _render_table(table: Table) -> Iterator[str]:
    """Yield the caption and the rows, all columns flush right below their headings."""
    yield table.caption
    heads = [textwrap.wrap(column.heading, HEADING) for column in table.columns]
    widths = [
        max(len(text) for text in (*head, *cells))
        for head, cells in zip(heads, zip(*table.rows, strict=True), strict=True)
    ]
    for row in (*zip_longest(*heads, fillvalue=""), *table.rows):
        yield _align(row, widths)


def _align(row: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
