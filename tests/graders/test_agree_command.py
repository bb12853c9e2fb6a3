"""`outcomes agree` as a user meets it."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pandas as pd
import pytest

from outcomes.api import compare_graders
from outcomes.graders.told import find_limit, is_told

DEMO = Path(__file__).parents[2] / "data_demo"
REGRADES = DEMO / "hollowmere_regrades.csv"


def run(*words: str, cwd: Path):
    return subprocess.run(
        [sys.executable, "-m", "outcomes", "agree", *words],
        capture_output=True, text=True, cwd=cwd, check=False, timeout=300,
    )  # fmt: skip


@pytest.fixture(scope="module")
def demo():
    return compare_graders([REGRADES])


def test_the_demo_is_compared_and_the_last_line_says_where_the_page_is(tmp_path):
    done = run(str(REGRADES), "--out", "told", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == f"Page: {(tmp_path / 'told/agreement.html').resolve()}"
    assert "Luster: Fix the scale first." in done.stdout
    assert "Crackle density: Good." in done.stdout


def test_json_is_one_document_on_standard_output(tmp_path):
    done = run(str(REGRADES), "--json", cwd=tmp_path)
    assert [o["name"] for o in json.loads(done.stdout)["outcomes"]] == ["luster", "crackle_density"]


def test_a_refusal_is_one_sentence_and_nothing_is_written(tmp_path):
    (tmp_path / "one.csv").write_text("piece,luster\np1,3\n", encoding="utf-8")
    done = run("one.csv", "--out", "told", cwd=tmp_path)
    assert done.returncode == 1
    assert "found one grading only" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "told").exists()


def test_a_list_goes_out_and_comes_back(tmp_path):
    log = DEMO / "hollowmere_yard.csv"
    codebook = ("--codebook", str(DEMO / "hollowmere_codebook.toml"))
    made = run(str(log), *codebook, "--regrade", "36", "--out", "list", cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    sheet = pd.read_csv(tmp_path / "list/regrade_list.csv", dtype=str)
    sheet.assign(grader="K", luster=[str(n % 5) for n in range(len(sheet))]).to_csv(
        tmp_path / "K.csv", index=False
    )
    done = run(str(log), "K.csv", *codebook, "--key", "list/regrade_key.csv", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Fix the scale first" in done.stdout


def test_a_list_of_fewer_than_thirty_is_wrong_usage(tmp_path):
    assert run(str(REGRADES), "--regrade", "12", cwd=tmp_path).returncode == 2


def test_the_demo_is_what_its_script_makes(tmp_path):
    script = DEMO / "make_regrades.py"
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True, timeout=120)
    for name in ("hollowmere_regrades.csv", "hollowmere_regrades_truth.toml"):
        assert (tmp_path / name).read_bytes() == (DEMO / name).read_bytes()


def test_what_is_planted_in_the_demo_is_told(demo):
    luster, limit = demo.outcomes[0], find_limit(demo)
    told = {o.grader for o in luster.offsets if is_told(o.difference, limit)}
    assert "K" in told
    assert {d.grader for d in luster.drifts if is_told(d.change, limit)} == {"Joan"}
    assert [h.grader for h in luster.halos if is_told(h.difference, limit)] == ["W"]


def test_what_is_not_in_the_demo_is_not_told(demo):
    crackle, limit = demo.outcomes[1], find_limit(demo)
    looked = [
        *(o.difference for o in crackle.offsets),
        *(d.change for d in crackle.drifts),
        *(h.difference for h in crackle.halos),
    ]
    assert [m for m in looked if is_told(m, limit)] == []


def test_the_reliability_of_crackle_is_within_its_interval(demo):
    truth = tomllib.loads((DEMO / "hollowmere_regrades_truth.toml").read_text(encoding="utf-8"))
    interval = demo.outcomes[1].shifts.reliability.interval
    assert interval.low <= truth["crackle_density"]["reliability"] <= interval.high
