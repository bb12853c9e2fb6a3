"""Results show themselves in a notebook: in a line, a small table, in words and pictures."""

import base64
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import outcomes
from outcomes.card import describe_line, render_card
from outcomes.errors import LogError, RequestError
from outcomes.log.frames import build_grid
from outcomes.report.research_reproduce import build_python

DATA = Path(__file__).parents[1] / "data_demo"
YARD, YARD_BOOK = DATA / "hollowmere_yard.csv", DATA / "hollowmere_codebook.toml"
BENCH, BENCH_BOOK = DATA / "kestrel_bench.csv", DATA / "kestrel_codebook.toml"


@pytest.fixture(scope="module")
def trial():
    plan = outcomes.read_plan(DATA / "kestrel_plan.toml")
    log = outcomes.read_log(BENCH, codebook=BENCH_BOOK)
    return outcomes.run_trial(plan, log, options=outcomes.TrialOptions(resamples=200))


@pytest.fixture(scope="module")
def agreement():
    return outcomes.compare_graders(DATA / "hollowmere_regrades.csv", codebook=YARD_BOOK)


@pytest.fixture(scope="module")
def study():
    log = outcomes.read_log(BENCH, codebook=BENCH_BOOK)
    return outcomes.analyse(log, options=outcomes.StudyOptions(resamples=200))


def test_a_data_frame_is_read_like_the_file_it_came_from():
    file = DATA / "hollowmere_clean.csv"
    frame = pd.read_csv(file, dtype=str, keep_default_na=False)
    before = frame.copy()
    log = outcomes.read_log(frame, codebook=YARD_BOOK)
    expected = outcomes.read_log([file], codebook=YARD_BOOK)
    pd.testing.assert_frame_equal(expected.values, log.values)
    pd.testing.assert_frame_equal(expected.how, log.how)
    pd.testing.assert_frame_equal(before, frame)


def test_one_path_is_read_like_a_list_of_one():
    one, several = outcomes.read_log(str(BENCH)), outcomes.read_log([BENCH])
    assert several.files == one.files
    pd.testing.assert_frame_equal(several.values, one.values)


def test_what_a_data_frame_leaves_out_is_blank_and_what_it_holds_is_kept():
    frame = pd.DataFrame(
        {
            "Fired on": pd.to_datetime(["2025-03-01", None]),
            "Pieces loaded": pd.array([7, None], dtype="Int64"),
            "Luster": [3.0, float("nan")],
            "Glaze": pd.Categorical(["Tarn", None]),
        }
    )
    assert ((2, ("2025-03-01", "7", "3", "Tarn")),) == build_grid(frame).rows[1:]


def test_rows_of_a_data_frame_are_counted_as_a_spreadsheet_counts_them():
    frame = pd.DataFrame({"Glaze": ["a", "b"], "Luster": ["3", "shiny"]}, index=[70, 71])
    log = outcomes.read_log(frame)
    assert [3] == log.unusable["row"].tolist()
    assert ["DataFrame"] == log.unusable["file"].tolist()


def test_an_empty_data_frame_is_refused_with_what_to_do():
    with pytest.raises(LogError, match=r"found 0 rows and 1 columns\. Expected one row a piece"):
        outcomes.read_log(pd.DataFrame({"Luster": []}))


def test_a_card_escapes_what_people_wrote_and_counts_what_it_leaves_out():
    card = render_card("Log", [("", "<script>")], ["a"], [["&"]] * 14)
    assert "<script>" not in card
    assert "&lt;script&gt;" in card
    assert "… 2 more" in card
    assert "<Log: a b>" == describe_line("Log", [("", "a\nb")])


def test_every_result_says_itself_in_one_line_and_in_a_table(trial, agreement, study):
    checked = outcomes.check(YARD, codebook=YARD_BOOK)
    for result in (checked, checked.log, trial, trial.plan, agreement, study):
        assert re.fullmatch(r"<[A-Z]\w+: .{10,200}>", repr(result))
        card = result._repr_html_()
        ET.fromstring(f"<div>{card}</div>")
        assert len(card) < 12_000
        assert not re.search(r"<script|style=|href|src", card)


