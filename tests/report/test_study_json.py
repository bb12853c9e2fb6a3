import json
import math
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from outcomes.report.study_json import (
    FORMAT,
    build_study_json,
    read_schema,
    render_study_json,
    round_number,
)

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def document(study):
    return build_study_json(study)


def validate(document):
    jsonschema.Draft202012Validator(read_schema()).validate(document)


def numbers_in(item):
    if isinstance(item, dict):
        item = list(item.values())
    if isinstance(item, list):
        return [number for part in item for number in numbers_in(part)]
    return [item] if isinstance(item, int | float) and not isinstance(item, bool) else []


def test_the_schema_is_itself_valid():
    jsonschema.Draft202012Validator.check_schema(read_schema())
    assert read_schema()["properties"]["format"] == {"const": FORMAT}


def test_the_document_obeys_its_schema(document):
    validate(document)
    assert document["format"] == "outcomes-study/1"


@pytest.mark.parametrize(
    "damage",
    [
        {"format": "outcomes-study/2"},
        {"account": {"rows_read": 3}},
        {"confidence": 95},
        {"findings": [{"code": "x"}]},
        {"outcomes": [{"name": "luster"}]},
    ],
)
def test_the_schema_refuses_a_damaged_document(document, damage):
    with pytest.raises(jsonschema.ValidationError):
        validate({**document, **damage})


def test_the_schema_in_the_package_is_the_published_one():
    published = (ROOT / "shared" / "study.schema.json").read_bytes()
    shipped = (ROOT / "outcomes" / "report" / "study.schema.json").read_bytes()
    assert shipped == published


def test_the_same_study_gives_the_same_text_with_finite_numbers_only(study):
    text = render_study_json(study)
    assert render_study_json(study) == text
    assert text.endswith("}\n")
    assert not any(word in text for word in ("NaN", "Infinity"))
    assert all(math.isfinite(number) for number in numbers_in(json.loads(text)))


def test_numbers_carry_seven_digits_and_no_rubbish():
    assert round_number(-51.123456789012) == -51.12346
    assert round_number(3e-17) == 0.0
    assert round_number(float("inf")) is None
    assert str(round_number(-0.0)) == "0.0"


def test_the_account_adds_up_and_rows_are_the_makers_own(document):
    account = document["account"]
    assert account["rows_read"] == account["rows_used"] + len(account["set_aside"])
    assert [row["row"] for row in account["set_aside"]] == [17, 18, 42]
    for column in document["conversions"]:
        assert sum(n for name, n in column.items() if name != "column") == account["rows_used"]


def test_an_effect_is_said_in_pieces_per_100_with_its_verdict_and_rank(document):
    luster = document["outcomes"][0]
    effect = luster["effects"][0]
    expected = {
        "factor": "seconds_to_can", "role": "setting", "from": 6.0, "to": 18.0, "unit": "s",
        "change_per_100": -31.0, "low": -44.0, "high": -15.0, "p_adjusted": 0.03,
        "verdict": "changes the surface", "rank": 1, "rank_low": 1, "rank_high": 4,
        "share_first": 0.6,
    }  # fmt: skip
    assert {name: effect[name] for name in expected} == expected
    humidity = next(e for e in luster["effects"] if e["factor"] == "humidity_pct")
    assert (humidity["rank"], humidity["verdict"]) == (None, None)


def test_slopes_carry_the_interval_of_the_redraws(document, study):
    slopes = document["outcomes"][0]["fit"]["slopes"]
    assert [slope["value"] for slope in slopes] == [-0.61, 0.2]
    assert all(slope["low"] < slope["high"] for slope in slopes)


def test_without_redraws_slopes_have_no_interval(study, with_luster):
    document = build_study_json(with_luster(study, redraws=None))
    assert document["outcomes"][0]["fit"]["slopes"][0]["low"] is None
    validate(document)


