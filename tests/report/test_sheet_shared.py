"""The copies in shared/ are those the package writes now."""

import io
import zipfile
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.workbook import Workbook

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import read_codebook, read_default_text
from outcomes.report.sheet_phone import render_phone
from outcomes.report.sheets import build_sheets

SHARED = Path(__file__).parents[2] / "shared"


@pytest.mark.parametrize(
    "name", ["log.csv", "grading_card.html", "log-schema.json", "log_sheet.html"]
)
def test_the_shared_copy_is_current(codebook: Codebook, name: str) -> None:
    assert (SHARED / name).read_bytes() == build_sheets(codebook)[name]


def test_the_shared_phone_page_is_current(codebook: Codebook) -> None:
    assert (SHARED / "phone.html").read_text(encoding="utf-8") == render_phone(codebook)


def test_the_shared_codebook_is_the_default_one(codebook: Codebook) -> None:
    assert (SHARED / "codebook.toml").read_text(encoding="utf-8") == read_default_text()
    assert read_codebook(SHARED / "codebook.toml") == codebook


def _content(workbook: Workbook) -> dict[str, object]:
    """Everything a maker meets in a workbook; compressed bytes differ between zlib versions."""
    return {
        sheet.title: (
            sheet.sheet_state,
            sheet.freeze_panes,
            [[(c.value, c.number_format, c.comment and c.comment.text) for c in row]
             for row in sheet.iter_rows()],
            sorted((str(v.sqref), v.type, v.formula1, v.formula2, v.errorStyle, v.error, v.prompt)
                   for v in sheet.data_validations.dataValidation),
        )
        for sheet in workbook
    }  # fmt: skip


def test_the_shared_workbook_is_current(codebook: Codebook) -> None:
    now = load_workbook(io.BytesIO(build_sheets(codebook)["log.xlsx"]))
    kept = load_workbook(SHARED / "log.xlsx")
    assert _content(kept) == _content(now)


def test_the_readme_says_what_each_file_is() -> None:
    readme = (SHARED / "README.md").read_text(encoding="utf-8")
    for path in SHARED.iterdir():
        if path.name != "README.md":
            assert f"`{path.name}`" in readme


def test_the_shared_workbook_is_a_sound_archive() -> None:
    with zipfile.ZipFile(SHARED / "log.xlsx") as archive:
        assert archive.testzip() is None
        assert len(set(archive.namelist())) == len(archive.namelist())