def test_the_card_of_a_study_counts_the_verdicts_of_its_settings(study):
    (part,) = (one for one in study.outcomes if one.outcome.name == "luster")
    table = outcomes.effects_table(study)
    mine = table[(table["outcome"] == "luster") & (table["role"] == "setting")]
    named = {one.factor for one in part.not_learnt if one.verdict is not None}
    assert mine["verdict"].notna().sum() + len(named) == sum(part.count_words())


def test_the_card_of_a_power_simulation_shows_the_chance_the_plan_asks_for():
    request = outcomes.PowerRequest(
        codebook=outcomes.read_codebook(), shares=(0.1, 0.2, 0.3, 0.25, 0.15), effect=20, luck=0.5,
        assigned=outcomes.Unit.PIECE, firings=(8,), pieces=(4,), runs=100,
    )  # fmt: skip
    power = outcomes.power(request, workers=1)
    row = outcomes.power_table(power).iloc[0]
    limits = f"({row['noticed_low']:.0f} to {row['noticed_high']:.0f})"
    assert f"<td>{row['noticed_per_100']:.0f} {limits}</td>" in power._repr_html_()
    assert ["power"] == list(outcomes.tables(power))
    assert all(shown.svg for shown in outcomes.pictures(power).values())


def test_nothing_is_told_to_a_reader_nobody_knows(study):
    with pytest.raises(RequestError, match=r"'king' in plain lines\. Name maker or leader"):
        outcomes.describe(study, reader="king")


def test_every_result_is_told_and_tabled(trial, agreement):
    assert "Supported" in outcomes.describe(trial)
    assert "Hypothesis “4 to 16”" in outcomes.describe(trial.plan, codebook=BENCH_BOOK)
    assert "Fix the scale first" in outcomes.describe(agreement)
    assert "220 used" in outcomes.describe(outcomes.check(YARD, codebook=YARD_BOOK))
    assert {"answers", "deviations", "grades"} == set(outcomes.tables(trial))
    assert (288, 3) == outcomes.tables(trial.plan)["assignment"].shape
    assert {"agreement", "pairs", "graders"} <= set(outcomes.tables(agreement))


def test_findings_of_a_check_are_a_table_that_no_spreadsheet_runs():
    frame = pd.DataFrame({"Glaze": ["a", "b"], "Luster": ["3", "=1+1"], "=cmd": ["1", "2"]})
    findings = outcomes.tables(outcomes.check(frame))["findings"]
    assert len(findings) > 0
    assert not [text for text in findings["column"].dropna() if text.startswith("=")]


def test_a_picture_is_an_image_with_its_words_that_needs_no_trust(trial):
    shown = outcomes.pictures(trial)["differences"]
    html = shown._repr_html_()
    (data,) = re.findall(r'src="data:image/svg\+xml;base64,([A-Za-z0-9+/=]+)"', html)
    assert shown.svg == base64.b64decode(data).decode("utf-8")
    assert "{http://www.w3.org/2000/svg}svg" == ET.fromstring(shown.svg).tag
    assert "<svg" not in html
    assert "<Shown: The differences, and the margin>" == repr(shown)


@pytest.mark.parametrize("show", [outcomes.describe, outcomes.tables, outcomes.pictures])
def test_what_is_no_result_is_refused_by_name(show):
    with pytest.raises(RequestError, match=r"Found int; expected a result"):
        show(3)


def test_a_log_from_a_data_frame_claims_no_command_that_reads_it(study):
    frame = pd.read_csv(BENCH)
    log = outcomes.read_log(frame, codebook=BENCH_BOOK)
    lines = build_python(replace(study, log=log))
    assert "log = outcomes.read_log(frame, codebook='codebook.toml')" in lines


def test_every_public_name_exists_and_says_what_it_is():
    found = {name: getattr(outcomes, name) for name in outcomes.__all__ if name[0] != "_"}
    assert [] == [name for name, thing in found.items() if not (thing.__doc__ or "").strip()]
