"""The examples in the engine's docstrings say what the code does."""

import doctest
import importlib

import pytest

MODULES = [
    "outcomes.model.grades",
    "outcomes.model.links",
    "outcomes.model.penalty",
    "outcomes.model.prediction",
    "outcomes.model.separation",
    "outcomes.model.standardise",
    "outcomes.model.variation",
    "outcomes.resampling.firings",
    "outcomes.resampling.intervals",
]


@pytest.mark.parametrize("name", MODULES)
def test_every_example_of_the_module_is_true(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0
    assert result.attempted > 0
