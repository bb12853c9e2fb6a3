"""The log's columns as a machine-readable schema, in the open Table Schema standard."""

import json
from collections.abc import Mapping

from outcomes.log.codebook import Codebook
from outcomes.report.sheet_columns import (
    Holds,
    SheetColumn,
    build_columns,
    describe_range,
    parse_choice,
)

_PROFILE = "https://datapackage.org/profiles/2.0/tableschema.json"
# The marks for "nothing written" that are safe in every column; in a column of names "NA" or
# "none" may be somebody's word.
_MISSING = ("", "-", "–", "—", "n/a", "?")
_ABOUT = (
    "A clean log of {title}: one row per {piece}, one column per field, decimal point, units as "
    "each field says. Any column may be left out and others may stand beside these. Rows are "
    "named by their number in the maker's own sheet: the header is row 1, the first {piece} "
    "row 2. A log typed by hand may be rougher than this (~30, 2-3 min, 1800 F): it is "
    "read all the same, and how is said."
)

Field = dict[str, object]


def render_schema(codebook: Codebook) -> str:
    """Return the Table Schema of a log as JSON text.

    References
    ----------
    Data Package standard, version 2.0, Table Schema: https://datapackage.org/standard/table-schema/
    """
    return json.dumps(build_schema(codebook), indent=2, ensure_ascii=False) + "\n"


def build_schema(codebook: Codebook) -> Mapping[str, object]:
    """Return the Table Schema of a log as plain dicts, lists, text and numbers."""
    about = _ABOUT.format(title=codebook.title.lower(), piece=codebook.piece_word)
    return {
        "$schema": _PROFILE,
        "title": codebook.title,
        "description": about,
        "fields": [build_field(column) for column in build_columns(codebook)],
        "fieldsMatch": "partial",
        "missingValues": list(_MISSING),
    }


def build_field(column: SheetColumn) -> Field:
    """Return one field: name, type, words, constraints and categories."""
    field: Field = {
        "name": column.name,
        "title": column.label,
        "type": _type_of(column),
        "description": _describe(column),
    }
    if column.unit and column.unit != "count":
        field["unit"] = column.unit
    if column.possible is not None:
        field["constraints"] = {
            "minimum": _plain(column.possible.low, whole=column.is_whole),
            "maximum": _plain(column.possible.high, whole=column.is_whole),
        }
    if column.choices:
        field["categories"] = _categories(column)
        field["categoriesOrdered"] = column.is_graded
        field["constraints"] = {"enum": _values(column)}
    return field


def _type_of(column: SheetColumn) -> str:
    if column.holds is Holds.CHOICE:
        return "integer" if _is_numbered(column) else "string"
    if column.holds is Holds.NUMBER:
        return "integer" if column.is_whole else "number"
    return "date" if column.holds is Holds.DATE else "string"


def _describe(column: SheetColumn) -> str:
    extent = describe_range(column)
    return f"{column.purpose} In {extent}." if column.unit_words and extent else column.purpose


def _is_numbered(column: SheetColumn) -> bool:
    return all(isinstance(parse_choice(choice.name), int) for choice in column.choices)


def _values(column: SheetColumn) -> list[int | str]:
    """Return the choices as the field's own type: all numbers or all text."""
    names = [choice.name for choice in column.choices]
    return [parse_choice(name) for name in names] if _is_numbered(column) else [*names]


def _categories(column: SheetColumn) -> list[dict[str, object]]:
    return [
        {"value": value, "label": choice.wording or choice.name}
        for value, choice in zip(_values(column), column.choices, strict=True)
    ]


def _plain(value: float, *, whole: bool) -> float | int:
    """Return a bound without a needless ".0"; a count's bound is a whole number."""
    return int(value) if whole or value.is_integer() else value
