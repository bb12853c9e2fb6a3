"""Run the notebooks from top to bottom, as JupyterLab does, and save what they show.

::

    python tests/notebooks/run_notebooks.py            run all and save them with their outputs
    python tests/notebooks/run_notebooks.py trial      only those whose name holds a word
    python tests/notebooks/run_notebooks.py --to DIR   save them there, as the test does
"""

import os
import re
import sys
import tempfile
from pathlib import Path
from unittest.mock import patch

import nbformat
from jupyter_client import AsyncKernelManager
from jupyter_client.kernelspec import KernelSpec, KernelSpecManager
from nbclient import NotebookClient
from nbformat import NotebookNode

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
SLOWEST_CELL_S = 600  # only so that a hanging cell ends some day
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}
_PICTURE = re.compile(r"data:image/svg\+xml;base64,[A-Za-z0-9+/=]+")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


class ThisPython(KernelSpecManager):
    """The Python that runs this, whatever kernels a machine has registered."""

    def get_kernel_spec(self, kernel_name: str) -> KernelSpec:
        """Return the kernel of the running interpreter under any name."""
        argv = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
        return KernelSpec(argv=argv, display_name=kernel_name, language="python")


def find_notebooks() -> tuple[Path, ...]:
    """Return the committed notebooks by name."""
    return tuple(sorted(NOTEBOOKS.glob("*.ipynb")))


def run_notebook(path: Path) -> NotebookNode:
    """Return a notebook run afresh, nothing in it that depends on the clock or the machine.

    Raises
    ------
    nbclient.exceptions.CellExecutionError
        At the first cell that fails.
    """
    notebook = forget_runs(nbformat.read(path, as_version=4))
    with tempfile.TemporaryDirectory() as home:
        # Nobody's own settings, history or sockets of other kernels are touched.
        own = {"IPYTHONDIR": home, "JUPYTER_RUNTIME_DIR": home, "MPLBACKEND": "agg"}
        with patch.dict(os.environ, own):
            NotebookClient(
                notebook,
                km=AsyncKernelManager(kernel_spec_manager=ThisPython()),
                timeout=SLOWEST_CELL_S,
                record_timing=False,
                resources={"metadata": {"path": str(path.parent)}},
            ).execute()
    notebook.metadata = NotebookNode(kernelspec=KERNEL, language_info={"name": "python"})
    return notebook


def forget_runs(notebook: NotebookNode) -> NotebookNode:
    """Return a notebook without outputs, counts and what an editor left in its cells."""
    for cell in notebook.cells:
        cell.metadata = NotebookNode()
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    return notebook


def collect_texts(notebook: NotebookNode) -> list[str]:
    """Return what every code cell shows, in words: pictures are left out, their words are not."""
    texts = []
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            shown = output.get("data", {})
            parts = [output.get("text", ""), *(str(shown[kind]) for kind in sorted(shown))]
            texts.append(_PICTURE.sub("", "\n".join(parts)))
    return texts


def find_difference(one: str, other: str) -> str:
    """Return where two texts differ by more than the rounding of a decimal, "" for nowhere.

    >>> find_difference("12 of 0.41", "12 of 0.42"), find_difference("12", "13")
    ('', '12 became 13')
    """
    plain, told = _NUMBER.split(one), _NUMBER.split(other)
    if plain != told:
        place = next((at for at, pair in enumerate(zip(plain, told)) if pair[0] != pair[1]), -1)  # noqa: B905 - the shorter ends it
        return f"{plain[place]!r} became {told[place]!r}"
    for before, after in zip(_NUMBER.findall(one), _NUMBER.findall(other), strict=True):
        places = len(before.partition(".")[2])
        allowed = 1.01 * 10.0**-places if places else 0.0
        if abs(float(before) - float(after)) > allowed:
            return f"{before} became {after}"
    return ""


def main(words: list[str]) -> None:
    """Run and save the notebooks whose names hold one of the words; all without any."""
    target = NOTEBOOKS
    if words[:1] == ["--to"]:
        target, words = Path(words[1]), words[2:]
    for path in find_notebooks():
        if not words or any(word in path.name for word in words):
            nbformat.write(run_notebook(path), target / path.name)
            print(path.name)


if __name__ == "__main__":
    main(sys.argv[1:])
