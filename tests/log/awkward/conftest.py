"""Every awkward file becomes one test: the modules beside this one list them."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

# In the order in which they import each other.
MODULES = ("awkward_log", "awkward_case", "awkward_judge")
LISTS = (
    *("awkward_encodings", "awkward_shapes", "awkward_headers", "awkward_cells"),
    *("awkward_notation", "awkward_books", "awkward_packages", "awkward_others"),
    "awkward_several",
)


def load_beside(name: str) -> ModuleType:
    """Import a module that stands in this folder (tests are no package)."""
    if name in sys.modules:
        return sys.modules[name]
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


for _name in MODULES:
    load_beside(_name)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Give a test that asks for an awkward file every one there is."""
    if "awkward" in metafunc.fixturenames:
        cases = [case for name in LISTS for case in load_beside(name).CASES]
        metafunc.parametrize("awkward", cases, ids=[case.name.replace(" ", "-") for case in cases])
