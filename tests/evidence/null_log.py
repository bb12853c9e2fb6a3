"""A year in which nothing matters: what is said of it all the same."""

from collections.abc import Iterable

import numpy as np
from cells import Cell
from tallies import Scores
from whole_log import is_claimed, learn_whole_log

from outcomes.effects.effect import Effect
from outcomes.effects.multiplicity import adjust_p_values
from outcomes.log.codebook import Codebook
from outcomes.simulate.greywether import null_year

SURE = 0.05
PRINTED, CORRECTED = "as printed", "firing-score t"


def judge_null(cell: Cell, codebook: Codebook, *, redraws: int, rng: np.random.Generator) -> Scores:
    """Return whether any setting was said to change the surface, and how p values fell."""
    frame = null_year(rng, firings=cell.firings)
    whole = learn_whole_log(frame, codebook, redraws=redraws, rng=rng)
    scores = [
        *_score(whole.judged, PRINTED),
        *_score(whole.corrected, CORRECTED),
    ]
    adjusted = adjust_p_values([e.p_value or 1.0 for e in whole.judged], "BY")
    any_by = any(p < SURE and is_claimed(e) for e, p in zip(whole.judged, adjusted, strict=True))
    return [*scores, ("a null log with a claim|Benjamini-Yekutieli", float(any_by))]


def _score(effects: Iterable[Effect], rule: str) -> Scores:
    judged = list(effects)
    scores = [(f"a null log with a claim|{rule}", float(any(is_claimed(e) for e in judged)))]
    for effect in judged:
        if effect.p_value is not None and effect.interval is not None:
            held = effect.interval.low <= 0.0 <= effect.interval.high
            scores.append((f"interval holds 0|{rule}", float(held)))
            scores.append((f"p under 0.05|{rule}", float(effect.p_value < 0.05)))
            scores.append((f"p under 0.001|{rule}", float(effect.p_value < 0.001)))
    return scores
