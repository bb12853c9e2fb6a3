"""What may stand in a plan file: its tables and keys, with the type of each value.

The classes inherit from pydantic's model because that is how pydantic is told what to check;
nothing outside the plan files ever sees them.
"""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from outcomes.log.codebook_problems import quote, suggest
from outcomes.planning.plan import FORMAT
from outcomes.planning.plan_problems import PlanProblem

_STRICT = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


def _check_line(text: str) -> str:
    if not text.isprintable() or text != text.strip():
        raise ValueError("one line of text without control characters or spaces at its ends")
    return text


_Name = Annotated[str, Field(min_length=1, max_length=60), AfterValidator(_check_line)]
_Line = Annotated[str, Field(min_length=1, max_length=300), AfterValidator(_check_line)]
_Value = Annotated[float, Field(strict=True)] | _Name


class FactorEntry(BaseModel):
    """One table ``[[factors]]``."""

    model_config = _STRICT

    name: _Name
    values: Annotated[list[_Value], Field(min_length=2, max_length=40)]
    assigned_to: Literal["piece", "firing"]
    blocks: list[_Name] = []


class HypothesisEntry(BaseModel):
    """One table ``[[hypotheses]]``."""

    model_config = ConfigDict(
        strict=True, extra="forbid", frozen=True, allow_inf_nan=False, populate_by_name=False
    )

    name: _Line
    outcome: _Name
    factor: _Name
    from_value: Annotated[_Value, Field(alias="from")]
    to_value: Annotated[_Value, Field(alias="to")]
    claim: Literal["difference", "equivalence"] = "difference"
    direction: Literal["either", "more", "fewer"] = "either"
    margin: Annotated[float, Field(gt=0, lt=100)] | None = None
    margin_grade: Annotated[float, Field(gt=0, lt=12)] | None = None


class SealEntry(BaseModel):
    """The table ``[seal]``."""

    model_config = _STRICT

    sha256: Annotated[str, Field(max_length=64)]


class PlanEntry(BaseModel):
    """A whole file."""

    model_config = _STRICT

    format: Literal["outcomes-plan/1"]
    title: _Line
    declared_on: date
    counts_from: date
    level: Annotated[float, Field(ge=0.001, le=0.2)]
    firings: Annotated[int, Field(ge=2, le=1000)]
    pieces: Annotated[int, Field(ge=1, le=1000)]
    randomised: bool = True
    adjust_for: list[_Name] = []
    stopping: _Line
    seed: Annotated[int, Field(ge=0, le=2**63 - 1)] = 1
    blocks: dict[_Name, Annotated[list[_Name], Field(min_length=1, max_length=200)]] = {}
    factors: Annotated[list[FactorEntry], Field(min_length=1, max_length=20)]
    hypotheses: Annotated[list[HypothesisEntry], Field(min_length=1, max_length=40)]
    seal: SealEntry | None = None


_TABLES: Mapping[str, type[BaseModel]] = {
    "factors": FactorEntry,
    "hypotheses": HypothesisEntry,
    "seal": SealEntry,
}
_OF_PYDANTIC = ("float", "str", "[key]")
_EXPECTED = {
    "string_type": "text in quotes",
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false, without quotes",
    "list_type": "a list in square brackets",
    "dict_type": "a table",
    "model_type": "a table of keys",
    "date_type": "a date such as 2026-05-31, without quotes",
    "date_from_datetime_inexact": "a date without a time",
    "finite_number": "a finite number",
    "greater_than": "a number above {gt:g}",
    "greater_than_equal": "a number of {ge:g} or more",
    "less_than": "a number below {lt:g}",
    "less_than_equal": "a number of {le:g} or less",
    "too_short": "at least {min_length} entries",
    "too_long": "at most {max_length} entries",
    "string_too_short": "some text",
    "string_too_long": "at most {max_length} characters",
}


def parse_entries(table: Mapping[str, Any]) -> PlanEntry | tuple[PlanProblem, ...]:
    """Return the checked entries of a plan file, or everything wrong with their types."""
    try:
        return PlanEntry.model_validate(table)
    except ValidationError as error:
        found = [_explain(each) for each in error.errors(include_url=False)]
        # A value that is neither number nor text is reported once for each of the two.
        first = {problem.place: problem for problem in reversed(found)}
        return tuple(reversed(first.values()))


def _explain(error: ErrorDetails) -> PlanProblem:
    """Turn one pydantic error into a problem in plain words."""
    place, kind, context = _tidy(error["loc"]), error["type"], error.get("ctx", {})
    if kind == "missing":
        expected = f'format = "{FORMAT}"' if place == ("format",) else "one"
        where = "at the top of the file" if len(place) == 1 else f"to [[{place[0]}]]"
        return PlanProblem(
            place=place,
            found="no such key",
            expected=expected,
            remedy=f"Add {place[-1]} = … {where}.",
        )
    if kind == "extra_forbidden":
        allowed = _known_keys(place)
        return PlanProblem(
            place=place,
            found=f"the key {str(place[-1])!r}",
            expected=f"one of {', '.join(allowed)}",
            remedy=f"{suggest(place[-1], allowed)}Rename or remove it.",
        )
    wanted = _expected(kind, context)
    return PlanProblem(
        place=place,
        found=quote(error["input"]),
        expected="a number, or text in quotes" if "float" in error["loc"] else wanted,
        remedy="Correct it.",
    )


def _tidy(place: tuple[int | str, ...]) -> tuple[int | str, ...]:
    """Return where an error stands, without pydantic's own words for the kinds of a value."""
    return tuple(part for part in place if part not in _OF_PYDANTIC and "[" not in str(part))


def _known_keys(place: tuple[int | str, ...]) -> list[str]:
    model = PlanEntry if len(place) == 1 else _TABLES[str(place[0])]
    return [field.alias or name for name, field in model.model_fields.items()]


def _expected(kind: str, context: Mapping[str, Any]) -> str:
    """Return what pydantic wanted, as a noun phrase."""
    if kind == "literal_error":
        return f"one of {context['expected']}"
    if kind == "value_error":
        return str(context["error"])
    fixed = _EXPECTED.get(kind, "a value of another type")
    return fixed.format_map({name: limit for name, limit in context.items() if name != "error"})
