"""By hand: how often the intervals of an agreement hold the truth, and how often nothing is told.

``python tests/graders/measure_agreement.py [LOGS] [MODEL_LOGS]`` prints one line a cell: invented
gradings with known truth, the share of intervals that hold it, and the share of drifts and
offsets called where there are none. About half an hour for 1000 and 200.
"""

import sys
from collections import defaultdict
from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.graders.alpha import count_coincidences, krippendorff_alpha
from outcomes.graders.changes import measure_drifts
from outcomes.graders.kappa import QUADRATIC, disagreement_weights, share_within, weighted_kappa
from outcomes.graders.measured import Measured
from outcomes.graders.pairs import compare_pairs, measure_alpha, measure_offsets
from outcomes.graders.ratings import Ratings, build_ratings
from outcomes.graders.shifts import fit_shifts
from outcomes.log.codebook import Direction, Level, Outcome
from outcomes.simulate.regrades import GraderTruth, RegradeTruth, draw_regrades

OUTCOME = Outcome(
    name="grade", label="Grade", levels=tuple(Level(name=str(k), wording="") for k in range(5)),
    aim=3, wanted=Direction.HIGHER, phrase="are graded 3 or better",
)  # fmt: skip
TWO = RegradeTruth(
    graders=(GraderTruth(name="A"), GraderTruth(name="B")),
    thresholds=(-2.6, -0.9, 0.9, 2.6),
    piece_sd=2.4,
    firing_share=0.3,
)
SHIFTED = replace(TWO, graders=(GraderTruth(name="A"), GraderTruth(name="B", strict=0.8)))
THREE = replace(TWO, graders=(*TWO.graders, GraderTruth(name="C")))
CLEAR = replace(TWO, piece_sd=6.0, thresholds=(-6.5, -2.2, 2.2, 6.5))
TRUTHS = {"two": TWO, "shifted": SHIFTED, "three": THREE, "clear": CLEAR}
CELLS = [(name, 12, 5) for name in TRUTHS] + [("shifted", 6, 6), ("shifted", 8, 4),
         ("shifted", 24, 3), ("two", 36, 1), ("clear", 8, 4)]  # fmt: skip
LARGE = 40_000


def ratings_of(truth: RegradeTruth, firings: int, pieces: int, *, rng) -> tuple:
    """Return one invented set of gradings, and its ratings."""
    entries = draw_regrades(truth, firings=firings, pieces=pieces, rng=rng)
    return entries, build_ratings(entries, OUTCOME)


def true_values(truth: RegradeTruth) -> dict[str, float]:
    """Return what the numbers would be with pieces without end."""
    rng = np.random.default_rng(1)
    _, large = ratings_of(truth, LARGE, 1, rng=rng)
    pairs = large.count_pairs(0, 1).sum(axis=0)
    coincidences = count_coincidences(large.grades, 5).sum(axis=0)
    return {
        "alpha": float(krippendorff_alpha(coincidences)),
        "kappa": float(weighted_kappa(pairs, disagreement_weights(5, QUADRATIC))),
        "exact": float(share_within(pairs, 0)),
        "offset": float(np.nanmean(large.grades[:, 0] - large.grades[:, 1:].mean(axis=1))),
    }


def measure_one(
    truth: RegradeTruth, entries: pd.DataFrame, ratings: Ratings
) -> dict[str, Measured]:
    """Return the numbers of one set of gradings."""
    pair = compare_pairs(ratings, confidence=0.95)[0]
    drifts = measure_drifts(entries, ratings, confidence=0.95)
    told = {
        "alpha": measure_alpha(ratings, confidence=0.95),
        "kappa": pair.quadratic,
        "exact": pair.exact,
        "offset": measure_offsets(ratings, confidence=0.95)[0].difference,
    }
    return told | ({"drift": drifts[0].change} if drifts else {})


def holds(measured: Measured, truth: float) -> float:
    """Return 1 when the interval holds the truth, 0 when not, NaN without one."""
    if measured.interval is None:
        return float("nan")
    return float(measured.interval.low <= truth <= measured.interval.high)


def measure_cell(name: str, firings: int, pieces: int, *, logs: int, model_logs: int) -> str:
    """Return one line: how often each interval holds the truth, in per cent."""
    truth = TRUTHS[name]
    values = true_values(truth) | {"drift": 0.0}
    held = defaultdict(list)
    for stream in np.random.SeedSequence(7).spawn(logs):
        rng = np.random.default_rng(stream)
        entries, ratings = ratings_of(truth, firings, pieces, rng=rng)
        for key, measured in measure_one(truth, entries, ratings).items():
            held[key].append(holds(measured, values[key]))
        if len(held["rho"]) < model_logs:
            shifts = fit_shifts(ratings, confidence=0.95)
            held["rho"].append(holds(shifts.reliability, truth.reliability()))
            stricts = [grader.strict for grader in truth.graders]
            shift = np.mean(stricts) - stricts[0]
            held["shift"].append(holds(shifts.shifts[0], shift) if shifts.shifts else np.nan)
    cells = [
        f"{key} {100 * np.nanmean(got):.1f} ({100 * np.mean(np.isnan(got)):.0f} without)"
        for key, got in held.items()
        if got
    ]
    return f"{name}, {firings} x {pieces}: alpha {values['alpha']:.2f}; " + ", ".join(cells)


def main(words: list[str]) -> None:
    """Print every cell."""
    logs, model_logs = (int(word) for word in (*words, "1000", "200")[:2])
    for name, firings, pieces in CELLS:
        line = measure_cell(name, firings, pieces, logs=logs, model_logs=model_logs)
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
