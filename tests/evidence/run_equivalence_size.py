"""How often a difference just at the margin is called equivalent.

Run by hand, a minute: ``python tests/evidence/run_equivalence_size.py``. Every simulated trial
gets the fit, the error and the degrees of freedom that `outcomes test` gives it (held by
tests/planning/test_power_whole.py); two one-sided tests at 5 %. Writes
reports/evidence/equivalence_size.md.
"""

from itertools import product
from pathlib import Path

import numpy as np

from outcomes.planning.plan import Unit
from outcomes.planning.power_analysis import analyse_trials
from outcomes.planning.power_cell import Barred, Rule, count_answers
from outcomes.planning.power_draw import draw_trials
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_truth import Truth

PAGE = Path(__file__).parents[2] / "reports" / "evidence" / "equivalence_size.md"
MARGIN, TRIALS, BLOCK = 0.20, 8000, 500
SHARES = (0.1, 0.2, 0.3, 0.25, 0.15)
HEAD = f"""# Equivalence claimed where the difference is just at the margin

{TRIALS:,} simulated trials a row, 8 pieces a firing, a true difference of
{100 * MARGIN:.0f} pieces in 100, which is the margin; two one-sided tests at 5 %. Made by
`python tests/evidence/run_equivalence_size.py`. "Of 100" stands with its Monte-Carlo error.

| dealt to | firings | firing luck | called equivalent, of 100 |
| --- | --- | --- | --- |
"""


def measure(layout: Layout, firing_sd: float, *, seed: tuple[int, ...]) -> float:
    """Return the share of trials in which both one-sided tests pass."""
    truth = Truth(shares=SHARES, aim=3, change=MARGIN, firing_sd=firing_sd)
    rule = Rule(level=0.05, smallest=MARGIN)
    rng = np.random.default_rng(seed)
    small = 0
    for _ in range(TRIALS // BLOCK):
        answers = analyse_trials(draw_trials(truth, layout, BLOCK, rng=rng), truth.aim)
        small += count_answers(answers, truth, rule, barred=Barred.NO).small
    return small / TRIALS


def main() -> None:
    """Measure every row and write the page."""
    rows = []
    for unit, firings, sd in product(Unit, (12, 24, 48), (0.0, 0.8, 1.5)):
        layout = Layout(firings=firings, sizes=(8,), assigned=unit)
        share = measure(layout, sd, seed=(len(str(unit)), firings, round(10 * sd)))
        error = 100.0 * (share * (1.0 - share) / TRIALS) ** 0.5
        rows.append(f"| {unit} | {firings} | {sd:g} | {100.0 * share:.1f} ± {error:.1f} |")
    PAGE.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
