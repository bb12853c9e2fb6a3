"""Another year at the demo's yard, written cleanly: what is found of what was planted."""

import numpy as np
from known_log import key_of, score_claims
from tallies import Scores
from whole_log import is_claimed, learn_whole_log, true_change_of

from outcomes.log.codebook import Codebook
from outcomes.simulate.hollowmere import hollowmere_truth, hollowmere_year


def judge_demo(codebook: Codebook, *, rng: np.random.Generator) -> Scores:
    """Return the scores of one year: claims, false claims, coverage, what was found."""
    truth = hollowmere_truth()
    whole = learn_whole_log(hollowmere_year(rng), codebook, redraws=0, rng=rng)
    true = {key_of(effect): true_change_of(whole, effect, truth) for effect in whole.judged}
    scores = [*score_claims(whole.judged, true)]
    for effect in whole.judged:
        size = true[key_of(effect)]
        if abs(size) >= whole.delta(effect.outcome):
            found = is_claimed(effect) and effect.change * size > 0.0
            scores.append(("power|all", float(found)))
            scores.append((f"power|{effect.outcome}: {effect.contrast.factor}", float(found)))
    return scores
