"""The log's schema in the open Table Schema standard (version 2.0)."""

import importlib.util
import json
from collections.abc import Callable, Mapping
from typing import Any

import jsonschema
import pytest

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.log.words import clean_text, is_blank
from outcomes.report.sheet_columns import build_columns
from outcomes.report.sheet_schema import build_schema, render_schema

HAS_FRICTIONLESS = importlib.util.find_spec("frictionless") is not None

# What the standard says of the parts used here, in JSON Schema and our own words:
# https://datapackage.org/standard/table-schema/ (read 2025). A field's categories are either
# all plain or all {value, label}; bounds and enums have the field's own type.
_TYPES = ["string", "number", "integer", "date"]
_FIELD = {
    "type": "object",
    "required": ["name", "type"],
    "properties": {
        "name": {"type": "string", "minLength": 1},
        "title": {"type": "string"},
        "description": {"type": "string"},
        "type": {"enum": _TYPES},
        "categoriesOrdered": {"type": "boolean"},
        "categories": {
            "type": "array",
            "minItems": 1,
            "items": {"type": "object", "required": ["value"],
                      "properties": {"label": {"type": "string"}}},
        },
        "constraints": {
            "type": "object",
            "properties": {"minimum": {"type": "number"}, "maximum": {"type": "number"},
                           "enum": {"type": "array", "minItems": 1, "uniqueItems": True}},
            "additionalProperties": False,
        },
    },
}  # fmt: skip
_STANDARD = {
    "type": "object",
    "required": ["fields"],
    "properties": {
        "$schema": {"const": "https://datapackage.org/profiles/2.0/tableschema.json"},
        "fields": {"type": "array", "minItems": 1, "items": _FIELD},
        "fieldsMatch": {"enum": ["exact", "equal", "subset", "superset", "partial"]},
        "missingValues": {"type": "array", "items": {"type": "string"}},
    },
}

Schema = Mapping[str, Any]


def _check_structure(schema: Schema) -> None:
    jsonschema.validate(schema, _STANDARD)


def _check_with_frictionless(schema: Schema) -> None:
    from frictionless import Schema as Described

    described = Described.from_descriptor(dict(schema))
    assert [field.name for field in described.fields] == [f["name"] for f in schema["fields"]]


# The second referee is a development tool; where it is not installed the first one stands.
REFEREES = [_check_structure, *([_check_with_frictionless] if HAS_FRICTIONLESS else [])]


@pytest.mark.parametrize("check", REFEREES)
def test_the_schema_keeps_to_the_standard(
    codebook: Codebook, check: Callable[[Schema], None]
) -> None:
    schema = json.loads(render_schema(codebook))
    check(schema)
    assert schema == build_schema(codebook)


def test_the_structural_check_would_notice_a_wrong_field(codebook: Codebook) -> None:
    schema = json.loads(render_schema(codebook))
    schema["fields"][0]["type"] = "text"
    with pytest.raises(jsonschema.ValidationError):
        _check_structure(schema)


def _fields(codebook: Codebook) -> dict[str, Any]:
    schema = json.loads(render_schema(codebook))
    return {field["name"]: field for field in schema["fields"]}


def test_the_fields_are_the_columns_of_the_blank_log(codebook: Codebook) -> None:
    assert list(_fields(codebook)) == [column.name for column in build_columns(codebook)]


def test_a_number_has_its_unit_and_possible_range(codebook: Codebook) -> None:
    field = _fields(codebook)["pull_temp_c"]
    assert (field["type"], field["unit"]) == ("number", "C")
    assert field["constraints"] == {"minimum": 400, "maximum": 1250}
    assert "degrees Celsius; usually 760 to 1060; possible 400 to 1250" in field["description"]


def test_a_grade_is_an_ordered_whole_number_with_its_anchors(codebook: Codebook) -> None:
    field = _fields(codebook)["luster"]
    assert (field["type"], field["categoriesOrdered"]) == ("integer", True)
    assert field["constraints"] == {"enum": [0, 1, 2, 3, 4]}
    assert field["categories"][0] == {
        "value": 0,
        "label": "none: the reflection is white or grey only",
    }


def test_words_are_categories_without_an_order(codebook: Codebook) -> None:
    field = _fields(codebook)["combustible_kind"]
    assert (field["type"], field["categoriesOrdered"]) == ("string", False)
    assert field["constraints"]["enum"][:2] == ["newspaper", "sawdust"]


def test_grade_names_that_only_look_like_numbers_stay_text() -> None:
    own = parse_codebook(
        'extends = "default"\n[outcomes.x]\nlevels = ["01", "02"]\naim = "02"', file="m.toml"
    )
    assert _fields(own)["x"]["type"] == "string"
    assert _fields(own)["x"]["constraints"] == {"enum": ["01", "02"]}


def test_columns_may_be_left_out_and_added(codebook: Codebook) -> None:
    assert build_schema(codebook)["fieldsMatch"] == "partial"


def test_rows_are_numbered_as_in_the_makers_sheet(codebook: Codebook) -> None:
    assert "the header is row 1, the first piece row 2" in str(
        build_schema(codebook)["description"]
    )


def test_what_the_schema_calls_missing_the_reader_calls_blank(codebook: Codebook) -> None:
    missing = build_schema(codebook)["missingValues"]
    assert isinstance(missing, list)
    assert "" in missing
    for mark in missing:
        assert is_blank(clean_text(mark), number=False)
