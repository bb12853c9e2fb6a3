"""Workbooks that a library gives up on: damage is told as damage, and nothing else is."""

from collections.abc import Callable
from pathlib import Path

import pytest

from outcomes.errors import LogError
from outcomes.log.codebook import Codebook
from outcomes.log.reading import read_table


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (TypeError("expected <class 'int'>"), "(TypeError: 'expected int')"),
        (KeyError("xl/worksheets/sheet1.xml"), "(KeyError: "),
    ],
)
def test_a_damaged_workbook_is_told_without_a_programmers_words(
    tmp_path: Path, codebook: Codebook, read_sheet: Callable, monkeypatch, error, said
) -> None:
    read_sheet()
    fail_with(error, monkeypatch)
    with pytest.raises(LogError, match="is a damaged workbook") as refused:
        read_table(tmp_path / "log.xlsx", codebook)
    assert said in str(refused.value)
    assert "<class" not in str(refused.value)


def test_memory_that_ends_is_no_damage_of_the_workbook(
    tmp_path: Path, codebook: Codebook, read_sheet: Callable, monkeypatch
) -> None:
    read_sheet()
    fail_with(MemoryError(), monkeypatch)
    with pytest.raises(MemoryError):
        read_table(tmp_path / "log.xlsx", codebook)


def fail_with(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_given: object, **_named: object) -> None:
        raise error

    monkeypatch.setattr("outcomes.log.workbooks.load_workbook", fail)
