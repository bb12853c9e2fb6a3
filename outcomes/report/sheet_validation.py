"""What a spreadsheet program checks while a maker types, and what it then says."""

from openpyxl.worksheet.datavalidation import DataValidation

from outcomes.report.sheet_columns import (
    Holds,
    SheetColumn,
    describe_choices,
    describe_span,
)

# Office Open XML (ECMA-376) part 1, 18.3.1.32: longer titles and texts make a file that
# spreadsheet programs refuse or repair.
LONGEST_TITLE = 32
LONGEST_TEXT = 255
_DAY_ONE = 36526  # 1 January 2000 as a spreadsheet's day number: earlier is a typing slip


def build_validation(
    column: SheetColumn, *, cells: str, choices_at: str = ""
) -> DataValidation | None:
    """Return the check on a column's cells, or None when anything may be written.

    Parameters
    ----------
    column
        The column.
    cells
        Range of its cells, such as ``"C2:C2000"``.
    choices_at
        Where its choices stand in the workbook, such as ``"choices!$A$2:$A$6"``.

    Notes
    -----
    A choice outside the list is refused. A number outside its possible range, and a date
    written in words, only ask back: ``~30``, ``2-3 min`` and ``1800 F`` can be read, and a
    maker who is stopped from writing what she knows writes nothing.
    """
    if column.holds is Holds.CHOICE:
        return _check_choice(column, cells, choices_at)
    if column.holds is Holds.NUMBER and column.possible is not None:
        return _check_number(column, cells)
    if column.holds is Holds.DATE:
        return _check_date(column, cells)
    return None


def clip_text(text: str, longest: int) -> str:
    """Return the text, cut after a word and marked when it is too long for a dialog.

    >>> clip_text("lid delay in seconds", 12)
    'lid delay…'
    """
    if len(text) <= longest:
        return text
    kept = text[: longest - 1]
    return (kept.rpartition(" ")[0] or kept).rstrip(" ,;·") + "…"


def _check_choice(column: SheetColumn, cells: str, choices_at: str) -> DataValidation:
    listed = describe_choices(column)
    what = "grade" if column.is_graded else "word"
    hint = "The grading card has the full wording. " if column.is_graded else ""
    return DataValidation(
        type="list",
        sqref=cells,
        formula1=choices_at,
        allow_blank=True,
        errorStyle="stop",
        showErrorMessage=True,
        errorTitle=clip_text(f"{column.label}: not in the list", LONGEST_TITLE),
        error=clip_text(f"Choose one {what}: {listed}. Doubts go into the notes.", LONGEST_TEXT),
        showInputMessage=column.is_graded,
        promptTitle=clip_text(column.label, LONGEST_TITLE) if column.is_graded else None,
        prompt=clip_text(f"{listed}. {hint}", LONGEST_TEXT).strip() if column.is_graded else None,
    )


def _check_number(column: SheetColumn, cells: str) -> DataValidation:
    assert column.possible is not None
    unit = f" {column.unit_words}" if column.unit and column.unit != "count" else ""
    others = " or ".join(column.other_units)
    other = f" In {others}? Write the unit after the number." if others else ""
    return DataValidation(
        type="whole" if column.is_whole else "decimal",
        operator="between",
        sqref=cells,
        formula1=f"{column.possible.low:g}",
        formula2=f"{column.possible.high:g}",
        allow_blank=True,
        errorStyle="warning",
        showErrorMessage=True,
        errorTitle=clip_text(f"{column.label}: is that right?", LONGEST_TITLE),
        error=clip_text(
            f"Expected a number from {describe_span(column.possible)}{unit}.{other} "
            "Rough is fine: ~30 or 2-3 can be read, so answer Yes to keep it.",
            LONGEST_TEXT,
        ),
    )


def _check_date(column: SheetColumn, cells: str) -> DataValidation:
    return DataValidation(
        type="date",
        operator="greaterThanOrEqual",
        sqref=cells,
        formula1=str(_DAY_ONE),
        allow_blank=True,
        errorStyle="warning",
        showErrorMessage=True,
        errorTitle=clip_text(f"{column.label}: is that right?", LONGEST_TITLE),
        error="Expected a date. Write year, month, day, such as 2026-05-31; "
        "03/04 could be two different days.",
    )
