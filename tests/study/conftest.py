"""Invented courses and the study of Ninefold Lane."""

import importlib.util
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def courses():
    """The module that draws courses with known truth (tests are no package)."""
    name, path = "class_courses", Path(__file__).with_name("class_courses.py")
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
