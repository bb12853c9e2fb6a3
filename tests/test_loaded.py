"""What a command loads: only what it needs, told by the names of the modules."""

import json
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

DEMO = Path(__file__).parents[1] / "data_demo"
LOG, CODEBOOK = DEMO / "hollowmere_yard.csv", DEMO / "hollowmere_codebook.toml"


def modules_after(code: str) -> set[str]:
    """Return the names of all modules of a fresh Python that has run the code."""
    told = f"{code}\nimport json, sys\nprint(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_reading_a_csv_log_loads_neither_workbooks_nor_models_nor_pictures() -> None:
    loaded = modules_after(
        f"from outcomes import api\napi.read_log({str(LOG)!r}, codebook={str(CODEBOOK)!r})"
    )
    assert set() == loaded & {"openpyxl", "scipy", "sklearn", "matplotlib", "jinja2"}


def test_what_the_demo_asks_for_before_it_forks_loads_no_trees_and_no_distributions() -> None:
    loaded = modules_after("import outcomes.api, outcomes.study.analysis, outcomes.report.results")
    assert set() == loaded & {"sklearn", "scipy.stats", "openpyxl", "matplotlib"}


def test_the_makers_page_of_a_csv_log_loads_no_other_page(tmp_path: Path) -> None:
    lines = (DEMO / "hollowmere_clean.csv").read_text(encoding="utf-8").splitlines()
    log = tmp_path / "log.csv"
    log.write_text("\n".join(lines[:61]), encoding="utf-8")
    words = ["report", str(log), "--codebook", str(CODEBOOK), "--out", str(tmp_path / "out"),
             "--resamples", "200", "--workers", "1", "--quiet"]  # fmt: skip
    loaded = modules_after(
        f"from outcomes.cli import program\nprogram.main({words!r}, standalone_mode=False)"
    )
    rooms = ("simulate", "planning", "graders")
    pages = ("research", "handout", "leader", "sheets", "trial_document", "plan_page", "samples")
    others = {f"outcomes.{room}" for room in rooms} | {f"outcomes.report.{page}" for page in pages}
    assert all(find_spec(name) for name in others)
    assert set() == loaded & (others | {"openpyxl"})
