"""A large log's pages say where redraws were averaged over some pieces only."""

import pytest

from outcomes.effects import measured
from outcomes.report.maker_method import build_method
from outcomes.report.research_methods import describe_methods
from outcomes.report.teller import build_teller
from outcomes.report.thinned import say_thinned

LARGE = "averaged over 20 of the pieces compared"


@pytest.fixture
def large(monkeypatch) -> None:
    monkeypatch.setattr(measured, "MOST_CHANCES", 1000)
    monkeypatch.setattr(measured, "THINNED_CHANCES", 1000)
    monkeypatch.setattr(measured, "FEWEST_THINNED", 20)


def told(study) -> str:
    method = build_method(build_teller(study))
    return " ".join(str(block) for block in method.blocks)


@pytest.mark.usefixtures("large")
def test_a_large_logs_page_says_over_how_many_pieces_and_what_rests_on_all(study):
    assert LARGE in told(study)
    assert "rest on every piece compared" in told(study)


@pytest.mark.usefixtures("large")
def test_so_do_the_methods_of_the_research_page(researched):
    assert "averaged over some 20 pieces" in " ".join(describe_methods(build_teller(researched)))


def test_a_page_of_a_year_says_nothing_of_it(study):
    assert say_thinned(build_teller(study), "method.thinned") == ()
    assert "evenly" not in told(study)


@pytest.mark.parametrize(
    ("replicates", "pieces", "expected"),
    [(2000, 2000, 2000), (2000, 2001, 1000), (20_000, 8000, 500), (2000, 100_000, 1000)],
)
def test_up_to_four_million_chances_all_are_computed(replicates, pieces, expected):
    assert expected == measured.count_averaged(replicates, pieces)
