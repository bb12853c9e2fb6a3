"""The study on plans in small: a planned piece tells more than a habitual one.

The study itself (tests/evidence/run_plan_evidence.py) is run by hand; its table stands in
reports/evidence/next_firings.md. Seeds are fixed; the bounds leave room for another draw.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent / "evidence"))  # a folder of scripts, no package

import plan_log
import plan_table
import run_plan_evidence

LOGS = 6


@pytest.fixture(scope="module")
def tangled() -> list[list[plan_log.Width]]:
    """Six logs whose seconds and combustible moved together, extended both ways."""
    studio, codebook = plan_log.STUDIOS[1], plan_log.plain_codebook()
    return [
        plan_log.compare_log(studio, codebook, planned=4, habitual=(4, 8, 16), seed=seed)
        for seed in range(LOGS)
    ]


def is_tangled(width: plan_log.Width) -> bool:
    return width.open == "tangled"


def test_a_plan_breaks_tangles_that_as_many_habitual_firings_leave(tangled):
    by_plan, asked = plan_table.count_tangled(tangled, lambda w: is_tangled(w) and w.arm == "plan")
    by_habit, _ = plan_table.count_tangled(
        tangled, lambda w: is_tangled(w) and (w.arm, w.firings) == ("habit", 4)
    )
    assert asked >= LOGS
    assert 0 == by_plan
    assert by_habit > asked / 2


def test_tangled_questions_need_clearly_fewer_planned_pieces(tangled):
    ratio = plan_table.find_ratio(tangled, is_tangled, rng=np.random.default_rng(1))
    assert ratio is not None
    assert ratio.ratio > 2.0


def test_the_width_that_was_foretold_is_about_the_one_that_comes():
    """The median over a few logs: a forecast that is off by half would be no help."""
    codebook, studio = plan_log.plain_codebook(), plan_log.STUDIOS[0]
    ratios = []
    for seed in range(LOGS):
        rng = np.random.default_rng(np.random.SeedSequence(seed))
        old = plan_log.draw_log(studio, rng)
        evidence = plan_log.learn(old, codebook)
        plan = plan_log.make_plan(old, evidence, firings=4, seed=seed, starts=6)
        contrasts = {one.question.factor: one.question.contrast for one in plan.foretold}
        longer = plan_log.grade(plan_log.planned_frame(plan), old, rng)
        came = plan_log.measure_longer(
            old, longer, contrasts, codebook, kinds=dict.fromkeys(contrasts, ""), arm="plan",
            firings=4,
        )  # fmt: skip
        foretold = {one.question.factor: one.width_then for one in plan.foretold}
        ratios += [width.width / foretold[width.factor] for width in came]
    assert 0.8 < float(np.median(ratios)) < 1.25


def test_the_ratio_is_found_where_the_two_arms_are_known():
    """Widths falling as 1 / sqrt(16 + firings): a plan as good as 8 habitual firings counts 2."""

    def width(arm: str, firings: int, like: int) -> plan_log.Width:
        return plan_log.Width(
            factor="x", open="undecided", arm=arm, firings=firings,
            width=(16.0 + like) ** -0.5, held=True, tangled=False,
        )  # fmt: skip

    log = [width("plan", 4, 8), *(width("habit", n, n) for n in (0, 4, 8, 16, 32))]
    ratio = plan_table.find_ratio([log] * 5, lambda _: True, rng=np.random.default_rng(1))
    assert ratio is not None
    assert 2.0 == pytest.approx(ratio.ratio)
    assert 2.0 == pytest.approx(ratio.low) == pytest.approx(ratio.high)


def test_the_table_can_be_written_from_any_logs(tangled):
    text = run_plan_evidence.build_report({plan_log.STUDIOS[1].name: tangled})
    assert "| seconds and combustible tangled | tangled |" in text
    assert "intervals held the truth" in text