def test_an_outcome_that_could_not_be_fitted_says_why(document):
    shift = document["outcomes"][2]
    assert (shift["usable"], shift["fit"], shift["effects"]) == (False, None, [])
    assert shift["why_not"] == "Only 3 pieces have a grade for colour shift."


def test_what_is_not_known_is_null_and_still_valid(study, with_luster):
    curve = replace(study.outcomes[0].curves[0], reach_low=np.full(12, np.nan))
    bare = replace(study.outcomes[0].effects[0], interval=None, p_value=None, verdict=None)
    document = build_study_json(with_luster(study, curves=(curve,), effects=(bare,)))
    assert document["outcomes"][0]["curves"][0]["reach_low"] == [None] * 12
    assert document["outcomes"][0]["effects"][0]["low"] is None
    validate(document)


def test_a_curve_over_levels_names_them(document):
    assert document["outcomes"][1]["curves"][0]["at"] == ["none", "mist", "dunk"]


def test_shares_are_a_list_of_parts_that_add_up_to_one(document):
    luster, cracked, shift = document["outcomes"]
    assert [part["name"] for part in luster["shares"]][:2] == ["settings_firing", "settings_piece"]
    assert sum(part["share"] for part in luster["shares"]) == pytest.approx(1.0)
    assert luster["shares_summary"]["tenths"] == 4
    assert cracked["shares_summary"]["at_boundary"] is True
    assert (shift["shares"], shift["shares_summary"], shift["skill"]) == (None, None, None)


def test_a_reason_stands_in_place_of_shares(study, with_luster):
    document = build_study_json(with_luster(study, shares="One piece a firing."))
    validate(document)
    luster = document["outcomes"][0]
    assert (luster["shares"], luster["shares_why_not"]) == (None, "One piece a firing.")


def test_skill_has_value_low_and_high(document):
    skill = document["outcomes"][0]["skill"]
    assert (skill["value"], skill["low"], skill["high"]) == (0.234, 0.1, 0.36)
    assert skill["word"] == "predicts new firings better than the average"
    assert skill["calibration"]["groups"][1]["seen"] == 0.57


def test_unlimited_ends_are_null(study, doubts, with_luster):
    skill = doubts.build_skill("luster", 0.1, float("-inf"), 1.0)
    shares = replace(doubts.build_shares("luster"), firing_sd_upper=float("inf"))
    document = build_study_json(with_luster(study, skill=skill, shares=shares))
    validate(document)
    luster = document["outcomes"][0]
    assert luster["skill"]["low"] is None
    assert luster["shares_summary"]["firing_sd_upper"] is None


def test_split_influences_and_grade_effects_are_written(document):
    luster = document["outcomes"][0]
    assert luster["split"]["shares"][0]["factor"] == "pull_temp_c"
    assert luster["influences"][0]["without_per_100"][6] == 2.0
    assert luster["grade_effects"][0]["cuts"][1]["free_per_100"] == 30.0
    assert luster["second_opinion"]["value"] == -0.03


def test_a_gradient_that_is_only_rounding_is_given_as_a_bound(document, study):
    assert study.outcomes[0].fit.largest_gradient < 1e-8
    assert document["outcomes"][0]["fit"]["largest_gradient"] == 1e-8


def test_shapes_are_written_with_seven_digits_and_without_the_fits(study, with_luster, shapes):
    found = shapes.build_by_glaze(differs=True)
    document = build_study_json(with_luster(study, by_glaze=(found,)))
    validate(document)
    luster = document["outcomes"][0]
    assert luster["optima"][0]["best"] == 977.1235
    assert luster["gains"][0]["reach_high_per_100"] == 66.0
    assert luster["thresholds"][0]["kind"] == "no bend"
    assert luster["by_glaze"][0]["effects"][0]["low"] == -55.0
    assert luster["by_glaze"][0]["effects"][2]["low"] is None
    assert "parameters" not in luster["by_glaze"][0]
