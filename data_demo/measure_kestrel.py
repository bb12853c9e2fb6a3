"""How often the trial of Kestrel Bench comes out as the truth has it.

``python data_demo/measure_kestrel.py [TRIALS]`` tests the same plan on so many other throws of the
dice (seeds 1000 and up; default 100) and prints how often each hypothesis got which answer.
"""

import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pandas as pd
from make_kestrel import declare_plan

from outcomes.log.codebook_file import read_codebook
from outcomes.log.firing_log import FiringLog
from outcomes.planning.assignment import PIECE, draw_assignment, row_names
from outcomes.planning.plan import Plan
from outcomes.planning.testing import run_trial
from outcomes.planning.trial import TrialOptions
from outcomes.simulate.as_log import build_log
from outcomes.simulate.kestrel import CANS, kestrel_grades

FIRST_SEED = 1000
OPTIONS = TrialOptions(resamples=200, drawn=499)


def draw_log(plan: Plan, seed: int) -> FiringLog:
    """Return the log of another throw: the list as drawn, no slips."""
    drawn = draw_assignment(plan)
    firings, pieces = row_names(drawn)
    frame = pd.DataFrame(
        {
            "firing_id": pd.Series(firings, dtype=object),
            "fired_on": pd.Timestamp(plan.declared_on),
            "piece_id": pd.Series(pieces, dtype=object),
            "can": pd.Series([CANS[number - 1] for number in drawn[PIECE]], dtype=object),
            "time_in_can_min": drawn["time_in_can_min"],
        }
    )
    grades = kestrel_grades(
        frame["time_in_can_min"],
        frame["can"],
        frame["firing_id"],
        rng=np.random.default_rng(seed),
    )
    codebook = read_codebook(Path(__file__).parent / "kestrel_codebook.toml")
    return build_log(frame.assign(luster=grades), codebook)


def measure(trials: int) -> Counter[tuple[str, str]]:
    """Return how often each hypothesis got which answer."""
    plan = declare_plan()
    counts: Counter[tuple[str, str]] = Counter()
    for seed in range(FIRST_SEED, FIRST_SEED + trials):
        trial = run_trial(plan, draw_log(plan, seed), options=OPTIONS, progress=lambda _: None)
        for answered in trial.answers:
            counts[answered.tested.hypothesis.name, str(answered.answer)] += 1
    return counts


if __name__ == "__main__":
    asked = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    for (name, answer), count in sorted(measure(asked).items()):
        sys.stdout.write(f"{name}: {answer} in {count} of {asked}\n")
