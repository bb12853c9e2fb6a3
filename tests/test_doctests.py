"""The examples in the docstrings are true."""

import doctest
import importlib
import pkgutil

import pytest

import outcomes

MODULES = sorted(m.name for m in pkgutil.walk_packages(outcomes.__path__, "outcomes."))


@pytest.mark.parametrize("name", [name for name in MODULES if name != "outcomes.__main__"])
def test_the_examples_of_a_module_are_true(name):
    assert 0 == doctest.testmod(importlib.import_module(name)).failed


def test_there_are_examples_to_run():
    found = doctest.DocTestFinder().find(importlib.import_module("outcomes.card"))
    assert 2 == sum(bool(test.examples) for test in found)
