"""What may stand in a codebook file: its tables and keys, with the type of each value.

The classes inherit from pydantic's model because that is how pydantic is told what to
check; nothing outside the codebook files ever sees them.
"""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from outcomes.log.codebook_problems import Problem, quote, suggest

# Lower case, letters, digits and underscores: such a name is safe as a header, a file name
# and an anchor in a page, and survives every spreadsheet.
_STRICT = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


def _check_name(text: str) -> str:
    if text != text.lower() or not text.isidentifier() or text.startswith("_"):
        raise ValueError(
            "a column name in lower case, made of letters, digits and underscores, "
            "beginning with a letter, such as 'pull_temp_c'"
        )
    return text


def _check_line(text: str) -> str:
    if not text.isprintable() or text != text.strip():
        raise ValueError("one line of text without control characters or spaces at its ends")
    return text


def _fold_word(text: str) -> str:
    if not text:
        raise ValueError("a word or words")
    return _check_line(text).lower()


def _name_a_level(value: object) -> object:
    return {"name": value} if isinstance(value, str) else value


_Name = Annotated[str, Field(max_length=60), AfterValidator(_check_name)]
_NameOrNone = Annotated[str, Field(max_length=60), AfterValidator(lambda t: t and _check_name(t))]
_Label = Annotated[str, Field(max_length=80), AfterValidator(_check_line)]
_Title = Annotated[str, Field(min_length=1, max_length=80), AfterValidator(_check_line)]
_Line = Annotated[str, Field(max_length=400), AfterValidator(_check_line)]
_Word = Annotated[str, Field(max_length=60), AfterValidator(_fold_word)]
_LevelName = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(_check_line)]
_Pair = Annotated[list[float], Field(min_length=2, max_length=2)]
_Towards = Literal["higher", "lower", "neither", "either"]


class FactorEntry(BaseModel):
    """One table ``[factors.<name>]``."""

    model_config = _STRICT

    role: Literal["setting", "condition", "grouping"]
    kind: Literal["number", "levels", "name"]
    label: _Label = ""
    shape: Literal["", "straight", "window", "saturating", "levels"] = ""
    unit: _Label = ""
    accepted_units: list[_Label] = []
    unstated_unit: _Label = ""
    measures: dict[_Word, Annotated[float, Field(ge=0)]] = {}
    possible: _Pair | None = None
    plausible: _Pair | None = None
    feasible: _Pair | None = None
    step: Annotated[float, Field(gt=0)] | None = None
    levels: list[_LevelName] = []
    words: dict[_Word, str] = {}
    aliases: list[_Word] = []
    hard_to_change: bool = False
    hot: _Towards = "neither"
    safety_note: _Line = ""


class LevelEntry(BaseModel):
    """One grade of an outcome: a name alone, or ``{ name = "3", wording = "…" }``."""

    model_config = _STRICT

    name: _LevelName
    wording: _Line = ""


class OutcomeEntry(BaseModel):
    """One table ``[outcomes.<name>]``."""

    model_config = _STRICT

    levels: Annotated[
        list[Annotated[LevelEntry, BeforeValidator(_name_a_level)]],
        Field(min_length=2, max_length=12),
    ]
    aim: str
    label: _Label = ""
    wanted: Literal["higher", "lower", "neither"] = "higher"
    phrase: _Line = ""
    how_to_grade: _Line = ""
    applies_to: list[_Label] = []
    smallest_difference: Annotated[float, Field(gt=0, lt=100)] = 10.0
    words: dict[_Word, str] = {}
    aliases: list[_Word] = []


class ColumnsEntry(BaseModel):
    """The table ``[columns]``: what the special columns are called, "" for none."""

    model_config = _STRICT

    firing: _Name = "firing_id"
    date: _NameOrNone = "fired_on"
    piece: _NameOrNone = "piece_id"
    glaze: _NameOrNone | None = None
    loaded: _NameOrNone = "pieces_loaded"
    notes: _NameOrNone = "notes"


class AliasesEntry(BaseModel):
    """The table ``[column_aliases]``: other headers of the special columns."""

    model_config = _STRICT

    firing: list[_Word] = []
    date: list[_Word] = []
    piece: list[_Word] = []
    loaded: list[_Word] = []
    notes: list[_Word] = []


class CodebookEntry(BaseModel):
    """A whole file, after ``extends`` and ``remove`` have been carried out."""

    model_config = _STRICT

    title: _Title
    cluster_word: _Title = "firing"
    piece_word: _Title = "piece"
    date_order: Literal["", "day first", "month first"] = ""
    handles_hot_ware: bool = True
    how_to_grade: list[_Line] = []
    own_units: list[_Label] = []
    columns: ColumnsEntry = ColumnsEntry()
    column_aliases: AliasesEntry = AliasesEntry()
    factors: Annotated[dict[_Name, FactorEntry], Field(min_length=1)]
    outcomes: Annotated[dict[_Name, OutcomeEntry], Field(min_length=1)]


