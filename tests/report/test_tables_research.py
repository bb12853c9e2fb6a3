"""The researcher's tables and their part of study.json."""

import json

import jsonschema
import numpy as np
import pytest

from outcomes.report.study_json import build_study_json, read_schema, render_study_json
from outcomes.report.tables import build_tables, render_csv


@pytest.fixture(scope="module")
def tables(researched):
    return build_tables(researched)


@pytest.fixture(scope="module")
def luster(researched):
    return build_study_json(researched)["outcomes"][0]


def test_the_document_obeys_its_schema_and_refuses_a_damaged_part(researched):
    document = json.loads(render_study_json(researched))
    jsonschema.Draft202012Validator(read_schema()).validate(document)
    document["outcomes"][0]["explanations"][0]["difference"] = "much"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(read_schema()).validate(document)


def test_an_estimate_is_one_row_with_every_interval(tables, researched):
    table = tables["estimates"].set_index(["outcome", "factor"])
    row = table.loc[("luster", "seconds_to_can")]
    effect = researched.outcomes[0].effects[0]
    assert [7.0, 18.0] == pytest.approx([row["standard_error"], row["df"]])
    assert row["interval_method"] == effect.interval.method
    assert [row["resample_low"], row["jackknife_high"]] == pytest.approx([-44.0, -15.0])
    assert row["odds_ratio"] == pytest.approx(np.exp(effect.log_odds))
    assert row["log_odds_low"] < row["log_odds"] < row["log_odds_high"]
    assert len(table) == sum(len(part.effects) for part in researched.outcomes)


def test_the_covariance_is_a_lower_triangle_with_the_squared_errors_on_its_diagonal(tables):
    table = tables["covariance"].query("outcome == 'luster'")
    assert 6 * 7 / 2 == len(table)
    diagonal = table[table["row"] == table["column"]]
    errors = tables["parameters"].query("outcome == 'luster'")
    for name in ("model", "sandwich", "jackknife"):
        np.testing.assert_allclose(np.sqrt(diagonal[name]), errors[f"{name}_error"])


def test_parallel_tests_keep_both_degrees_of_freedom(tables, luster):
    row = tables["parallel_tests"].iloc[0]
    assert ("score", 8, 7) == (row["test"], row["df"], row["rank"])
    assert luster["parallel_tests"][0]["factor"] is None
    assert luster["parallel_tests"][0]["p_value"] == pytest.approx(row["p_value"], rel=1e-6)
    assert luster["parallel_separated"] is False


def test_collinearity_keeps_what_has_no_number(tables, luster):
    assert [
        {"column": "column 0", "inflation": 1.25},
        {"column": "column 1", "inflation": None},
    ] == (luster["collinearity"])
    kinds = tables["collinearity"]["what"].value_counts().to_dict()
    assert {"inflation": 2, "explained": 1, "adjusted": 1, "condition index": 3} == kinds


def test_software_stands_in_no_table_and_not_in_study_json(researched, tables):
    # The same files and seed give the same bytes, whatever is installed.
    assert "9.8.7" not in render_study_json(researched)
    assert not any("9.8.7" in render_csv(table) for table in tables.values())
