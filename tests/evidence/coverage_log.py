"""Whether the intervals of one log hold the truth, rule by rule."""

import math

import numpy as np
from candidates import measure_candidates
from cells import Cell
from rules import build_intervals
from short_log import JUDGED, draw_short_log
from tallies import Scores

from outcomes.resampling.interval import Interval

WIDEST = 2.0  # of a difference of probabilities


def judge_coverage(cell: Cell, *, redraws: int, rng: np.random.Generator) -> Scores:
    """Return for every setting and rule whether the truth was held, and the width.

    A rule that gives no finite interval has missed the truth and is as wide as can be.
    """
    log = draw_short_log(cell, rng)
    scores: list[tuple[str, float]] = []
    candidates = measure_candidates(log, redraws=redraws, rng=rng)
    for setting, truth, one in zip(JUDGED, log.truth, candidates, strict=True):
        scores.append((f"estimate minus truth|{setting}", one.change - float(truth)))
        scores.append((f"effective firings|{setting}", one.effective))
        for rule, interval in build_intervals(one).items():
            scores += _score(f"{setting}|{rule}", interval, float(truth))
    return scores


def _score(name: str, interval: Interval, truth: float) -> Scores:
    if not (math.isfinite(interval.low) and math.isfinite(interval.high)):
        return [(f"held|{name}", 0.0), (f"width|{name}", WIDEST), (f"none|{name}", 1.0)]
    held = interval.low <= truth <= interval.high
    return [(f"held|{name}", float(held)), (f"width|{name}", interval.width())]