_TABLES: Mapping[str, type[BaseModel]] = {
    "factors": FactorEntry,
    "outcomes": OutcomeEntry,
    "columns": ColumnsEntry,
    "column_aliases": AliasesEntry,
}
_EXPECTED = {
    "string_type": "text in quotes",
    "float_type": "a number",
    "bool_type": "true or false, without quotes",
    "list_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table of keys",
    "finite_number": "a finite number",
    "greater_than": "a number above {gt:g}",
    "greater_than_equal": "a number of {ge:g} or more",
    "less_than": "a number below {lt:g}",
    "too_short": "at least {min_length} entries",
    "too_long": "at most {max_length} entries",
    "string_too_short": "some text",
    "string_too_long": "at most {max_length} characters",
}


def parse_entries(table: Mapping[str, Any]) -> CodebookEntry | tuple[Problem, ...]:
    """Return the checked entries of a codebook file, or everything wrong with their types."""
    try:
        return CodebookEntry.model_validate(table)
    except ValidationError as error:
        return tuple(
            _explain(each, names=_names_in(table, each["loc"]))
            for each in error.errors(include_url=False)
        )


def _explain(error: ErrorDetails, *, names: Sequence[str]) -> Problem:
    """Turn one pydantic error into a problem in plain words."""
    place, kind, context = error["loc"], error["type"], error.get("ctx", {})
    if kind == "missing":
        return _missing(place, names)
    if kind == "extra_forbidden":
        return _unknown_key(place)
    if place[-1] == "[key]":
        remedy = f"Rename {place[-2]!r}."
    elif isinstance(place[-1], int):
        remedy = "Correct that entry of the list."
    else:
        remedy = f"{_suggest_value(kind, error['input'], context)}Correct {place[-1]!r}."
    return Problem(
        key=_path(place),
        found=quote(error["input"]),
        expected=_expected(kind, context, is_level="levels" in place),
        remedy=remedy,
    )


_DESCRIBES = frozenset({"role", "kind", "levels"})


def _names_in(table: Mapping[str, Any], place: tuple[int | str, ...]) -> tuple[str, ...]:
    """Return the names an entry may have been meant to change; none where it is one of its own.

    A table with a role, a kind or levels describes a column; one with neither changes another's.
    """
    members = table.get(str(place[0]), {})
    if not isinstance(members, dict):
        return ()
    own = members.get(place[1]) if len(place) > 1 else None
    if isinstance(own, dict) and _DESCRIBES & own.keys():
        return ()
    return tuple(n for n in members if n not in place)


def _path(place: tuple[int | str, ...]) -> str:
    """Return a key path: dots between keys, entries of a list counted from 1."""
    parts = (f" entry {part + 1}" if isinstance(part, int) else f".{part}" for part in place)
    return "".join(part for part in parts if part != ".[key]").removeprefix(".")


def _missing(place: tuple[int | str, ...], names: Sequence[str]) -> Problem:
    name = str(place[-1])
    if name in {"factors", "outcomes"}:
        remedy = f'Add at least one table [{name}.<name>], or write extends = "default".'
    elif len(place) == 1:
        remedy = f"Add {name} = … at the top of the file."
    else:
        remedy = f"{suggest(place[1], names)}Add {name} = … to [{'.'.join(map(str, place[:2]))}]."
    return Problem(key=_path(place), found="no such key", expected="one", remedy=remedy)


def _unknown_key(place: tuple[int | str, ...]) -> Problem:
    allowed = _known_keys(place)
    return Problem(
        key=_path(place),
        found=f"the key {place[-1]!r}",
        expected=f"one of {', '.join(allowed)}",
        remedy=f"{suggest(place[-1], allowed)}Rename or remove it.",
    )


def _known_keys(place: tuple[int | str, ...]) -> list[str]:
    if len(place) == 1:
        return ["extends", "remove", *CodebookEntry.model_fields]
    if "levels" in place[2:-1]:
        return list(LevelEntry.model_fields)
    return list(_TABLES[str(place[0])].model_fields)


def _expected(kind: str, context: Mapping[str, Any], *, is_level: bool) -> str:
    """Return what pydantic wanted, as a noun phrase."""
    if kind == "literal_error":
        return f"one of {context['expected']}"
    if kind == "value_error":
        return str(context["error"])
    if kind == "model_type" and is_level:
        return 'a level\'s name in quotes, or { name = "…", wording = "…" }'
    fixed = _EXPECTED.get(kind, "a value of another type")
    return fixed.format_map({name: limit for name, limit in context.items() if name != "error"})


def _suggest_value(kind: str, value: object, context: Mapping[str, Any]) -> str:
    if kind != "literal_error":
        return ""
    return suggest(value, context["expected"].replace(" or ", ", ").replace("'", "").split(", "))
