"""Which sheet of a workbook holds the log."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.files import FileBytes
from outcomes.log.layout import HEADER_IS_AMONG, count_columns, find_header
from outcomes.log.quoting import list_words, quote_text, show_text
from outcomes.log.workbook_cells import text_of_cell

LOOKED_AT = 2 * HEADER_IS_AMONG  # sheet rows, blank ones included


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChoice:
    """The sheet that was taken, and what the others hold.

    ``others`` holds (title, columns of the codebook its best row names) of every other sheet;
    ``asked`` is True when the maker named the sheet.
    """

    title: str
    columns: int
    is_hidden: bool
    asked: bool
    others: tuple[tuple[str, int], ...]


def choose_sheet(book: Any, file: FileBytes, codebook: Codebook) -> tuple[Any, SheetChoice]:
    """Return the sheet asked for, or the one that names most columns of the codebook.

    Visible sheets go before hidden ones, then the earlier one wins.

    Raises
    ------
    LogError
        When there is no sheet of that name, or no worksheet at all.
    """
    sheets = list(book.worksheets)
    if file.sheet:
        sheets_asked = [sheet for sheet in sheets if sheet.title == file.sheet] or [
            sheet for sheet in sheets if sheet.title.strip().lower() == file.sheet.strip().lower()
        ]
        if not sheets_asked:
            name = file.name.removesuffix(f"#{file.sheet}")
            raise LogError(
                f"{name} has no sheet {quote_text(file.sheet)}; its sheets are "
                f"{_list_titles([sheet.title for sheet in sheets])}. Give one of these after "
                "the '#'."
            )
        return sheets_asked[0], _choice(sheets_asked[0], {}, asked=True)
    if not sheets:
        raise LogError(f"{file.name} has no worksheet, expected one with a header row.")
    found = {sheet.title: _count_columns(sheet, codebook) for sheet in sheets}
    best = max(
        sheets,
        key=lambda sheet: (found[sheet.title] > 0 and _is_visible(sheet), found[sheet.title]),
    )
    return best, _choice(best, found, asked=False)


def note_choice(choice: SheetChoice, file: FileBytes) -> tuple[Finding, ...]:
    """Say which sheet was read when there were others to read, or when it is hidden."""
    if choice.asked or not (choice.others or choice.is_hidden):
        return ()
    rivals = [title for title, columns in choice.others if columns >= max(3, choice.columns // 2)]
    hidden = ", a hidden sheet," if choice.is_hidden else ""
    message = (
        f"{file.name}: the sheet {quote_text(choice.title)}{hidden} was read, where "
        f"{choice.columns} columns of the codebook were found."
    )
    if choice.others:
        message += f" Not read: {_list_titles([title for title, _ in choice.others])}."
    advice = "Nothing, if that is the log."
    if rivals:
        message += f" {_list_titles(rivals)} may hold pieces as well."
        advice = f"To read another sheet too, give it as {_for_the_shell(file.name, rivals[0])}."
    finding = Finding(
        code="sheet_chosen",
        severity=Severity.WARNING if rivals or choice.is_hidden else Severity.NOTE,
        message=message,
        advice=advice,
        file=file.name,
    )
    return (finding,)


def _choice(sheet: Any, found: dict[str, int], *, asked: bool) -> SheetChoice:
    return SheetChoice(
        title=sheet.title,
        columns=found.get(sheet.title, 0),
        is_hidden=not _is_visible(sheet),
        asked=asked,
        others=tuple((title, n) for title, n in found.items() if title != sheet.title),
    )


def _is_visible(sheet: Any) -> bool:
    return bool(sheet.sheet_state == "visible")


def _count_columns(sheet: Any, codebook: Codebook) -> int:
    """Return how many columns of the codebook the sheet's best row names."""
    sheet.reset_dimensions()
    rows = [
        (number, tuple(text_of_cell(cell.value) for cell in cells))
        for number, cells in enumerate(sheet.iter_rows(max_row=LOOKED_AT), start=1)
    ]
    rows = [(number, cells) for number, cells in rows if "".join(cells).strip()]
    place = find_header(rows, codebook)
    return 0 if place is None else count_columns(rows[place][1], codebook)


def _for_the_shell(name: str, title: str) -> str:
    """Return what to type on a command line, in double quotes where a shell would cut it."""
    typed = f"{name}#{title}"
    return typed if re.fullmatch(r"[\w.#-]+", typed) else f'"{show_text(typed)}"'


def _list_titles(titles: Sequence[str]) -> str:
    return list_words([quote_text(title) for title in titles], most=8)
