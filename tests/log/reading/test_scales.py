"""Temperatures whose scale is in doubt, and dates whose order is: asked, never guessed.

The conversions are exact; 985 °C = 1805 °F and 1000 °F = 537.78 °C by F = 1.8 C + 32.
That glaze firings are pulled near 1800 °F or 985 °C is common practice, no source.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.log.reading import read_log

Rows = list[dict[str, str]]
Typed = Callable[..., str]
CLUMP = {(row, "pull_temp_f"): "985" for row in (4, 9, 14)}
BARE = {"pull_temp_f": "Pull temp"}


def of_code(log: FiringLog, code: str) -> list[Finding]:
    return [finding for finding in log.findings if finding.code == code]


def codes(log: FiringLog) -> set[str]:
    return {finding.code for finding in log.findings}


def test_a_number_that_could_be_either_scale_is_asked_about(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    edits = {(row, "pull_temp_f"): "1000" for row in range(2, 22)}
    log = read(type_text(plain, edits, headers=BARE))
    (finding,) = of_code(log, "scale_question")
    assert np.isnan(log.values["pull_temp_c"]).all()
    assert (Severity.PROBLEM, "Pull temp") == (finding.severity, finding.column)
    assert tuple(range(2, 22)) == finding.rows
    assert "log.csv, column Pull temp: 20 cells ('1000'; rows 2, 3, 4, 5, 6 and 15 more)" in (
        finding.message
    )
    assert "Rename the header to pull_temp_f or pull_temp_c" in finding.advice
    assert '[factors.pull_temp_c]: unstated_unit = "F"' in finding.advice


def test_the_line_the_question_asks_for_answers_it(
    tmp_path: Path, codebook: Codebook, type_text: Typed, plain: Rows
) -> None:
    path = tmp_path / "log.csv"
    edits = {(row, "pull_temp_f"): "1000" for row in range(2, 22)}
    path.write_text(type_text(plain, edits, headers=BARE))
    factors = tuple(
        replace(factor, unstated_unit="C") if factor.name == "pull_temp_c" else factor
        for factor in codebook.factors
    )
    log = read_log([path], replace(codebook, factors=factors))
    assert {1000.0} == set(log.values["pull_temp_c"])
    assert not of_code(log, "scale_question")


def test_above_1200_it_is_fahrenheit_and_that_is_said(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(4, "pull_temp_f"): "985"}, headers=BARE))
    (finding,) = of_code(log, "scale_inferred")
    assert 19 == len(finding.rows)
    assert 4 not in finding.rows
    assert "read as °F, because no piece is above 1200 °C" in finding.message
    assert (4,) == of_code(log, "scale_question")[0].rows
    assert (float(plain[0]["pull_temp_f"]) - 32) / 1.8 == pytest.approx(
        log.values["pull_temp_c"][0]
    )


@pytest.mark.parametrize("typed", ["1830 F", "985C", "985 °C", "1830°F"])
def test_a_scale_stated_in_the_cell_raises_no_question(
    read: Callable, type_text: Typed, plain: Rows, typed: str
) -> None:
    edits = {(row, "pull_temp_f"): typed for row in range(2, 22)}
    log = read(type_text(plain, edits, headers=BARE))
    assert not codes(log) & {"scale_question", "scale_inferred", "two_scales", "scale_doubted"}
    assert 20 == log.values["pull_temp_c"].notna().sum()


def test_two_clumps_are_named_and_the_strays_not_used(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, CLUMP))
    (finding,) = of_code(log, "two_scales")
    assert (Severity.PROBLEM, (4, 9, 14)) == (finding.severity, finding.rows)
    assert "the column states °F, but 3 cells ('985'; rows 4, 9 and 14) fit" in finding.message
    assert "only as °C" in finding.message
    assert "such as '985 C'" in finding.advice
    assert [2, 7, 12] == np.flatnonzero(log.values["pull_temp_c"].isna()).tolist()
    assert [4, 9, 14] == log.unusable["row"].tolist()


def test_the_clump_is_found_in_the_other_direction_too(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    rows = [
        {**row, "pull_temp_f": str(round((float(row["pull_temp_f"]) - 32) / 1.8))} for row in plain
    ]
    edits = {(5, "pull_temp_f"): "1805"}
    log = read(type_text(rows, edits, headers={"pull_temp_f": "pull_temp_c"}))
    assert (5,) == of_code(log, "two_scales")[0].rows


def test_the_same_number_with_its_scale_beside_it_is_used(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {place: "985 C" for place in CLUMP}))
    assert not of_code(log, "two_scales")
    assert [985.0] * 3 == log.values["pull_temp_c"][[2, 7, 12]].tolist()


def test_a_ditto_below_a_doubted_cell_is_not_used_either(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {**CLUMP, (5, "pull_temp_f"): "same"}))
    assert "set aside" == log.how["pull_temp_c"][3]


def test_a_cold_day_is_no_second_clump(read: Callable, type_text: Typed, plain: Rows) -> None:
    air = {(row, "air_temp_c"): str(14 + row) for row in range(2, 22)}
    edits = {**air, (6, "air_temp_c"): "-3", (7, "air_temp_c"): "0"}
    log = read(type_text(plain, edits, headers={"air_temp_c": "air_temp_f"}))
    assert not of_code(log, "two_scales")
    assert 20 == log.values["air_temp_c"].notna().sum()


def test_a_column_wholly_unusual_in_its_scale_is_asked_about_and_kept(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    edits = {(row, "pull_temp_f"): str(960 + row) for row in range(2, 22)}
    log = read(type_text(plain, edits))
    (finding,) = of_code(log, "scale_doubted")
    assert "unusual in °F and usual in °C; they were read as °F" in finding.message
    assert "rename the header" in finding.advice
    assert 20 == log.values["pull_temp_c"].notna().sum()


def test_an_ordinary_column_raises_no_question(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain))
    assert not codes(log) & {"scale_question", "scale_inferred", "two_scales", "scale_doubted"}


def test_dates_of_open_order_are_asked_about_with_the_line_to_add(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    edits = {(row, "fired_on"): "03/04/25" for row in range(2, 22)}
    log = read(type_text(plain, edits))
    (finding,) = of_code(log, "date_order_question")
    assert "20 cells ('03/04/25'; rows 2, 3, 4, 5, 6 and 15 more)" in finding.message
    assert 'date_order = "day first"' in finding.advice
    assert log.values["fired_on"].isna().all()


def test_one_certain_date_settles_the_column(read: Callable, type_text: Typed, plain: Rows) -> None:
    edits = {(row, "fired_on"): "03/04/25" for row in range(2, 22)} | {(9, "fired_on"): "25/04/25"}
    log = read(type_text(plain, edits))
    assert not of_code(log, "date_order_question")
    assert "2025-04-03" == str(log.values["fired_on"][0])[:10]
