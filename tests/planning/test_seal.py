"""The seal holds the content, and nothing but the content."""

from dataclasses import replace
from datetime import date

import pytest

from outcomes.errors import PlanError
from outcomes.planning.declaring import seal_draft
from outcomes.planning.plan import SealState
from outcomes.planning.plan_file import parse_plan
from outcomes.planning.plan_text import render_plan
from outcomes.planning.seal import canonical_form, check_seal, compute_seal, seal_plan


def test_comments_spacing_and_order_do_not_break_the_seal(plan) -> None:
    text = render_plan(plan)
    lines = [line.partition("    #")[0] for line in text.splitlines() if line[:1] != "#"]
    moved = "\n".join([lines[1], *lines[2:4], *lines[4:]]).replace("= 6", "  =   6")
    assert check_seal(parse_plan(moved, file="plan.toml")) is SealState.WHOLE


@pytest.mark.parametrize(
    "change",
    [
        {"level": 0.04},
        {"firings": 9},
        {"title": "Another"},
        {"stopping": "When it is clear."},
        {"declared_on": date(2026, 3, 1)},
        {"seed": 2},
        {"hypotheses": ()},
        {"randomised": False},
        {"adjust_for": ("glaze",)},
    ],
    ids=lambda change: next(iter(change)),
)
def test_any_change_of_the_content_breaks_the_seal(plan, change) -> None:
    assert check_seal(replace(plan, **change)) is SealState.BROKEN


def test_a_number_has_one_form(plan) -> None:
    early, late = plan.hypotheses
    same = replace(plan, hypotheses=(early, replace(late, margin=30)))
    assert compute_seal(plan) == compute_seal(same)


def test_the_canonical_form_is_one_line_of_ascii(plan) -> None:
    form = canonical_form(replace(plan, title="Größe?"))
    assert form.isascii()
    assert "\n" not in form


def test_a_draft_is_declared_on_the_day_it_is_sealed(plan) -> None:
    sealed = seal_draft(replace(plan, seal=""), today=date(2026, 4, 1), file="draft.toml")
    assert (date(2026, 4, 1), date(2026, 4, 1)) == (sealed.declared_on, sealed.counts_from)
    assert check_seal(sealed) is SealState.WHOLE


def test_a_sealed_plan_is_not_sealed_again_nor_a_changed_one(plan) -> None:
    with pytest.raises(PlanError, match=r"plan.toml: this plan is sealed already, on 2026-03-02"):
        seal_draft(plan, today=date(2026, 4, 1), file="plan.toml")
    with pytest.raises(PlanError, match=r"changed after it was sealed.*remove the table \[seal\]"):
        seal_draft(replace(plan, level=0.1), today=date(2026, 4, 1), file="plan.toml")


def test_sealing_is_stable(plan) -> None:
    assert seal_plan(plan) == plan
