"""No cell that was written and could not be used is lost without a word."""

from dataclasses import replace

import pandas as pd
import pytest

from outcomes.finding import Finding, Severity
from outcomes.log.check_unusable import check_unusable


def with_unusable(twelve, texts, reasons=None, **more):
    """Put these texts, unusable, into the first cells of the humidity column."""
    n = len(texts)
    reasons = reasons or ["no number can be read from it"] * n
    return twelve(
        {"humidity_pct": [None] * n + [50 + i for i in range(24 - n)]},
        headers={"humidity_pct": "Humidity %"},
        written={("humidity_pct", i): text for i, text in enumerate(texts)},
        unusable={("humidity_pct", i): reason for i, reason in enumerate(reasons)},
        **more,
    )


def test_a_log_without_unusable_cells_needs_no_word(twelve):
    assert check_unusable(twelve()) == ()


def test_an_unusable_cell_is_named_with_row_header_text_reason_and_range(twelve):
    (finding,) = check_unusable(with_unusable(twelve, ["about half"]))
    assert (finding.code, finding.severity) == ("unusable_cell", Severity.WARNING)
    assert (finding.column, finding.rows, finding.file) == ("Humidity %", (2,), None)
    assert finding.message == (
        "log.csv, column Humidity %: 1 cell set aside: row 2 'about half'. No number can be read "
        "from it. Expected a number from 0 to 100 %."
    )
    assert "leave the cell empty when nobody looked" in finding.advice


def test_cells_with_one_reason_make_one_finding_of_at_most_five_texts(twelve):
    (finding,) = check_unusable(with_unusable(twelve, [f"damp{i}" for i in range(8)]))
    assert "8 cells set aside" in finding.message
    assert "row 6 'damp4' and 3 more." in finding.message
    assert tuple(range(2, 10)) == finding.rows


def test_cells_with_two_reasons_make_two_findings(twelve):
    log = with_unusable(twelve, ["damp", ">80"], ["words", "an open end"])
    assert [finding.rows for finding in check_unusable(log)] == [(2,), (3,)]


def test_a_column_in_which_every_cell_has_its_own_reason_is_one_finding(twelve):
    texts = [f"w{i}" for i in range(9)]
    (finding,) = check_unusable(
        with_unusable(twelve, texts, [f"'{t}' is no number" for t in texts])
    )
    assert "9 cells set aside: row 2 'w0' ('w0' is no number)" in finding.message
    assert finding.message.count("is no number") == 5
    assert len(finding.rows) == 9


@pytest.mark.parametrize(("severity", "n_told"), [(Severity.PROBLEM, 0), (Severity.NOTE, 1)])
def test_a_cell_that_reading_asks_about_is_not_said_twice(twelve, severity, n_told):
    asked = Finding(
        code="scale_not_stated",
        severity=severity,
        message="Which scale?",
        advice="Say it.",
        column="Humidity %",
        rows=(2,),
        file="log.csv",
    )
    log = replace(with_unusable(twelve, ["about half"]), findings=(asked,))
    assert n_told == len(check_unusable(log))


def test_cells_of_rows_set_aside_are_named_too(twelve):
    log = twelve({"humidity_pct": [50 + i for i in range(24)]})
    entry = pd.DataFrame(
        [("log.csv", 99, "humidity_pct", "damp", "no number")], columns=log.unusable.columns
    )
    (finding,) = check_unusable(replace(log, unusable=entry))
    assert (finding.rows, finding.column) == ((99,), "humidity_pct")


def test_whole_rows_are_left_to_the_row_account(twelve):
    log = twelve()
    entry = pd.DataFrame(
        [("log.csv", 99, "", "total | 48", "a line of totals")], columns=log.unusable.columns
    )
    assert check_unusable(replace(log, unusable=entry)) == ()


def test_control_characters_are_spelled_out_and_long_text_is_cut(twelve):
    escape, long = check_unusable(
        with_unusable(twelve, ["\x1b[2Jwet", "x" * 500], ["not a number", "too long"])
    )
    assert "'\\x1b[2Jwet'" in escape.message
    assert "x" * 60 + "…'" in long.message
    assert "x" * 61 not in long.message


def test_each_file_has_its_own_finding(twelve):
    texts = ["damp"] * 14
    first, second = check_unusable(
        with_unusable(twelve, texts, files=["a.csv"] * 12 + ["b.csv"] * 12)
    )
    assert (first.file, len(first.rows)) == ("a.csv", 12)
    assert (second.file, second.rows) == ("b.csv", (2, 3))
