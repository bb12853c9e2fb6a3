"""The page, the run sheets and the JSON of a plan, from the invented demo year."""

import json
import re
from dataclasses import replace

import openpyxl
import pytest

from outcomes import api
from outcomes.errors import ReportError
from outcomes.log.codebook import Direction
from outcomes.log.codebook_file import read_codebook
from outcomes.log.demo import demo_folder
from outcomes.planning.next_expected import Foretold
from outcomes.planning.next_questions import Open
from outcomes.planning.next_request import PlanRequest
from outcomes.report.document import Callout, Section, Table, Tone, iterate_blocks
from outcomes.report.html import render_page
from outcomes.report.plan_page import build_plan_document
from outcomes.report.plan_results import build_plan_results
from outcomes.report.plan_words import describe_plan, round_times
from outcomes.report.samples import analyse_demo
from outcomes.report.teller import build_teller
from outcomes.study.record import StudyOptions

FIRINGS, PIECES = 3, 6


@pytest.fixture(scope="module")
def demo_study():
    return analyse_demo(StudyOptions(resamples=200))


@pytest.fixture(scope="module")
def plan(demo_study):
    request = PlanRequest(
        firings=FIRINGS, pieces=PIECES, starts=4, factors=("lid_delay_s", "seconds_to_can")
    )
    return api.plan_next_firings(demo_study, request=request)


@pytest.fixture(scope="module")
def document(demo_study, plan):
    return build_plan_document(demo_study, plan)


@pytest.fixture(scope="module")
def results(demo_study, plan):
    return build_plan_results(demo_study, plan)


@pytest.fixture(scope="module")
def texts(document, load_texts):
    return load_texts(document)


@pytest.fixture(scope="module")
def load_texts():
    from importlib import util
    from pathlib import Path

    spec = util.spec_from_file_location("plan_texts", Path(__file__).with_name("page_texts.py"))
    module = util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.collect_texts


def test_the_page_opens_with_what_to_fire_and_closes_with_the_cautions(document):
    keys = [section.key for section in document.sections]
    assert keys[:2] == ["what-to-fire", "run-sheet"]
    assert keys[-1] == "cautions"
    first = document.sections[0].blocks[0]
    assert first.text.startswith("Fire these 3 firings of 6 pieces, in the order of the sheet.")


def test_every_setting_that_can_burn_somebody_carries_its_caution_in_place(document, plan, texts):
    codebook = read_codebook(demo_folder() / "hollowmere_codebook.toml")
    first = render_page(replace(document, sections=document.sections[:1]))
    for choice in (*plan.varied, *plan.settled):
        factor = codebook.factor(choice.factor)
        if factor.hot is not Direction.NEITHER:
            assert factor.safety_note in first.replace("&#39;", "'")


def test_nobody_is_told_to_be_quick(texts):
    advice = re.compile(r"\b(be faster|be quick|hurry up|as fast as|more quickly)\b", re.IGNORECASE)
    assert [text for text in texts if advice.search(text)] == []


def test_the_page_never_claims_more_than_a_plan_can(texts):
    claims = re.compile(r"\b(proves?|causes?|significan\w+)\b", re.IGNORECASE)
    assert [text for text in texts if claims.search(text)] == []


def test_the_sheet_has_a_row_a_piece_and_empty_cells_to_write_in(document):
    sheet = next(s for s in document.sections if s.key == "run-sheet")
    tables = [b for b in iterate_blocks((sheet,)) if isinstance(b, Table)]
    assert [PIECES] * FIRINGS == [len(table.rows) for table in tables]
    assert all(row[-1] == "" for table in tables for row in table.rows)
    assert any(cell == "–" for table in tables for row in table.rows for cell in row)


def test_change_one_thing_at_a_time_is_no_advice_beside_a_plan(document):
    cautions = next(s for s in document.sections if s.key == "cautions")
    assert isinstance(cautions, Section)
    tones = {block.tone for block in cautions.blocks if isinstance(block, Callout)}
    assert {Tone.SAFETY} == tones


def test_the_page_loads_nothing_and_shows_what_a_maker_typed_as_text(demo_study, plan):
    evil = "<script>alert(1)</script>"
    pieces = tuple(
        replace(piece, settings=(("glaze", evil), *piece.settings[1:])) for piece in plan.pieces
    )
    page = render_page(build_plan_document(demo_study, replace(plan, pieces=pieces)))
    assert evil not in page
    assert "&lt;script&gt;alert(1)" in page
    assert re.findall(r'(?:src|href)="(?!#|data:)', page) == []


def test_the_filled_run_sheet_reads_back_with_the_old_log(results, tmp_path):
    """Plan, fire, fill in, check, report: the whole way round."""
    folder = demo_folder()
    codebook = read_codebook(folder / "hollowmere_codebook.toml")
    header, *rows = results["run_sheet.csv"].decode().splitlines()
    names = header.split(",")
    filled = []
    for k, row in enumerate(rows):
        cells = dict(zip(names, row.split(","), strict=True))
        cells |= {"fired_on": f"2025-04-{k // PIECES + 1:02d}", "cracked": "no"}
        crackle = cells["glaze"] == "Moth Ledger"
        cells |= {("crackle_density" if crackle else "luster"): str(k % 4)}
        filled.append(",".join(cells[name] for name in names))
    sheet = tmp_path / "run_sheet.csv"
    sheet.write_text("\n".join([header, *filled]) + "\n", encoding="utf-8")
    checked = api.check([folder / "hollowmere_yard.csv", sheet], codebook=codebook)
    assert checked.refused is None
    mine = checked.log.values[(checked.log.origin["file"] == "run_sheet.csv").to_numpy()]
    assert len(mine) == FIRINGS * PIECES
    assert checked.log.unusable["file"].eq("run_sheet.csv").sum() == 0
    assert mine["cracked"].notna().all()
    again = api.analyse(checked.log, options=StudyOptions(resamples=200), workers=1)
    assert again.firings == 32 + FIRINGS


