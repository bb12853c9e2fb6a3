"""The study of declared tests in small: its short cuts are the package, its figures in bounds.

The study itself (tests/evidence/run_trial_evidence.py) is run by hand. Bounds here come from the
binomial distribution, so that a test that keeps its promise fails once in 10 000 runs; the seeds
are fixed all the same.
"""

import csv
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

sys.path.insert(0, str(Path(__file__).parent / "evidence"))  # a folder of scripts, no package

import run_trial_evidence
import trial_cells
import trial_judges
import trial_logs
import trial_page

from outcomes.planning.equivalence import find_equivalence
from outcomes.planning.trial_effect import estimate_effect

RARE = 1e-4
LOGS = 200
REPORT = Path(__file__).parents[1] / "reports" / "evidence"


def cell(asked: trial_cells.Asked, lot: trial_cells.Lot, *, firings: int = 12, sd: float = 0.8):
    return trial_cells.Cell(asked=asked, lot=lot, firings=firings, firing_sd=sd, logs=LOGS)


def claims(one: trial_cells.Cell, seed: int) -> dict[str, int]:
    rows = run_trial_evidence.run_cell(one, seed, LOGS)
    return {row["claim"]: int(row["claimed"]) for row in rows}


@pytest.mark.parametrize("lot", [trial_cells.Lot.PIECE, trial_cells.Lot.FIRING])
def test_a_difference_is_claimed_in_about_one_of_twenty_null_trials(lot) -> None:
    made = claims(cell(trial_cells.Asked.SIZE, lot, sd=1.5), 901)
    low, high = stats.binom.ppf(RARE, LOGS, 0.05), stats.binom.isf(RARE, LOGS, 0.05)
    for claim in ("ranks", "adjusted", "adjusted, one-sided"):
        assert low <= made[claim] <= high, claim


def test_a_test_that_forgets_the_firings_is_caught() -> None:
    made = claims(cell(trial_cells.Asked.SIZE, trial_cells.Lot.FIRING, sd=1.5), 902)
    assert made["forgets firings"] > stats.binom.isf(RARE, LOGS, 0.05)


def test_six_firings_in_pairs_can_claim_nothing() -> None:
    made = claims(cell(trial_cells.Asked.SIZE, trial_cells.Lot.PAIR, firings=6), 903)
    assert (0, 0) == (made["adjusted"], made["ranks"])


def test_equivalence_is_seldom_claimed_at_the_margin() -> None:
    made = claims(cell(trial_cells.Asked.EQUIVALENCE, trial_cells.Lot.PIECE, firings=24), 904)
    assert 0 < made["equivalence"] <= stats.binom.isf(RARE, LOGS, 0.06)


def test_the_studys_short_cut_is_the_packages_equivalence() -> None:
    one = cell(trial_cells.Asked.EQUIVALENCE, trial_cells.Lot.PIECE)
    truth = trial_logs.find_truth(one)
    first, second = (
        trial_logs.draw_trial(one, truth, np.random.default_rng(seed)) for seed in (1, 2)
    )
    like = trial_judges.build_trial_model(first)
    swapped = trial_judges.equivalence_p(trial_judges.swap_grades(like, second))
    model = trial_judges.build_trial_model(second)
    effect = estimate_effect(model, resamples=50, confidence=0.95, rng=np.random.default_rng(3))
    assert not isinstance(effect, str)
    built = find_equivalence(model.hypothesis, effect, level=0.05)
    assert built is not None
    assert built.p_inside == pytest.approx(swapped, rel=1e-6)


def test_the_true_change_of_the_margin_cells_is_the_margin() -> None:
    one = cell(trial_cells.Asked.EQUIVALENCE, trial_cells.Lot.FIRING, firings=4000)
    drawn = trial_logs.draw_trial(one, trial_logs.find_truth(one), np.random.default_rng(4))
    good = drawn.grade >= trial_logs.AIM
    change = good[drawn.arm == 1].mean() - good[drawn.arm == 0].mean()
    assert trial_cells.MARGIN == pytest.approx(change, abs=0.03)  # four standard errors


def test_the_published_page_is_the_published_table() -> None:
    with (REPORT / "trial.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    page = (REPORT / "trial.md").read_text(encoding="utf-8")
    assert page == trial_page.describe_trials(rows)
    published = {row["cell"] for row in rows}
    assert published <= {one.name for one in trial_cells.all_cells()}
    lots = (trial_cells.Lot.PIECE, trial_cells.Lot.FIRING)
    wanted = [c for c in trial_cells.all_cells() if c.asked == "size" and c.lot in lots]
    assert {one.name for one in wanted} <= published
    least = {"size": 2000, "equivalence": 1000}
    assert all(int(row["logs"]) >= least[row["asked"]] for row in rows)
