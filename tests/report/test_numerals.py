"""The examples in the docstrings of small functions say what the code does."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize(
    "name",
    ["outcomes.report.numerals", "outcomes.report.software", "outcomes.log.derived_swap"],
)
def test_every_example_of_the_module_is_true(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0
    assert result.attempted > 0
