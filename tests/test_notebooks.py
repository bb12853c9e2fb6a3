"""The notebooks run from top to bottom and show what is committed."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

import outcomes

sys.path.insert(0, str(Path(__file__).parent / "notebooks"))  # a folder of scripts, no package

import run_notebooks
from run_notebooks import collect_texts, find_difference, find_notebooks

NOTEBOOKS = find_notebooks()
NAMES = [path.stem for path in NOTEBOOKS]


def sources_of(path: Path) -> list[str]:
    cells = nbformat.read(path, as_version=4).cells
    return [cell.source for cell in cells if cell.cell_type == "code"]


def test_there_is_one_notebook_for_each_reader():
    assert ["evening_class", "potters_year", "trial"] == NAMES


# In a process of its own: the kernel's sockets and event loop are no other test's business.
@pytest.mark.parametrize("path", NOTEBOOKS, ids=NAMES)
def test_a_notebook_runs_and_shows_what_is_committed(path, tmp_path):
    command = [sys.executable, run_notebooks.__file__, "--to", str(tmp_path), path.name]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert 0 == done.returncode, done.stderr
    committed = collect_texts(nbformat.read(path, as_version=4))
    shown = collect_texts(nbformat.read(tmp_path / path.name, as_version=4))
    assert len(committed) == len(shown)
    differences = [find_difference(*pair) for pair in zip(committed, shown, strict=True)]
    assert [] == [told for told in differences if told]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=NAMES)
def test_a_notebook_is_short_and_every_code_cell_has_run_in_order(path):
    cells = nbformat.read(path, as_version=4).cells
    runs = [cell.execution_count for cell in cells if cell.cell_type == "code"]
    assert list(range(1, len(runs) + 1)) == runs
    assert 8 <= len(runs) <= 14


@pytest.mark.parametrize("path", NOTEBOOKS, ids=NAMES)
def test_a_notebook_uses_public_names_only(path):
    trees = [ast.parse(source) for source in sources_of(path)]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    imported = {a.name for n in nodes if isinstance(n, ast.Import) for a in n.names}
    imported |= {str(n.module) for n in nodes if isinstance(n, ast.ImportFrom)}
    assert {"outcomes"} <= imported <= {"outcomes", "pandas", "datetime"}
    used = {
        node.attr
        for node in nodes
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "outcomes"
    }
    assert used <= set(outcomes.__all__)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=NAMES)
def test_a_notebook_holds_no_path_of_a_machine_no_clock_and_no_script(path):
    text = path.read_text(encoding="utf-8")
    assert not re.findall(r"(?<![\w.])/(?:work|tmp|root|home|Users)/|<script|\"iopub|file://", text)
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    metadata = nbformat.read(path, as_version=4).metadata
    assert {"kernelspec": kernel, "language_info": {"name": "python"}} == metadata


def test_a_change_of_a_word_a_count_or_more_than_the_last_place_is_found():
    assert "" == find_difference("3 of 0.41", "3 of 0.42")
    assert "0.41 became 0.43" == find_difference("3 of 0.41", "3 of 0.43")
    assert "3 became 4" == find_difference("3 of 0.41", "4 of 0.41")
    assert "' of ' became ' in '" == find_difference("3 of 0.41", "3 in 0.41")
