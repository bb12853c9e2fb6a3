"""The kiln-side page as a file: its policy, its data, its words, its program."""

import base64
import hashlib
import json
import re
import shutil
import subprocess
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner

import outcomes.report
from outcomes.cli import program
from outcomes.errors import ReportError
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import parse_codebook
from outcomes.report.sheet_phone import build_script, escape_json, render_phone, write_phone
from outcomes.report.sheet_phone_data import STEPS, build_phone_data, find_spans
from outcomes.report.wording import choose_words, read_wording

ROOM = Path(outcomes.report.__file__).parent
SCRIPTS = sorted(ROOM.glob("phone_*.js"))
HOSTILE = '</script><script>alert(1)</script><!-- <img src=x onerror=alert(1)> & \\"'


def _data(page: str) -> dict[str, object]:
    return json.loads(re.search(r'id="codebook">(.*?)</script>', page, re.DOTALL)[1])  # type: ignore[index]


def test_the_same_codebook_gives_the_same_bytes(codebook: Codebook) -> None:
    assert render_phone(codebook) == render_phone(codebook)


def test_the_policy_allows_this_script_and_this_style_and_nothing_else(codebook: Codebook) -> None:
    page = render_phone(codebook)
    policy = unescape(re.search(r'Policy" content="([^"]+)"', page)[1])  # type: ignore[index]
    parts = {
        "style": re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1],  # type: ignore[index]
        "script": re.search(r"<script>(.*?)</script>", page, re.DOTALL)[1],  # type: ignore[index]
    }
    hashes = {
        name: base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        for name, text in parts.items()
    }
    assert policy == (
        f"default-src 'none'; script-src 'sha256-{hashes['script']}'; "
        f"style-src 'sha256-{hashes['style']}'; base-uri 'none'; form-action 'none'"
    )


def test_nothing_is_fetched_and_no_text_is_ever_read_as_markup_or_program(
    codebook: Codebook,
) -> None:
    assert not re.search(r"https?://|url\(|@import|<link|\sstyle=", render_phone(codebook))
    for forbidden in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(",
                      "Function(", "fetch(", "XMLHttpRequest", "sendBeacon"):  # fmt: skip
        assert forbidden not in build_script()


def test_markup_in_a_codebook_is_data_and_ends_nothing() -> None:
    own = parse_codebook(
        f'extends = "default"\ntitle = "{HOSTILE[:60]}"\nhow_to_grade = ["{HOSTILE}"]\n'
        f'[outcomes.luster]\nhow_to_grade = "{HOSTILE}"',
        file="mine.toml",
    )
    page = render_phone(own)
    assert page.count("<script") == page.count("</script>") == 2
    assert "<img" not in page
    assert _data(page)["howToGrade"] == [HOSTILE.replace("\\", "")]


def test_json_that_could_end_its_element_is_escaped_and_means_the_same() -> None:
    text = "</script> <!-- & \u2028 \u2029 é"
    escaped = escape_json([text])
    assert not set(escaped) & set("<>&\u2028\u2029")
    assert json.loads(escaped) == [text]


def test_every_text_the_page_says_exists_and_every_text_there_is_is_said() -> None:
    code = "\n".join(path.read_text(encoding="utf-8") for path in SCRIPTS)
    known = {k.removeprefix("phone.") for k in read_wording().texts if k.startswith("phone.")}
    asked = set(re.findall(r'say\(\s*"([a-z_]+)"', code))
    asked |= set(re.findall(r'"([a-z_]+)"', code)) & known
    made = {key for key in known if key.startswith(("choice_", "theme_"))}
    assert asked | made | {"title", "needs"} == known


def test_no_text_of_the_page_hurries_anybody() -> None:
    texts = " ".join(str(text) for key, text in read_wording().texts.items()
                     if key.startswith(("phone", "log_sheet")))  # fmt: skip
    assert not re.search(r"\b(quick|quickly|fast|faster|hurry|race|record time|target)\b", texts)


def test_every_column_of_the_log_is_on_the_page(codebook: Codebook) -> None:
    names = [column["name"] for column in _data(render_phone(codebook))["columns"]]  # type: ignore[attr-defined]
    expected = {f.name for f in codebook.factors} | {o.name for o in codebook.outcomes}
    assert set(names) == expected | set(codebook.special_columns())


def test_steps_are_tapped_only_where_a_time_can_be_made_of_them(codebook: Codebook) -> None:
    assert [span.column for span in find_spans(codebook)] == [
        "seconds_to_can", "lid_delay_s", "time_in_can_min",
    ]  # fmt: skip
    without = parse_codebook(
        'extends = "default"\nremove = ["seconds_to_can", "lid_delay_s", "time_in_can_min"]',
        file="mine.toml",
    )
    wording = choose_words(read_wording(), cluster="firing", piece="piece")
    assert build_phone_data(without, wording)["steps"] == []
    assert len(build_phone_data(codebook, wording)["steps"]) == len(STEPS)  # type: ignore[arg-type]


def test_a_column_in_other_units_gets_its_time_in_them() -> None:
    own = parse_codebook(
        'extends = "default"\n[factors.seconds_to_can]\nunit = "min"\naccepted_units = ["min"]',
        file="mine.toml",
    )
    columns = _data(render_phone(own))["columns"]
    assert [c["seconds"] for c in columns if "from" in c] == [60, 1, 60]  # type: ignore[attr-defined]


@pytest.mark.skipif(shutil.which("node") is None, reason="node is missing; .ci/run installs it")
@pytest.mark.parametrize("text", [*SCRIPTS, None], ids=[*(p.name for p in SCRIPTS), "whole"])
def test_the_program_is_sound_javascript(text: Path | None, tmp_path: Path) -> None:
    file = tmp_path / "program.js"
    file.write_text(build_script() if text is None else text.read_text(encoding="utf-8"))
    done = subprocess.run(
        ["node", "--check", str(file)], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_every_part_of_the_program_is_in_the_page_and_short(path: Path) -> None:
    assert path.read_text(encoding="utf-8") in build_script()
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 250


def test_the_command_writes_one_file_and_touches_no_log(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("a year of work")
    done = CliRunner().invoke(program, ["sheet", "--phone", "--out", str(tmp_path)])
    assert (done.exit_code, done.output) == (0, f"Written: {tmp_path / 'phone.html'}\n")
    assert {path.name for path in tmp_path.iterdir()} == {"log.csv", "phone.html"}


def test_a_folder_that_is_a_file_is_refused_in_words(codebook: Codebook, tmp_path: Path) -> None:
    (tmp_path / "sheets").write_text("not a folder")
    with pytest.raises(ReportError, match=r"sheets: the page could not be written .* --out"):
        write_phone(codebook, tmp_path / "sheets")