def test_the_run_sheet_holds_the_plan_in_base_units(results, plan, demo_study, tmp_path):
    path = tmp_path / "run_sheet.csv"
    path.write_bytes(results["run_sheet.csv"])
    log = api.read_log([path], codebook=demo_study.log.codebook)
    for name in ("lid_delay_s", "seconds_to_can", "glaze", "quench"):
        assert [dict(piece.settings)[name] for piece in plan.pieces] == list(log.values[name])


def test_the_workbook_holds_the_same_rows_as_the_table(results, demo_study, tmp_path):
    (tmp_path / "a.csv").write_bytes(results["run_sheet.csv"])
    (tmp_path / "a.xlsx").write_bytes(results["run_sheet.xlsx"])
    codebook = demo_study.log.codebook
    table, book = (
        api.read_log([tmp_path / name], codebook=codebook).values for name in ("a.csv", "a.xlsx")
    )
    assert table[["firing_id", "piece_id", "glaze"]].equals(
        book[["firing_id", "piece_id", "glaze"]]
    )
    assert table["lid_delay_s"].equals(book["lid_delay_s"])


def test_a_glaze_that_looks_like_a_formula_stays_text(demo_study, plan, tmp_path):
    pieces = tuple(
        replace(piece, settings=(("glaze", "=1+1"), *piece.settings[1:])) for piece in plan.pieces
    )
    results = build_plan_results(demo_study, replace(plan, pieces=pieces))
    assert ",'=1+1," in results["run_sheet.csv"].decode()
    (tmp_path / "a.xlsx").write_bytes(results["run_sheet.xlsx"])
    sheet = openpyxl.load_workbook(tmp_path / "a.xlsx")["log"]
    place = [cell.value for cell in sheet[1]].index("glaze")
    assert {"s"} == {row[place].data_type for row in sheet.iter_rows(min_row=2, max_row=3)}


def test_the_json_says_what_the_page_says(results, plan):
    document = json.loads(results["next_firings.json"])
    assert document["format"] == "outcomes-next-firings/1"
    assert len(document["pieces"]) == FIRINGS * PIECES
    assert [one["factor"] for one in document["questions"]] == [
        one.question.factor for one in plan.foretold
    ]
    assert {other["firings"] for other in document["alternatives"]} == {2, 3, 4, 6, 8}


def test_the_same_plan_gives_the_same_bytes(results, demo_study, plan):
    assert build_plan_results(demo_study, plan) == results


def test_a_plan_is_written_whole_or_not_at_all(demo_study, plan, tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(ReportError, match="holds files that are not earlier results"):
        api.write_next_firings(demo_study, plan, tmp_path)
    assert ["mine.txt"] == [path.name for path in tmp_path.iterdir()]


def alter(plan, **changes):
    """The plan with every question's forecast changed."""
    told = tuple(replace(one, **changes) for one in plan.foretold)
    assert all(isinstance(one, Foretold) for one in told)
    return replace(plan, foretold=told)


def test_a_question_that_will_be_decided_is_said_so_first(plan, demo_study):
    teller = build_teller(demo_study)
    said = describe_plan(alter(plan, decides=True), teller)[0]
    assert "They are expected to decide what lid delay does to" in said
    assert "not expected" not in said


def test_a_tangle_that_will_break_is_named_with_both_settings(plan, demo_study):
    teller = build_teller(demo_study)
    one = plan.foretold[0]
    tangled = replace(
        one,
        question=replace(one.question, open=Open.TANGLED, with_factors=("combustible_g",)),
        explained_now=0.95,
        explained_then=0.3,
        width_now=None,
    )
    said = describe_plan(replace(plan, foretold=(tangled,)), teller)[0]
    assert re.search(r"They pull apart .* and combustible \(on .*\)\.", said)


def test_a_plan_that_is_no_better_than_the_habits_says_so(plan, demo_study):
    teller = build_teller(demo_study)
    assert "going on as before would tell about as much" in " ".join(
        describe_plan(alter(plan, times=0.7), teller)
    )
    assert "going on as before" not in " ".join(describe_plan(alter(plan, times=2.0), teller))


def test_a_plan_of_confirmation_says_that_one_may_stop(plan, demo_study):
    said = describe_plan(replace(plan, confirms=True), build_teller(demo_study))[0]
    assert said.startswith("This log leaves nothing undecided. You may stop here.")


@pytest.mark.parametrize(("times", "said"), [(2.0, "2"), (1.94, "1.9"), (31.7, "32")])
def test_ratios_are_rounded_to_what_they_are_worth(times, said):
    assert said == round_times(times)
