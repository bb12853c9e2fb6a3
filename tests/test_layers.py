"""The architecture is a test: a room imports only from rooms that stand below it."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "outcomes"
FLOORS = [
    "errors",
    "stopping",
    "memory",
    "finding",
    "arguments",
    "card",
    "workers",
    "log",
    "design",
    "model",
    "simulate",
    "resampling",
    "effects",
    "doubts",
    "planning",
    "graders",
    "study",
    "report",
    "trials",
    "plans",
    "powers",
    "gradings",
    "shows",
    "api",
    "commands",
    "cli",
]
STANDALONE = {"__init__", "__main__", "start"}
MODULES = sorted(
    path
    for path in PACKAGE.rglob("*.py")
    if path.relative_to(PACKAGE).parts[0].removesuffix(".py") not in STANDALONE
)


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_modules(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_only_go_down(path: Path) -> None:
    rooms = {n.split(".")[1] for n in imported_modules(path) if n.startswith("outcomes.")}
    above = {r for r in rooms & set(FLOORS) if FLOORS.index(r) > FLOORS.index(room_of(path))}
    assert not above, f"{path.name} imports from {sorted(above)}, above {room_of(path)}"


def test_every_module_stands_on_a_known_floor() -> None:
    assert {room_of(path) for path in MODULES} <= set(FLOORS)


@pytest.mark.parametrize(
    ("library", "doors"),
    [
        ("matplotlib", ("report/figure",)),
        ("seaborn", ("report/figure",)),
        ("sklearn", ("doubts/",)),
    ],
)
def test_a_heavy_library_has_one_door(library: str, doors: tuple[str, ...]) -> None:
    users = {
        path.relative_to(PACKAGE).as_posix()
        for path in MODULES
        if any(name.split(".")[0] == library for name in imported_modules(path))
    }
    assert not {user for user in users if not user.startswith(doors)}


def test_the_command_line_loads_nothing_heavy_for_its_help() -> None:
    code = (
        "import sys, outcomes, outcomes.cli;"
        "heavy = {'numpy','pandas','scipy','matplotlib','seaborn','statsmodels','sklearn',"
        "'openpyxl','jinja2','pydantic'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda p: p.name)
def test_no_file_passes_three_hundred_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 300
