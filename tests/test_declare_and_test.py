"""`outcomes declare` and `outcomes test` as a user meets them."""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from outcomes.cli import program
from outcomes.errors import OutcomesError

DEMO = Path(__file__).parents[1] / "data_demo"
KESTREL = (str(DEMO / "kestrel_plan.toml"), str(DEMO / "kestrel_bench.csv"))
BOOK = ("--codebook", str(DEMO / "kestrel_codebook.toml"))
ASKED = ("--outcome", "luster", "--factor", "time_in_can_min", "--compare", "4", "16",
         "--firings", "12", "--pieces", "4", "--date", "2026-03-02")  # fmt: skip


def call(*words: str):
    """Run a command in this process; a refusal comes back as its message."""
    return CliRunner().invoke(program, [str(word) for word in words])


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_plan_is_written_with_its_seal_and_what_it_can_reach(here) -> None:
    done = call("declare", *ASKED, "--sheet", "sheet")
    assert done.exit_code == 0, done.output
    assert "so the smallest p value is 0.0001" in " ".join(done.output.split())
    assert "sha256 = " in (here / "plan.toml").read_text(encoding="utf-8")
    assert {"run_sheet.csv", "run_sheet.html"} <= {path.name for path in (here / "sheet").iterdir()}


def test_the_same_declaration_gives_the_same_bytes(here) -> None:
    for name in ("one.toml", "two.toml"):
        assert 0 == call("declare", *ASKED, "--to", name).exit_code
    assert (here / "one.toml").read_bytes() == (here / "two.toml").read_bytes()


def test_a_draft_is_edited_and_then_sealed_into_another_file(here) -> None:
    call("declare", *ASKED, "--unsealed", "--to", "draft.toml")
    draft = here / "draft.toml"
    text = draft.read_text(encoding="utf-8") + (
        '[[hypotheses]]\nname = "late"\noutcome = "luster"\nfactor = "time_in_can_min"\n'
        'from = 16\nto = 4\nclaim = "equivalence"\nmargin = 25\n'
    )
    draft.write_text(text, encoding="utf-8")
    done = call("declare", draft, "--to", "plan.toml", "--date", "2026-03-09")
    assert done.exit_code == 0, done.output
    assert "“late”" in done.output
    assert text == draft.read_text(encoding="utf-8")
    assert "declared_on = 2026-03-09" in (here / "plan.toml").read_text(encoding="utf-8")


def test_a_plan_is_never_written_over(here) -> None:
    call("declare", *ASKED)
    before = (here / "plan.toml").read_bytes()
    done = call("declare", *ASKED, "--seed", "2", "--sheet", "sheet")
    assert isinstance(done.exception, OutcomesError)
    assert "a plan is never written over" in str(done.exception)
    assert before == (here / "plan.toml").read_bytes()
    assert not (here / "sheet").exists()


def test_what_is_missing_or_at_odds_is_wrong_usage(here) -> None:
    done = call("declare", "--outcome", "luster")
    assert (2, True) == (done.exit_code, "missing --factor, --compare" in done.output)
    call("declare", *ASKED, "--unsealed", "--to", "draft.toml")
    done = call("declare", "draft.toml", "--firings", "6")
    assert (2, True) == (done.exit_code, "edit the draft instead" in done.output)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--outcome", "lustre"), "Did you mean 'luster'"),
        (("--compare", "4", "soon"), "found 'soon'; expected a number without quotes"),
        (("--compare", "nan", "30"), "found 'nan'; expected a number without quotes"),
        (("--compare", "inf", "30"), "found 'inf'; expected a number without quotes"),
        (("--compare", "16", "4"), "found 16 with 4 on luster, which '4 to 16' asks already"),
        (("--level", "nan"), "level: found nan; expected"),
        (("--margin", "nan"), "margin: found nan; expected"),
        (("--margin", "inf"), "margin: found inf; expected"),
        (("--margin", "1e-320"), "expected 0.1 or more: no trial can tell less"),
        (("--margin", "-5"), "margin: found -5; expected a number above 0"),
        (("--margin", "100"), "margin: found 100; expected a number below 100"),
        (("--margin-grade", "nan"), "margin_grade: found nan; expected"),
        (("--margin-grade", "inf"), "margin_grade: found inf; expected"),
        (("--margin-grade", "1e-9"), "expected 0.001 or more"),
        (("--equivalent", "4", "16"), '"equivalence" without a margin'),
        (("--compare", "4", "4000"), "expected a value that is possible, 0 to 1440 min"),
        (("--block", "luster=1,2"), "which the codebook uses for something else"),
        (("--adjust-for", "moon"), "found 'moon', which the codebook does not have"),
    ],
)
def test_a_declaration_that_makes_no_sense_is_refused_and_writes_nothing(
    here, words: tuple[str, ...], message: str
) -> None:
    done = call("declare", *ASKED, *words)
    assert isinstance(done.exception, OutcomesError)
    assert message in str(done.exception)
    assert [] == list(here.iterdir())


