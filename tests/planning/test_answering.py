"""Each answer follows from its p values by one rule, over all hypotheses together (Holm)."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from outcomes.planning.answering import answer_all
from outcomes.planning.plan import Claim, Direction, Hypothesis, Unit
from outcomes.planning.trial import Answer, Equivalence, Examined, Statistic
from outcomes.resampling.interval import Interval
from outcomes.resampling.permutation import Permutation

HOLM = json.loads(
    (Path(__file__).parents[1] / "reference" / "P11_multiplicity_bh1995.json").read_text("utf-8")
)
LEVEL = 0.05
SOME = Interval(low=-0.1, high=0.1, confidence=0.9, method="t")


def examined(
    p: float, *, claim=Claim.DIFFERENCE, direction=Direction.EITHER, inside=None, other=1.0
) -> Examined:
    """A hypothesis whose claim has this p value, its opposite ``other``."""
    fewer = direction is Direction.FEWER
    is_difference = claim is Claim.DIFFERENCE
    equivalence = None
    if not is_difference or inside is not None:
        equivalence = Equivalence(
            interval=SOME,
            interval_grade=SOME,
            p_inside=inside if is_difference else p,
            p_outside=other,
        )
    return Examined(
        hypothesis=Hypothesis(
            name="a", outcome="o", factor="f", from_value=1.0, to_value=2.0, claim=claim,
            direction=direction,
        ),
        unit=Unit.PIECE, pieces_from=9, pieces_to=9, firings=9, counts_from=(), counts_to=(),
        strata=9, idle_strata=0, smallest_p=0.0001,
        permutation=Permutation(
            statistic=1.0, p_more=other if fewer else p, p_fewer=p if fewer else other,
            p_either=p, arrangements=10**6, drawn=9999,
        ),
        statistic=Statistic.RANKS, effect=None, pulled=False, why_no_effect="",
        equivalence=equivalence, left_out=(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("one", "answer"),
    [
        (examined(0.04), Answer.SUPPORTED),
        (examined(0.06), Answer.UNDECIDED),
        (examined(0.04, direction=Direction.MORE), Answer.SUPPORTED),
        (examined(0.97, direction=Direction.MORE, other=0.03), Answer.OPPOSED),
        (examined(0.97, direction=Direction.FEWER, other=0.03), Answer.OPPOSED),
        (examined(0.4, inside=0.04), Answer.EQUIVALENT),
        (examined(0.04, inside=0.04), Answer.SUPPORTED),
        (examined(0.04, claim=Claim.EQUIVALENCE), Answer.EQUIVALENT),
        (examined(0.9, claim=Claim.EQUIVALENCE, other=0.04), Answer.OPPOSED),
        (examined(0.4, claim=Claim.EQUIVALENCE, other=0.6), Answer.UNDECIDED),
    ],
)
def test_one_hypothesis_alone(one: Examined, answer: Answer) -> None:
    (answered,) = answer_all([one], level=LEVEL)
    assert answer is answered.answer


def test_fifteen_hypotheses_get_holms_published_p_values() -> None:
    p_values, expected = HOLM["data"]["p"], HOLM["expected"]["adjusted"]["holm"]
    answered = answer_all([examined(p) for p in p_values], level=LEVEL)
    assert expected == pytest.approx([one.p_adjusted for one in answered], abs=1e-9)
    supported = sum(one.answer is Answer.SUPPORTED for one in answered)
    assert HOLM["expected"]["n_reject_0_05"]["holm"] == supported


def test_a_claim_that_holds_alone_is_undecided_beside_others() -> None:
    answered = answer_all([examined(0.03), examined(0.03)], level=LEVEL)
    assert [Answer.UNDECIDED] * 2 == [one.answer for one in answered]


def test_differences_and_equivalences_share_one_family() -> None:
    both = answer_all([examined(0.03), examined(0.03, claim=Claim.EQUIVALENCE)], level=LEVEL)
    assert [0.06, 0.06] == pytest.approx([one.p_adjusted for one in both])


def test_an_equivalence_without_an_interval_stays_undecided() -> None:
    one = replace(examined(0.5, claim=Claim.EQUIVALENCE), equivalence=None)
    (answered,) = answer_all([one], level=LEVEL)
    assert (Answer.UNDECIDED, 1.0) == (answered.answer, answered.p_value)
