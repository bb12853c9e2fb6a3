"""The twelve kinds of awkward log a studio is likely to hand over, each with its known truth."""

import datetime as dt
import gzip
from collections.abc import Callable

import numpy as np
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from outcomes.errors import LogError
from outcomes.log.check_grades import check_missing_outcomes

Rows = list[dict[str, str]]
Typed = Callable[..., str]


def test_tabs_in_a_file_called_csv(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain, delimiter="\t"), "firings.csv")
    assert 20 == log.account.rows_used
    assert float(plain[0]["combustible_g"]) == log.values["combustible_g"][0]


def test_an_outcome_column_that_is_missing(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain, headers={"luster": "shelf"}))
    assert "luster" not in log.values
    assert any("luster" in f.message for f in check_missing_outcomes(log))


def test_percents_dashes_and_words_in_a_column_of_numbers(read: Callable) -> None:
    log = read(
        "firing_id,glaze,humidity_pct,luster\nV1,M,80%,1\nV1,M,n/a,2\nV1,M,-,3\nV1,M,about half,4\n"
    )
    assert [80.0] == log.values["humidity_pct"].dropna().tolist()
    (entry,) = log.unusable.itertuples()
    assert (5, "humidity_pct", "about half") == (entry.row, entry.column, entry.written)


def test_columns_in_another_order_with_strangers_among_them(read: Callable) -> None:
    log = read("photo,luster,kiln_shelf,firing_id\nIMG_1.jpg,3,2,V1\n")
    assert ("V1", 3.0) == (log.values["firing_id"][0], log.values["luster"][0])
    assert {"photo": "IMG_1.jpg", "kiln_shelf": "2"} == log.aside.iloc[0].to_dict()


def test_grades_as_words_and_with_a_plus(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain, {(6, "luster"): "good", (7, "luster"): "4+"}))
    assert [6, 7] == log.unusable["row"].tolist()
    assert np.isnan(log.values["luster"][[4, 5]]).all()


def test_a_title_and_an_empty_row_above_the_header_of_a_sheet(read_sheet: Callable) -> None:
    def title(sheet: Worksheet) -> None:
        sheet.insert_rows(1, amount=2)
        sheet["A1"] = "Firing log, spring term"

    log = read_sheet(title)
    assert (3, 4, 20) == (log.files[0].header_row, log.origin["row"][0], log.account.rows_used)


@pytest.mark.parametrize("typed", ["<script>alert(1)</script>", "<b>V2.2</b>", 'Tom & "Jo" <j@x>'])
def test_markup_is_kept_as_typed(read: Callable, type_text: Typed, plain: Rows, typed: str) -> None:
    log = read(type_text(plain, {(4, "notes"): '"{}"'.format(typed.replace('"', '""'))}))
    assert typed == log.values["notes"][2] == log.written["notes"][2]


def test_dates_written_three_ways_one_of_a_day_that_is_not(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    typed = {2: "4 March 2025", 3: "2025/03/04", 4: "31 April 2025"}
    log = read(type_text(plain, {(row, "fired_on"): text for row, text in typed.items()}))
    assert ["2025-03-04"] * 2 == [str(day)[:10] for day in log.values["fired_on"][:2]]
    assert [(4, "31 April 2025")] == list(
        zip(log.unusable["row"], log.unusable["written"], strict=True)
    )


def test_a_compressed_file_without_its_ending(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    with pytest.raises(LogError, match="gzip-compressed"):
        read(gzip.compress(type_text(plain).encode()), "log.csv")


def test_a_sign_in_page_saved_as_the_log(read: Callable) -> None:
    with pytest.raises(LogError, match="web page"):
        read("<!doctype html>\n<html><head><title>Sign in</title></head></html>\n")


def test_a_thousand_unknown_columns(read: Callable, type_text: Typed, plain: Rows) -> None:
    lines = type_text(plain).splitlines()
    more = ",".join(f"sensor_{i}" for i in range(1000))
    log = read("\n".join([f"{lines[0]},{more}", *(f"{x}{',1' * 1000}" for x in lines[1:])]))
    assert (20, 1000) == (log.account.rows_used, log.aside.shape[1])
    (finding,) = [f for f in log.findings if f.code == "column_not_in_codebook"]
    assert len(finding.message) < 400


def test_minutes_that_became_times_of_day(read_sheet: Callable) -> None:
    def clock(sheet: Worksheet) -> None:
        sheet.cell(1, 9).value = "time_in_can_min"
        for row in (5, 12, 19):
            sheet.cell(row, 9).value = dt.time(0, 25)

    log = read_sheet(clock)
    assert [5, 12, 19] == log.unusable["row"].tolist()
    assert {"00:25:00"} == set(log.unusable["written"])
