"""A handful of awkward files through the real command, as a maker runs it."""

import csv
import os
import subprocess
import sys
from pathlib import Path

import pytest
from awkward_judge import ACCOUNT, COSTS
from awkward_log import column, csv_text, edited

from outcomes.errors import LogError
from outcomes.log.reading import read_log


def outcomes(*words, folder, **more):
    environment = os.environ | {"LC_ALL": "C", "PYTHONIOENCODING": "ascii", "COLUMNS": "80"}
    return subprocess.run(
        [sys.executable, "-m", "outcomes", *map(str, words)],
        cwd=folder,
        env=environment | more,
        capture_output=True,
        timeout=60,
        check=False,
    )


@pytest.fixture
def written(tmp_path):
    def write(content, name="log.csv"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


def test_a_clean_log_ends_well_and_needs_no_warning(written, tmp_path):
    run = outcomes("check", written(csv_text()), folder=tmp_path)
    text = run.stdout.decode("utf-8")
    assert (0, b"") == (run.returncode, run.stderr)
    assert text.startswith("48 rows read: 48 used, 0 set aside\n")
    assert COSTS.search(text) is None


def test_damaged_cells_are_named_and_the_log_is_left_as_it_was(written, tmp_path):
    rows = edited({(4, "seconds_to_can"): "a few", (9, "luster"): "mäh"})
    path = written(csv_text(rows))
    before = path.read_bytes()
    run = outcomes("check", path, folder=tmp_path)
    text = run.stdout.decode("utf-8")
    assert 0 == run.returncode
    assert "row 4 'a few'" in text
    assert "row 9 'mäh'" in text
    assert ("48", "48", "0") == ACCOUNT.match(text).groups()
    assert before == path.read_bytes()


@pytest.mark.parametrize(
    ("content", "word"),
    [(b"", b"empty"), (b"<!doctype html><html>", b"web page"), (b"\x1f\x8b\x08\x00", b"gzip")],
    ids=["empty", "page", "gzip"],
)
def test_what_is_no_log_is_refused_in_words(written, tmp_path, content, word):
    run = outcomes("check", written(content), folder=tmp_path)
    assert 1 == run.returncode
    assert word in run.stderr
    assert b"Traceback" not in run.stdout + run.stderr


def test_the_exported_table_runs_nothing_in_a_spreadsheet(written, codebook, tmp_path):
    names = ["=1+1", "+A1", "@SUM(A1)", "-2+3", "＝2+2", "Gwen"]
    path = written(csv_text(edited(column("maker", names))))
    run = outcomes("export", path, "--to", tmp_path / "clean.csv", folder=tmp_path)
    assert 0 == run.returncode
    with (tmp_path / "clean.csv").open(encoding="utf-8", newline="") as stream:
        makers = [row["maker"] for row in csv.DictReader(stream)]
    assert [f"'{name}" for name in names[:5]] == makers[:5]
    assert "Gwen" == makers[5]
    again = read_log([tmp_path / "clean.csv"], codebook)
    assert names[:5] == again.values["maker"].tolist()[:5]


def test_a_file_nobody_may_read_is_refused(written, codebook, monkeypatch):
    def refuse(_):
        raise PermissionError(13, "Permission denied")

    path = written(csv_text())
    if os.geteuid() == 0:  # root may read every file, so the refusal is made
        monkeypatch.setattr(Path, "read_bytes", refuse)
    else:
        path.chmod(0)
    with pytest.raises(LogError, match=r"log\.csv cannot be read: Permission denied\. Close it"):
        read_log([path], codebook)
