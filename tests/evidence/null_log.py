"""A year in which nothing matters: what is said of it all the same."""

import numpy as np
from cells import Cell
from tallies import Scores
from whole_log import is_claimed, learn_whole_log

from outcomes.effects.multiplicity import adjust_p_values
from outcomes.log.codebook import Codebook
from outcomes.simulate.greywether import null_year

SURE = 0.05


def judge_null(cell: Cell, codebook: Codebook, *, rng: np.random.Generator) -> Scores:
    """Return whether any setting was said to change the surface, and how p values fell."""
    frame = null_year(rng, firings=cell.firings)
    judged = learn_whole_log(frame, codebook, redraws=0, rng=rng).judged
    adjusted = adjust_p_values([1.0 if e.p_value is None else e.p_value for e in judged], "BY")
    any_by = any(p < SURE and is_claimed(e) for e, p in zip(judged, adjusted, strict=True))
    scores = [
        ("a null log with a claim", float(any(is_claimed(e) for e in judged))),
        ("a null log with a claim, Benjamini-Yekutieli", float(any_by)),
    ]
    for effect in judged:
        if effect.p_value is not None and effect.interval is not None:
            held = effect.interval.low <= 0.0 <= effect.interval.high
            scores.append(("interval holds 0", float(held)))
            scores.append(("p under 0.05", float(effect.p_value < 0.05)))
            scores.append(("p under 0.001", float(effect.p_value < 0.001)))
    return scores