def test_four_pairs_are_warned_about(here) -> None:
    done = call("declare", "--outcome", "luster", "--factor", "seal", "--compare", "no", "yes",
                "--assigned-to", "firing", "--block", "pair=1,2,3,4", "--firings", "8",
                "--pieces", "5")  # fmt: skip
    assert "the smallest p value any result can give is 0.12" in " ".join(done.output.split())
    assert "WARNING" in done.output


def test_a_sealed_plan_draws_its_run_sheet_again(here) -> None:
    call("declare", *ASKED, "--sheet", "one")
    done = call("declare", "plan.toml", "--sheet", "two")
    assert done.exit_code == 0, done.output
    assert (here / "one/run_sheet.csv").read_bytes() == (here / "two/run_sheet.csv").read_bytes()


def test_the_demo_trial_is_answered_in_a_process_of_its_own(tmp_path) -> None:
    before = [hashlib.sha256(Path(name).read_bytes()).digest() for name in KESTREL]
    done = subprocess.run(
        [sys.executable, "-m", "outcomes", "test", *KESTREL, *BOOK, "--resamples", "200"],
        capture_output=True, text=True, cwd=tmp_path, env=os.environ, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "4 to 16: Supported" in done.stdout
    assert f"Page: {tmp_path / 'outcomes-test' / 'test.html'}" == done.stdout.splitlines()[-1]
    assert before == [hashlib.sha256(Path(name).read_bytes()).digest() for name in KESTREL]


def test_json_goes_to_standard_output_and_writes_nothing(here) -> None:
    done = call("test", *KESTREL, *BOOK, "--json", "--resamples", "200")
    assert "outcomes-test/1" == json.loads(done.output)["format"]
    assert [] == list(here.iterdir())


def test_a_plan_that_does_not_fit_its_log_writes_nothing(here) -> None:
    log = here / "log.csv"
    log.write_text("firing,luster\n1,2\n2,3\n", encoding="utf-8")
    done = call("test", KESTREL[0], log, *BOOK, "--out", "out")
    assert isinstance(done.exception, OutcomesError)
    assert "kestrel_plan.toml line 17, factors 1, name: found 'time_in_can_min'" in str(
        done.exception
    )
    assert [log] == list(here.iterdir())


def test_a_plan_edited_after_sealing_still_answers_and_says_so(here) -> None:
    text = Path(KESTREL[0]).read_text(encoding="utf-8").replace("margin = 20", "margin = 30")
    (here / "edited.toml").write_text(text, encoding="utf-8")
    done = call("test", "edited.toml", KESTREL[1], *BOOK, "--resamples", "200")
    assert done.exit_code == 0, done.output
    assert "The plan was changed after it was sealed" in done.output


def test_two_long_glaze_names_give_a_plan_that_can_be_read_again(here) -> None:
    asked = ("--outcome", "luster", "--factor", "glaze", "--compare", "A" * 40, "B" * 40,
             "--firings", "12", "--pieces", "4", "--date", "2026-03-02")  # fmt: skip
    assert 0 == call("declare", *asked).exit_code
    assert 0 == call("declare", "plan.toml", "--sheet", "sheet").exit_code
